"""Walks for tests: a job on disk, its form, what may be found, and how it comes back."""

import io
import json
from collections.abc import Iterable
from pathlib import Path

from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.plan.model import BoxPlan, Plan, Port
from tagmaker.sheets.walk import walk_pages
from tagmaker.tags.walk import printed_for
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows import planning
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

Values = dict[str, bool | str]

SITE = JobSketch(
    (
        BoxSketch(
            "BB-1",
            6,
            (
                UnitSketch("FC-1", "A", "12 kBtu/h"),
                UnitSketch("FC-2", "B", "9 kBtu/h"),
                UnitSketch("FC-3", "B", "9 kBtu/h"),
                UnitSketch("AH-4", "C+D", "72 kBtu/h"),
                UnitSketch("FC-5", "E", "12 kBtu/h"),
            ),
        ),
        BoxSketch("bb-2", 4, (UnitSketch("FC-6", "A", "12 kBtu/h"), UnitSketch("FC-7", "B", "12 kBtu/h"))),
    ),
    number="ML-24",
    revision="2",
)
"""Two boxes with a bit of everything: single, shared, joined, spare, unfitted; a tag in small letters."""
SINGLE = JobSketch(SITE.boxes[:1], number="ML-24", revision="2")
WRONG: Values = {
    "BB-1/left/1/1": True,
    "BB-1/port/A/pipe/found": "FC-5",
    "BB-1/port/E/cable/found": "none",
    "BB-2/only/1/1": True,
}
"""Four things in two boxes that are not as planned."""

ITEMS = {
    "box": ("power", "apart", "tested", "evacuated", "charged", "valves", "cover"),
    "port": (),
    "used": (),
    "cabled": ("polarity",),
    "spare": (),
}
"""The items of every walk by what they are asked of."""
ROLES = ("installer", "technician", "verifier")


def plan_of(job: Path) -> Plan:
    """The plan of a job that must have no errors."""
    checked = planning.plan(job)
    assert checked.plan is not None
    return checked.plan


def form(plan: Plan, *, blind: bool = False) -> bytes:
    """The walk of a whole job as a PDF form."""
    pages: list[Page] = []
    for box in plan.boxes:
        sheets, problems = walk_pages(plan.job, box, words(), blind=blind)
        assert problems == ()
        pages += sheets
    return draw_pdf("walk", "tests", pages, all_faces())


# --- what may be found --------------------------------------------------------------------------------------


def as_planned(plan: Plan, *boxes: str) -> Values:
    """A walk on which all was seen and is as planned, of these boxes (in capitals) or all; nothing proved."""
    wanted = [box for box in plan.boxes if not boxes or box.row.key in boxes]
    return {name: value for box in wanted for name, value in _box_as_planned(box).items()}


def _box_as_planned(box: BoxPlan) -> Values:
    key = box.row.tag.upper()
    found: Values = {f"{key}/item/{item}": True for item in ITEMS["box"]}
    for board in box.boards:
        found[f"{key}/{board.place}/seen"] = True
        for bank in board.banks:
            found |= {f"{key}/{board.place}/{bank.number}/{switch}": True for switch in bank.on()}
    for letter, port in letters(box):
        found |= {f"{key}/port/{letter}/{what}/ok": True for what in ("pipe", "cable", "tags")}
        found |= {f"{key}/port/{letter}/item/{item}": True for item in items_of(port, letter)}
    return found


def letters(box: BoxPlan) -> list[tuple[str, Port]]:
    """Every letter with its port."""
    of = {letter: port for port in box.ports for letter in port.name.split("+")}
    return [(letter, of[letter]) for letter in box.row.family.port_names[: box.row.ports]]


def items_of(port: Port, letter: str) -> list[str]:
    """The keys of the items that are asked of a letter."""
    is_first = letter == port.name[0]
    kinds = ("port", "spare") if not port.units else ("port", "cabled") if is_first else ("port",)
    return [item for kind in kinds for item in ITEMS[kind]]


# --- how it comes back --------------------------------------------------------------------------------------


def phone(plan: Plan, values: Values) -> str:
    """The file that a phone exports: what is ticked or written, box by box."""
    boxes = [
        {
            "box": box.row.key,
            "printed_for": printed_for(plan.job, box),
            "fields": {
                name: value for name, value in values.items() if name.startswith(f"{box.row.key}/") and value
            },
        }
        for box in plan.boxes
    ]
    head = {"name": plan.job.name, "number": plan.job.number, "revision": plan.job.revision}
    return json.dumps({"format": "tagmaker walk 1", "job": head, "boxes": boxes})


def hand_in(folder: Path, plan: Plan, *returns: Values) -> list[Path]:
    """Each walk as a file that a phone exported, numbered from 1."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"walk-{number}.json" for number in range(1, len(returns) + 1)]
    for path, values in zip(paths, returns, strict=True):
        path.write_text(phone(plan, values), encoding="utf-8")
    return paths


def filled(pdf: bytes, values: Values) -> bytes:
    """The form filled in by pypdf; every name must be one of its fields."""
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415 — many tests need no PDF
    from pypdf.generic import NameObject, TextStringObject  # noqa: PLC0415

    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    left = dict(values)
    for page in writer.pages:
        for note in page.get("/Annots", ()):
            field = note.get_object()
            value = left.pop(str(field["/T"]), None)
            if isinstance(value, str):
                field[NameObject("/V")] = TextStringObject(value)
            elif value is not None:
                field[NameObject("/V")] = field[NameObject("/AS")] = NameObject("/Yes" if value else "/Off")
    assert left == {}
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def without(values: Values, *endings: str) -> Values:
    """A walk less the fields whose names end so."""
    return {name: value for name, value in values.items() if not name.endswith(endings)}


def only(values: Values, beginnings: Iterable[str]) -> Values:
    """A walk's fields whose names begin so."""
    return {name: value for name, value in values.items() if name.startswith(tuple(beginnings))}

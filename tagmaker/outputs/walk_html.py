"""walk.html: the walk on a phone, one file that needs no network.

The page is `layouts/walk.html` with the plan's data filled in. Its script has no text of its own: every word
comes from the words' file, every text of the job from here, so that no name can become code.
"""

from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.family import NumberedFrom, OnPoints
from tagmaker.catalog.shipped import shipped_text
from tagmaker.catalog.walk_items import ROLES, WalkItem
from tagmaker.catalog.words import Words
from tagmaker.files.template import escaped, fill
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import BankPlan, Board, BoxPlan, Plan, Port
from tagmaker.plan.outline import BoardHead
from tagmaker.site.stated import AROUND, BEGINNINGS, ENDINGS, NOTHING
from tagmaker.tags.reasons import settings_text
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.tags.walk import (
    WALK_FORMAT,
    items_of_box,
    items_of_letter,
    letters_of,
    port_units,
    printed_for,
    rated,
)
from tagmaker.typeset.web_fonts import faces_css

if TYPE_CHECKING:
    from tagmaker.outputs.walk_systems import PageSystem

__all__ = ["walk_html"]

BOXES = b"\0"  # the place of all boxes in the data: JSON has this sign nowhere


class PageJob(Struct, frozen=True):
    """The head of the job."""

    name: str
    number: str
    revision: str


class PageItem(Struct, frozen=True):
    """A thing to tick.

    One that is `late` waits until somebody noted what is connected at its letter.
    """

    key: str
    text: str
    role: str
    late: bool


class PageRole(Struct, frozen=True):
    """A role that signs.

    `key` is as field names have it, `name` the word that is shown.
    """

    key: str
    name: str


class PageBank(Struct, frozen=True):
    """A bank as drawn.

    `switches` is how many it has; `on` are those that must be ON, `leave` those that are left as found.
    """

    number: int
    name: str
    switches: int
    on_points: OnPoints
    numbered_from: NumberedFrom
    on: list[int]
    leave: list[int]


class PageBoard(BoardHead, frozen=True):
    """A board; `planned` is its settings in words."""

    banks: list[PageBank]
    planned: str


class PagePort(Struct, frozen=True):
    """A letter: what is planned, whose pipe and cable belong there, and what is ticked.

    `planned` is in words; `units` is the port with its units, as a sheet is printed for them, `rated` the
    capacity of each in Btu/h.
    """

    letter: str
    planned: str
    units: str
    rated: list[str]
    pipe: list[str]
    cable: list[str]
    items: list[PageItem]


class PageBox(Struct, frozen=True):
    """A box, its tag in capitals as field names have it; `hardware` is its family and size."""

    box: str
    hardware: str
    shown: str
    place: str
    power: str
    printed_for: str
    units: list[str]
    boards: list[PageBoard]
    ports: list[PagePort]
    items: list[PageItem]
    roles: list[PageRole]


class PageNothing(Struct, frozen=True):
    """How a text is known to state nothing, as `site/stated.py` has it: it counts neither here nor there."""

    words: tuple[str, ...] = tuple(sorted(NOTHING))
    beginnings: tuple[str, ...] = BEGINNINGS
    endings: tuple[str, ...] = ENDINGS
    around: str = AROUND


class PageData(Struct, frozen=True):
    """The page's data; the fields of all these records are the keys that its script reads.

    Boxes are filled in as text, each as it is made: as records a campus takes many times the room.

    `site` and `refrigerant`, in words with its safety group, are empty where the job does not give them;
    `warnings` are the refrigerant's.
    """

    format: str
    job: PageJob
    site: str
    refrigerant: str
    warnings: tuple[str, ...]
    words: dict[str, str]
    nothing: PageNothing
    boxes: list[msgspec.Raw]
    systems: "list[PageSystem]"


def walk_html(plan: Plan, words: Words) -> bytes:
    """The page with all of the plan that a walk needs.

    "&", "<" and ">" are escaped in the data, so that no name can end the script.
    """
    rules = band_rules()
    data = PageData(
        format=WALK_FORMAT,
        job=PageJob(plan.job.name, plan.job.number, plan.job.revision),
        site=plan.job.site,
        refrigerant=refrigerant_text(plan.job.refrigerant, words),
        warnings=rules.warnings.get(rules.groups.get(plan.job.refrigerant, ""), ()),
        words=_words(plan, words),
        nothing=PageNothing(),
        boxes=[msgspec.Raw(BOXES)],
        systems=_systems(plan, words) if plan.systems else [],
    )
    signs: set[str] = set()
    boxes = b",".join(
        [_in_script(msgspec.json.encode(_box(plan.job, box, words)), signs) for box in plan.boxes]
    )
    before, after = (_in_script(part, signs) for part in msgspec.json.encode(data).split(BOXES))
    page, systems = shipped_text("walk.html"), shipped_text("walk-systems.js") if plan.systems else ""
    name = " ".join(part for part in (plan.job.number, plan.job.name) if part)
    parts = {
        "faces": faces_css(page + systems + "".join(signs)),
        "no_script": escaped(words("phone.no_script")),
        "systems": systems,
        "title": escaped(words("phone.title", job=name, revision=plan.job.revision)),
    }
    head, tail = (fill(part, parts).encode() for part in page.split("{data}"))
    return b"".join((head, before, boxes, after, tail))


def _in_script(text: bytes, signs: set[str]) -> bytes:
    """JSON as text of a script; its signs are added to those that the page's faces must have."""
    signs.update(text.decode())
    return text.replace(b"&", b"\\u0026").replace(b"<", b"\\u003c").replace(b">", b"\\u003e")


def _systems(plan: Plan, words: Words) -> "list[PageSystem]":
    """The sheets of the job's systems."""
    from tagmaker.outputs.walk_systems import page_system  # noqa: PLC0415 — heavy, and most jobs have none

    return [page_system(plan.job, each, words) for each in plan.systems]


def _words(plan: Plan, words: Words) -> dict[str, str]:
    """The page's words by key; those of systems begin with "system_"."""
    own = {key.partition(".")[2]: text for key, text in words.texts.items() if key.startswith("phone.")}
    of_systems = (key for key in words.texts if plan.systems and key.startswith("phone_system."))
    return own | {f"system_{key.partition('.')[2]}": words.texts[key] for key in of_systems}


def _box(job: Job, box: BoxPlan, words: Words) -> PageBox:
    return PageBox(
        box=box.row.key,
        hardware=box.row.hardware,
        shown=box.row.shown,
        place=box.row.place or words("placard.no_place"),
        power=box.row.power or words("placard.no_place"),
        printed_for=printed_for(job, box),
        units=[unit.tag for port in box.ports for unit in port.units],
        boards=[_board(board, words) for board in box.boards],
        ports=[_port(job, letter, port, words) for letter, port in letters_of(box)],
        items=[_item(item, words) for item in items_of_box(job)],
        roles=[PageRole(role, words(f"walk.{role}")) for role in ROLES],
    )


def _board(board: Board, words: Words) -> PageBoard:
    return PageBoard(
        place=board.place,
        ports=board.letters,
        unfitted=board.unfitted,
        banks=[_bank(bank) for bank in board.banks],
        planned="; ".join(_settings(bank, words) for bank in board.banks),
    )


def _settings(bank: BankPlan, words: Words) -> str:
    return f"{bank.name}: {settings_text(bank, words, names_rest=True)}"


def _bank(bank: BankPlan) -> PageBank:
    return PageBank(
        number=bank.number,
        name=bank.name,
        switches=len(bank.switches),
        on_points=bank.on_points,
        numbered_from=bank.numbered_from,
        on=list(bank.on()),
        leave=list(bank.left()),
    )


def _port(job: Job, letter: str, port: Port, words: Words) -> PagePort:
    """A letter; the second one of a pair has the units' pipes and no cable."""
    keys = [unit.key for unit in port.units]
    is_second = letter != port.letters[0]
    kind = "second" if is_second else "used" if port.use == "single" else port.use
    planned = words(
        f"phone.planned_{kind}",
        units=", ".join(_unit(unit, words) for unit in port.units),
        ports=port.name,
        first=port.letters[0],
    )
    items = [_item(item, words) for item in items_of_letter(job, port, letter)]
    return PagePort(
        letter=letter,
        planned=planned,
        units=port_units(port),
        rated=rated(port),
        pipe=keys,
        cable=[] if is_second else keys,
        items=items,
    )


def _unit(unit: UnitRow, words: Words) -> str:
    """A unit with its address, where it has one."""
    return words("phone.unit_at", unit=unit.tag, address=unit.address) if unit.address else unit.tag


def _item(item: WalkItem, words: Words) -> PageItem:
    """An item; one that is asked by the letter's use is late, since another unit may be connected there."""
    is_late = item.per not in {"box", "port"}
    return PageItem(item.key, item.text, role=words(f"walk.{item.role}"), late=is_late)

"""What the fuzzer begins from: the example files, and small files whose structure misleads readers."""

import io
import json
import tempfile
from functools import cache
from pathlib import Path

import pikepdf
from PIL import Image

from tagmaker.revisions.selection import Selection
from tests.paths import EXAMPLES

LAYOUTS = EXAMPLES.parent / "layouts"
BAKERY = EXAMPLES / "bakery"
THREE = EXAMPLES / "three-port-boards"
HOSTILE_TOML = (
    "a = " + "[" * 300 + "]" * 300,
    'job = 1\nbox = [1]\nunit = "x"\n',
    "[job]\nname = 'x'\nrevision = 0xFFFF\n",
    '[[box]]\ntag = "A"\nports = 4\nfamily = "four-port-boards"\n[[unit]]\nunit = 1\nbox = 2\nport = 3\n',
)


def bakery_text() -> str:
    """The smallest example's job.toml."""
    return (BAKERY / "job.toml").read_text(encoding="utf-8")


def seeds_of(name: str) -> list[bytes]:
    """The inputs from which a target's fuzzing begins."""
    return _SEEDS[name]()


def words_of(name: str) -> list[str]:
    """Words that a mutated input may get, escaped as libFuzzer reads them."""
    return _WORDS.get(name, _WORDS[""])


def _files(*patterns: str) -> list[bytes]:
    found = [path for pattern in patterns for path in sorted(EXAMPLES.parent.glob(pattern))]
    return [path.read_bytes() for path in found]


def _jobs() -> list[bytes]:
    return [*_files("example_jobs/*/job.toml"), *(text.encode() for text in HOSTILE_TOML)]


def _families() -> list[bytes]:
    return _files("layouts/families/*.toml", "example_jobs/*/families/*.toml")


def _schedules() -> list[bytes]:
    return [*_files("example_jobs/*/*.csv"), b'a;b\n"1";2\n', b'unit,box,port,capacity\n"a\nb",,,\n']


@cache
def plan_of(folder: Path) -> bytes:
    """The plan.json of a set of a job."""
    return _made(folder)["plan.json"]


@cache
def _made(folder: Path) -> dict[str, bytes]:
    from tagmaker.workflows import make  # noqa: PLC0415 — instrumented by the fuzzer before it is imported

    with tempfile.TemporaryDirectory() as work:
        out = Path(work) / "out"
        make.make(folder, out, selection=Selection(proof=False))
        return {path.name: path.read_bytes() for path in out.iterdir()}


def _workbooks() -> list[bytes]:
    cells = "".join(f'<c r="{letter}1" t="s"><v>{n}</v></c>' for n, letter in enumerate("ABCD"))
    row = '<c r="A2" t="inlineStr"><is><t>FC-1</t></is></c><c r="B2" t="s"><v>5</v></c>'
    rows = f'<row r="1">{cells}</row><row r="2" hidden="1">{row}<c r="D2" s="1"><f>1+1</f><v>24</v></c></row>'
    sheet = f"<sheetData>{rows}</sheetData><mergeCells><mergeCell ref='A1:B2'/></mergeCells>"
    return [sheet.encode(), *_files("example_jobs/*/*.xlsx", "tests/problems/*/*.xlsx")]


def _plans() -> list[bytes]:
    return [plan_of(BAKERY), plan_of(EXAMPLES / "bakery-extended"), b"[[[[[[[[", b"{}"]


def _scans() -> list[bytes]:
    from tagmaker.job.read import read_job  # noqa: PLC0415
    from tagmaker.plan.plan_job import plan_job  # noqa: PLC0415
    from tagmaker.tags.placard_text import (  # noqa: PLC0415 — as above
        BadPlacard,
        placard_text,
        read_placard,
    )

    job, _ = read_job(BAKERY)
    if job is None:
        raise ValueError(BAKERY)
    placards = [placard_text(job, box) for box in plan_job(job)[0].boxes]
    if any(isinstance(read_placard(each), BadPlacard) for each in placards):
        raise ValueError(placards)
    return [*_files("example_jobs/*/scans.txt"), *(each.encode() for each in placards)]


def _placards() -> list[str]:
    """The placards' texts of the smallest example."""
    from tagmaker.job.read import read_job  # noqa: PLC0415
    from tagmaker.plan.plan_job import plan_job  # noqa: PLC0415
    from tagmaker.tags.placard_text import placard_text  # noqa: PLC0415 — as above

    job, _ = read_job(BAKERY)
    return [placard_text(job, box) for box in plan_job(job)[0].boxes] if job else []


def _contacts() -> list[bytes]:
    """Contact cards of placards, one with a line that no placard has, one folded elsewhere."""
    from tagmaker.tags.placard_forms import in_form  # noqa: PLC0415

    cards = [in_form(text, "contact") for text in _placards()]
    odd = [each.replace("NOTE:", "TEL:1\r\nNOTE:") for each in cards]
    return [card.encode() for card in (*cards, *odd, *(each.replace("\r\n ", "") for each in cards))]


def _links() -> list[bytes]:
    """Fragments of links, one whose signs are all encoded, one that is cut within a sign."""
    from tagmaker.tags.placard_forms import in_form  # noqa: PLC0415

    links = [in_form(text, "link").removeprefix("#").encode() for text in _placards()]
    spelled = ["".join(f"%{byte:02X}" for byte in text.encode()).encode() for text in _placards()]
    return [*links, *spelled, *(each[:-1] + b"%E2%82" for each in links)]


def _typed_files() -> list[bytes]:
    """Files of what was typed beside pictures."""
    entry = {"picture": "0" * 64, "field": "BX-1/port/A/note", "value": "wet", "by": "A"}
    whole = {"format": "tagmaker typed 1", "entries": [entry | {"at": "2026-06-03T09:30:00Z"}]}
    none = {"format": "tagmaker typed 1", "entries": []}
    return [json.dumps(each).encode() for each in (whole, none, none | {"entries": [entry]})]


def _pictures() -> list[bytes]:
    made: list[bytes] = []
    for kind, mode in (("PNG", "L"), ("PNG", "RGBA"), ("PNG", "P"), ("PNG", "1"), ("JPEG", "RGB")):
        out = io.BytesIO()
        Image.new(mode, (24, 24)).save(out, kind)
        made.append(out.getvalue())
    return made


def _small_pdf(extra: str, root: str = "") -> bytes:
    """A PDF by hand, whose table of objects is not where it says: readers then look for them."""
    return (
        f"%PDF-1.7\n1 0 obj\n<</Type/Catalog/Pages 2 0 R {root}>>\nendobj\n"
        "2 0 obj\n<</Type/Pages/Kids[3 0 R]/Count 1>>\nendobj\n"
        "3 0 obj\n<</Type/Page/Parent 2 0 R/MediaBox[0 0 72 72]/Annots[5 0 R]>>\nendobj\n"
        f"{extra}\ntrailer\n<</Root 1 0 R/Size 9>>\nstartxref\n9\n%%EOF\n"
    ).encode()


def _pdfs() -> list[bytes]:
    widget = "5 0 obj\n<</Type/Annot/Subtype/Widget/FT/Btn/T(BX-1/left/seen)/V/Yes/Rect[0 0 9 9]>>\nendobj"
    loop = "5 0 obj\n<</Subtype/Widget/FT/Tx/T(a/b)/Kids[5 0 R]/Parent 5 0 R/V 5 0 R>>\nendobj"
    form = "/AcroForm<</Fields[5 0 R]>>"
    small = [_small_pdf(widget, form), _small_pdf(loop, form)]
    return [*small, *(path.read_bytes() for path in sorted((BAKERY / "returned").glob("*.pdf")))]


def _plain_pdfs() -> list[bytes]:
    """A walk sheet and a placard whose streams are not compressed, so that what is mutated is seen."""
    plain: list[bytes] = []
    for name in ("walk.pdf", "placards.pdf"):
        with pikepdf.open(io.BytesIO(_made(BAKERY)[name])) as document:
            del document.pages[1:]
            out = io.BytesIO()
            document.save(
                out,
                compress_streams=False,
                stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
                object_stream_mode=pikepdf.ObjectStreamMode.disable,
            )
        plain.append(out.getvalue())
    return [each for each in plain if len(each) < 60_000] + _pdfs()


def _phones() -> list[bytes]:
    own = [path.read_bytes() for path in sorted((BAKERY / "returned").glob("*.json"))]
    odd = b'{"format":"tagmaker walk 1","boxes":[{"box":"BX-1","printed_for":"","fields":{"BX-1/note":"x"}}]}'
    return [*own, odd, b"[" * 2000]


def _typed() -> list[bytes]:
    return [
        b"left bank 1: 1 2; right bank 1: 1 2, bank 2: 4\nG+H joined",
        b"all off\nA and B spare, C used",
        b"left 1/1 on, 2/4 off; right none\nrest spare",
    ]


def _quantities() -> list[bytes]:
    texts = ("72 kBtu/h", "1-1/8 in\nmm", "1,234 Btu/h", "0.5", "3/8\nin", "7,5 kW", "5 tons\n[kW]")
    return [text.encode() for text in texts]


_SEEDS = {
    "job": _jobs,
    "family": _families,
    "stock": lambda: _files("layouts/stocks/*.toml"),
    "csv": _schedules,
    "xlsx": _workbooks,
    "plan": _plans,
    "scans": _scans,
    "picture": _pictures,
    "scanned-pdf": _plain_pdfs,
    "returned-pdf": _plain_pdfs,
    "returned-json": _phones,
    "contact": _contacts,
    "link": _links,
    "typed": _typed_files,
    "words": _typed,
    "quantities": _quantities,
}
_TOML = [
    "[job]", "[[box]]", "[[unit]]", "[[walk_item]]", "[print]", "[bands]", "[[bank]]", "[[rule]]",
    "1979-05-27", "0xFFFFFFFFFFFFFFFFFFFFFFFF", "inf", "nan", "-1", "1e308", "999999", "true", "mains",
    "bank_names", "schedule", "port_counts", "positions", "places", "columns", "rows", "dots_per_mm",
    "dots_per_inch",
]  # fmt: skip
_WORDS = {
    "": ["BX-1", "\\xff", "\\x00"],
    "job": _TOML,
    "family": _TOML,
    "stock": _TOML,
    "xlsx": [
        "<c r=", "<row ", "<v>", "</c>", "<f>", "inlineStr", "<mergeCell ref=", "<cols>", "<col min=",
        "1E400", "-1", "FC-1", "BX-1", "#REF!", "A1048577", "XFE1",
    ],
    "scans": ["BOX BX-1 REV 0", "CRC 00000000", "BX-1/A/TRM", "BX-1/A/LIQ/FC-1", "BANK 1 ON none", "ton: "],
    "returned-pdf": ["/Kids", "/Parent", "/AcroForm", "/Fields", "/Annots", "/ObjStm", "/FlateDecode", " 0 R",
        "/Encrypt", "/Prev", "/XRef", "/Contents", "/Length", "/Opt", "/Ff", "/MaxLen"],
    "contact": ["BEGIN:VCARD", "END:VCARD", "VERSION:3.0", "FN:", "NOTE:", "\\n", "\\,", "\r\n ", "N:"],
    "link": ["%0A", "%25", "%F0%9F", "#", "+", "%00", "CRC%20", "END"],
    "typed": ["picture", "field", "value", "BX-1/left/1/1", "planned", "null", "1e999", "\\u202e"],
    "words": ["bank", "left", "right", "all", "none", "on", "off", "rest", "joined", "spare", "one"],
}  # fmt: skip

"""[print]: which stock serves what, and in which forms a placard's codes carry its text.

Every use of a stock has a default that fits whatever it is put on.

Takes the table and the job's folder; gives the stocks by use. A default needs no diameter: an unnamed pipe
stock is a tie-on tag and an unnamed cable stock a flag, both cut from the 30-label sheet. Where the job names
a tie-on stock for pipes at one stage, it serves the other stage too; where it names a roll for the final
stage, the rough-in has the tie-on roll of the same printer. A stock that the job names keeps its shape, and
is refused later where it does not go round its pipe.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.stock import Stock, Use, load_stock
from tagmaker.files.patterns import Pattern
from tagmaker.files.toml import Table, TomlFile, did_you_mean
from tagmaker.problems import Problem, Where, note, warning
from tagmaker.units import Length

__all__ = [
    "DEFAULT_LABELS",
    "PLACARD_FORMS",
    "PRINT_USES",
    "TIE_ON_HOLE",
    "PlacardForm",
    "Prints",
    "default_prints",
    "prints_with",
    "read_prints",
]

DEFAULT_LABELS = "letter-30-67x25"
DEFAULTS: dict[Use, str] = {
    "pipe": DEFAULT_LABELS,
    "pipe_rough_in": DEFAULT_LABELS,
    "cable": DEFAULT_LABELS,
    "terminal": DEFAULT_LABELS,
    "placard": "letter",
}
PRINT_USES: tuple[Use, ...] = (*DEFAULTS, "locator", "splitter", "unit", "isolation", "sign")
"""The uses whose stock a job may name, as keys of [print]."""
PITCH_AT_MOST_MM = 100
TIE_ON_HOLE = (4.2, 12.7, 5.0)  # mm, to be punched in a tag of the default stock
TIE_ON_ROLLS = ("roll-tie-on-76x51-203dpi", "roll-tie-on-76x51-300dpi")
FLAG_FOLD = 21.5  # mm, wraps cables of up to 6.35 mm (1/4 in)
PlacardForm = Literal["contact", "text", "link"]
"""In which form a code carries a placard's text: a contact card, the text itself, a link to a page."""
PLACARD_FORMS: tuple[PlacardForm, ...] = get_args(PlacardForm)
FORMS_DEFAULT: tuple[PlacardForm, ...] = ("contact", "text")
FORMS_AT_MOST = 2
LINK_AT_MOST = 80  # characters: each one makes the code larger
LINK = Pattern(
    r"https?://(?:[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?|\[[0-9A-Fa-f:.]+\])(?::\d{1,5})?"
    r"(?:/[A-Za-z0-9._~/%?&=-]*)?",
    re.ASCII,
)
LINK_HINT = 'write the page\'s address without "#", as "https://example.org/placard.html"'


class Prints(Struct, frozen=True):
    """The stock of each use that has one, and the pitch of a terminal row where strips are printed.

    `placard_codes` are the forms of a placard's two codes, the upper right one's first; `link` is the page's
    address for those that are links.
    """

    stocks: dict[str, Stock]
    terminal_pitch: Length | None
    placard_codes: tuple[PlacardForm, ...] = FORMS_DEFAULT
    link: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether every use has a stock that could be read: else nothing can be laid out."""
        return DEFAULTS.keys() <= self.stocks.keys()

    @property
    def without_codes(self) -> dict[str, Stock]:
        """The uses whose stocks carry no code, with those stocks."""
        return {use: stock for use, stock in self.stocks.items() if stock.symbol == "none"}

    @property
    def keeps_tied_on(self) -> bool:
        """Whether the pipes' tie-on tags of the rough-in stay: the lasting ones would be the same again."""
        pipe, before = self.stocks["pipe"], self.stocks["pipe_rough_in"]
        same = (pipe.name, pipe.shape) == (before.name, before.shape)
        return same and pipe.shape == "tie-on" and pipe.is_lasting


def read_prints(table: Table, folder: Path) -> Prints:
    """The stocks of a job; what has no default is printed only where the job names a stock for it."""
    stocks: dict[str, Stock] = {}
    for use in PRINT_USES:
        name = table.text(use, DEFAULTS.get(use, ""))
        if not name:
            continue
        stock, problems = load_stock(name, use, folder, table.where(use))
        table.problems += problems
        if stock and stock.shape == "strip" and use != "terminal":
            table.wrong("stock-unsuited", use, f"stock {name!r} is a strip, which is only for terminals")
        elif stock and use == "sign" and stock.shape != "label":
            message = f"stock {name!r} is a {stock.shape}: a sign is a page or a plain label"
            table.wrong("stock-unsuited", use, message)
        elif stock:
            stocks[use] = stock if table.has(use) else _shaped(stock, use)
    stocks |= _of_other_stage(stocks)
    pitch = table.length("terminal_pitch")
    terminal = stocks.get("terminal")
    if terminal and terminal.shape == "strip" and pitch is None:
        message = f"stock {terminal.name!r} is a strip: it needs the pitch of the terminals"
        table.wrong("key-missing", "terminal", message, 'measure it and write terminal_pitch = "0.3 in"')
    if pitch and pitch.mm > PITCH_AT_MOST_MM:
        table.wrong(
            "length-wrong", "terminal_pitch", f"the terminal pitch must be at most {PITCH_AT_MOST_MM} mm"
        )
        pitch = None
    forms = _forms(table)
    link = _link(table, forms)
    table.close()
    return Prints(stocks, pitch, forms, link)


def _forms(table: Table) -> tuple[PlacardForm, ...]:
    """The forms of both codes; one alone is that of both, since one code does not survive a blot on it."""
    named = table.texts("placard_code")
    schema = {"type": "array", "items": {"enum": [*PLACARD_FORMS]}, "minItems": 1, "maxItems": FORMS_AT_MOST}
    value = table.take("placard_code", schema)
    known = tuple(form for name in named for form in PLACARD_FORMS if form == name)
    wrong = [name for name in named if name not in PLACARD_FORMS]
    if wrong:
        message = f"'placard_code' cannot have {wrong[0]!r}"
        table.wrong("value-wrong", "placard_code", message, did_you_mean(wrong[0], PLACARD_FORMS))
    elif value == [] or len(named) > FORMS_AT_MOST:
        message = "'placard_code' must be a list of one or two forms"
        table.wrong("value-wrong", "placard_code", message, f"forms are {', '.join(PLACARD_FORMS)}")
    if wrong or not 0 < len(known) <= FORMS_AT_MOST:
        return FORMS_DEFAULT
    return known if len(known) == FORMS_AT_MOST else known * FORMS_AT_MOST


def _link(table: Table, forms: tuple[PlacardForm, ...]) -> str:
    """The address of the page that draws a placard's text; empty where none is given or it is wrong."""
    link = table.text("link")
    if not link:
        if "link" in forms:
            table.wrong(
                "key-missing", "placard_code", "a code in form 'link' needs the key 'link'", LINK_HINT
            )
        return ""
    if not LINK.fullmatch(link) or len(link) > LINK_AT_MOST:
        message = (
            f"link {link!r} is not an address of at most {LINK_AT_MOST} characters that a code can carry"
        )
        table.wrong("link-wrong", "link", message, LINK_HINT)
        return ""
    where = table.where("link")
    if "link" not in forms:
        message = "no code of a placard is a link: 'link' is not used"
        hint = 'write placard_code = ["contact", "link"]'
        table.problems.append(warning("link-unused", message, where, hint))
    elif link.startswith("http:"):
        message = "the page of the link is not kept on phones: without a network it does not open"
        hint = "use an address that begins with https, or keep a contact card or text as the other code"
        table.problems.append(note("link-plain", message, where, hint))
    return link


def prints_with(file: TomlFile, folder: Path, use: Use, name: str) -> tuple[Prints, list[Problem]]:
    """The stocks of a job's file if it named this stock for a use ("" = none), and what [print] lacks then.

    Problems that the file's [print] has anyway are left out.
    """
    present: list[Problem] = []
    table = Table.whole(file, present).table("print")
    others = {key: value for key, value in table.content.items() if key != use}
    read_prints(Table(file, present, table.path, table.content), folder)
    problems: list[Problem] = []
    content = others | ({use: name} if name else {})
    prints = read_prints(Table(file, problems, table.path, content), folder)
    return prints, [each for each in problems if each not in present]


def default_prints() -> Prints:
    """What serves a job that names no stock."""
    loaded = {use: load_stock(name, use, None, Where(name))[0] for use, name in DEFAULTS.items()}
    return Prints({use: _shaped(stock, use) for use, stock in loaded.items() if stock}, None)


def _of_other_stage(stocks: dict[str, Stock]) -> dict[str, Stock]:
    """A better default for the pipes of one stage than adhesive sheet, from what is named for the other."""
    for use, other in (("pipe", "pipe_rough_in"), ("pipe_rough_in", "pipe")):
        named = stocks.get(other)
        if use not in stocks or not stocks[use].is_default or named is None or named.is_default:
            continue
        if named.shape == "tie-on" and named.is_lasting:
            return {use: named}
        if use == "pipe_rough_in" and named.kind == "roll":
            return {use: next(_tie_on_rolls(named.dots_per_mm), stocks[use])}
    return {}


def _tie_on_rolls(dots_per_mm: float) -> Iterator[Stock]:
    """The tie-on rolls of the program for a printer's dots."""
    loaded = (load_stock(name, "pipe", None, Where(name))[0] for name in TIE_ON_ROLLS)
    return (stock for stock in loaded if stock and stock.dots_per_mm == dots_per_mm)


def _shaped(stock: Stock, use: Use) -> Stock:
    """An unnamed stock in the shape that needs no diameter: pipes get a tie-on tag, cables a flag."""
    if use in {"pipe", "pipe_rough_in"}:
        return replace(stock, shape="tie-on", hole=TIE_ON_HOLE, is_default=True)
    if use == "cable":
        return replace(stock, shape="flag", fold=FLAG_FOLD, is_default=True)
    return replace(stock, is_default=True)

"""Pages put together to sheets: several pages of one, several pictures of a page, what is missing.

Takes readings of pages with their sources; gives returns as forms and phones give them, and what is to be
reported: ticks that are unclear, handwriting that is to be typed, pages that were not handed in.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from operator import attrgetter
from urllib.parse import quote

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.problems import Problem, Where, error, note, warning
from tagmaker.revisions.form_pages import FormPage
from tagmaker.site.paper.readings import DOUBTFUL, PageFault, PageReading, Tick
from tagmaker.site.paper.typed import Cut, TypedCut, TypedEntry, matched, picture_digest, typed_returns
from tagmaker.site.walk.returns import Return
from tagmaker.tags.days_code import DaysPage
from tagmaker.tags.response import FilledRow, read_response_field, reading_name, rows_of_form
from tagmaker.tags.response_code import ResponsePage, response_page_code
from tagmaker.tags.sheet_names import SheetPage, first_page_code, is_reading, read_sheet_code
from tagmaker.tags.walk_code import WalkPage

__all__ = ["DaysOnPaper", "PaperReturns", "put_together"]

SHOWN = 12  # names in one message
UNCLEAR_HINT = (
    "until it is looked at again it counts as not seen; --cuts FOLDER writes pictures of all of them"
)
TYPE_HINT = (
    "type it beside its picture in the desk, or into the set's form and hand that in too; --cuts FOLDER "
    "writes pictures of all of it"
)
READING_HINT = (
    "type it beside its picture in the desk, or into the response.csv or response.pdf of this test and hand "
    "that in too; --cuts FOLDER writes pictures of all of it"
)
DAYS_HINT = (
    "type it beside its picture in the desk, or into the first-days.csv or first-days.pdf of this set and "
    "hand that in too; --cuts FOLDER writes pictures of all of it"
)
COVERED_HINT = "look whether a strip of another sheet is on the page, and photograph it without that"
MISSING_HINT = "what is on it counts as not seen"


class DaysOnPaper(Struct, frozen=True):
    """A sheet of first days: its source, its first page, the fields with handwriting."""

    source: str
    page: DaysPage
    written: tuple[str, ...]


class PaperReturns(Struct, frozen=True):
    """What came back on paper: a return a sheet, and what is to be reported.

    `written` are the names of the fields with handwriting, `cuts` pictures by a file's name: a field's, with
    "_" for "/", and a number where there are several; of a reading with its system, its round and its unit.
    `response` are blank rows, with their sources, of the pages of response tests, `readings` the fields with
    handwriting by the digests of their tests. `places` has where each cut is from; `typed` what persons typed
    beside cuts: `returns` have it too, as sources of their own. `days` are the sheets of first days.
    """

    returns: tuple[Return, ...] = ()
    problems: tuple[Problem, ...] = ()
    written: tuple[str, ...] = ()
    cuts: Mapping[str, bytes] = {}
    response: tuple[tuple[str, FilledRow], ...] = ()
    readings: Mapping[str, tuple[str, ...]] = {}
    places: Mapping[str, Cut] = {}
    typed: tuple[TypedCut, ...] = ()
    days: tuple[DaysOnPaper, ...] = ()


Read = tuple[str, PageReading | PageFault]


def put_together(
    found: Iterable[Read],
    printed: Mapping[str, Sequence[FormPage]],
    entries: Mapping[TypedEntry, str] | None = None,
) -> PaperReturns:
    """All pages, each with its source, as sheets; `printed` are the pages of the sets by their codes.

    `entries` are what persons typed beside pictures cut from paper, each with its file.
    """
    faults: list[Problem] = []
    sheets: dict[str, list[tuple[str, PageReading]]] = {}
    for source, page in found:
        if isinstance(page, PageFault):
            faults.append(error("paper-unread", page.message, Where(source), page.hint))
        else:
            sheets.setdefault(_sheet_of(page.code), []).append((source, page))
    kept = {
        _sheet_of(page.code): page.printed_for
        for page in chain.from_iterable(printed.values())
        if page.printed_for
    }
    returns: list[Return] = []
    written: dict[str, None] = {}
    rows: list[tuple[str, FilledRow]] = []
    readings: dict[str, tuple[str, ...]] = {}
    days: list[DaysOnPaper] = []
    cuts = dict(_cuts(chain.from_iterable(sheets.values())))
    ones = {code: _return_of(code, pages, kept.get(code, "")) for code, pages in sheets.items()}
    unclear = {code: one.unclear for code, one in ones.items()}
    typed, unused = matched(entries or {}, (cut for cut, _ in cuts.values()), unclear)
    known: dict[str, set[str]] = {}
    for each in filter(attrgetter("is_known"), typed):
        field = each.cut.field  # a tick beside which a unit is written is known once that is typed
        known.setdefault(each.cut.sheet, set()).update((field, field.replace("/found", "/ok")))
    for code, pages in sheets.items():
        one, named = ones[code], _named(code)
        names = _written(pages)
        faults += _reported(one, code, pages, _needed(named, printed), known.get(code, set()))
        if isinstance(named, ResponsePage):
            rows += _rows(named, pages, printed)
            readings[named.plan] = (*readings.get(named.plan, ()), *names)
        elif isinstance(named, DaysPage):
            days.append(DaysOnPaper(one.source, named, tuple(names)))
        else:
            returns.append(one)
            written |= dict.fromkeys(names)
    returns += typed_returns(typed, kept)
    pictures = {name: picture for name, (_, picture) in cuts.items()}
    places = {name: cut for name, (cut, _) in cuts.items()}
    problems = (*faults, *unused)
    return PaperReturns(
        tuple(returns), problems, tuple(written), pictures, tuple(rows), readings, places, tuple(typed),
        tuple(days),
    )  # fmt: skip


def _written(pages: Iterable[tuple[str, PageReading]]) -> list[str]:
    """The fields of a sheet with handwriting, each once."""
    return list(dict.fromkeys(name for _, page in pages for name in page.written))


def _needed(sheet: SheetPage, printed: Mapping[str, Sequence[FormPage]]) -> list[int]:
    """The pages of a sheet that must come back: of a response test those with readings."""
    numbers = range(1, sheet.pages + 1)
    if not isinstance(sheet, ResponsePage):
        return list(numbers)
    codes = {number: response_page_code(replace(sheet, page=number)) for number in numbers}
    return [number for number, code in codes.items() if any(map(is_reading, _fields(code, printed)))]


def _fields(code: str, printed: Mapping[str, Sequence[FormPage]]) -> list[str]:
    """The names of a page's fields."""
    return [name for page in printed.get(code, ())[:1] for name in page.fields]


def _rows(
    sheet: ResponsePage,
    pages: Iterable[tuple[str, PageReading]],
    printed: Mapping[str, Sequence[FormPage]],
) -> Iterator[tuple[str, FilledRow]]:
    """A blank row for each line of pages of a response test: what is written there is not read."""
    for source, page in pages:
        blank = [(name, "") for name in _fields(page.code, printed)]
        yield from ((source, row) for row in rows_of_form(blank, sheet.plan, sheet.system))


def _named(code: str) -> SheetPage:
    """A page's code read, which was read before."""
    page = read_sheet_code(code)
    if page is None:
        raise ValueError(f"{code!r} was read before, and is not the code of a page")
    return page


def _sheet_of(code: str) -> str:
    """The code of a sheet: of its first page."""
    return first_page_code(_named(code))


def _return_of(code: str, pages: Sequence[tuple[str, PageReading]], kept: str) -> Return:
    ticks = _agreed([page.ticks for _, page in pages])
    values = {name: tick == "ticked" for name, tick in ticks.items() if tick not in DOUBTFUL}
    unclear = tuple(name for name, tick in ticks.items() if tick in DOUBTFUL)
    source = ", ".join(dict.fromkeys(source for source, _ in pages))
    return Return(source, dict(values), {_named(code).sheet: kept}, unclear=unclear)


def _agreed(pages: Sequence[Mapping[str, Tick]]) -> dict[str, Tick]:
    """Every box's reading: pictures of one page that differ make it unclear; one that shows it is enough."""
    found: dict[str, set[Tick]] = {}
    for page in pages:
        for name, tick in page.items():
            found.setdefault(name, set()).add(tick)
    agreed: dict[str, Tick] = {}
    for name, ticks in found.items():
        seen = ticks - {"unseen"}
        agreed[name] = "unseen" if not seen else seen.pop() if len(seen) == 1 else "unclear"
    return agreed


def _reported(
    one: Return,
    code: str,
    pages: Sequence[tuple[str, PageReading]],
    needed: Iterable[int],
    typed: Collection[str],
) -> Iterator[Problem]:
    """Pages that are missing, ticks that are unclear, and handwriting of a sheet, less what was typed."""
    named, where = _named(code), Where(one.source)
    boxes = (named.box,) if isinstance(named, WalkPage) else ()
    found = {_named(page.code).page for _, page in pages}
    missing = [str(page) for page in needed if page not in found]
    if missing:
        message = f"page {', '.join(missing)} of {named.pages} of the {named.shown} was not handed in"
        yield warning("paper-missing", message, where, MISSING_HINT, boxes)
    if unclear := [name for name in one.unclear if name not in typed]:
        message = f"{named.shown}: not clear whether marked: {_list(unclear)}"
        yield warning("paper-unclear", message, where, UNCLEAR_HINT, boxes)
    if covered := list(dict.fromkeys(name for _, page in pages for name in page.covered)):
        message = f"another print lies at {_list(covered)}: what is marked there is unclear"
        yield warning("paper-unclear", message, where, COVERED_HINT, boxes)
    if written := [name for name in _written(pages) if name not in typed]:
        is_test = isinstance(named, ResponsePage)
        shown = [reading_name(name) for name in written] if is_test else written
        message = f"{named.shown}: handwriting is not read: {_list(shown)}"
        yield note("paper-handwriting", message, where, _type_hint(named), boxes)


def _type_hint(page: SheetPage) -> str:
    """What to do with the handwriting of a sheet."""
    if isinstance(page, ResponsePage):
        return READING_HINT
    return DAYS_HINT if isinstance(page, DaysPage) else TYPE_HINT


def _list(names: Sequence[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return f"{', '.join(names[:SHOWN])}{more}"


def _cuts(pages: Iterable[tuple[str, PageReading]]) -> Iterator[tuple[str, tuple[Cut, bytes]]]:
    """Each cut by the name of its file: where it is from, and its picture."""
    counts: dict[str, int] = {}
    for source, page in pages:
        sheet = _sheet_of(page.code)
        for field, picture in page.cuts.items():
            name = _cut_name(field, _named(page.code))
            counts[name] = counts.get(name, 0) + 1
            number = f"_{counts[name]}" if counts[name] > 1 else ""
            cut = Cut(picture_digest(picture), field, sheet, source)
            yield f"{name}{number}.png", (cut, picture)


def _cut_name(field: str, page: SheetPage) -> str:
    """The name of a field's picture; a reading's has its system or test, its round, and its place."""
    reading = read_response_field(field)
    if reading is None or not isinstance(page, ResponsePage):
        return field.replace("/", "_")
    box, port, unit, number = reading
    test = quote(page.system, safe="") or page.plan
    return f"response_{test}_round-{number}_{box}_{port}_{unit or 'stub'}"

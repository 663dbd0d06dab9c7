"""What persons typed beside pictures of paper, for `readback`: as records, as notes, and as lines to correct.

Takes the entries that belong to pictures; gives them so that nobody takes one for what a form said: each with
who typed it and when. A doubtful tick that a person found to differ is a line of the punch list.
"""

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.paper.typed import TypedCut
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.walk.findings import BoxFindings
from tagmaker.site.walk.returns import Sheet
from tagmaker.tags.fields import box_of, read_field
from tagmaker.tags.response_code import ResponsePage
from tagmaker.tags.sheet_names import read_sheet_code, sheet_of_field
from tagmaker.tags.system import system_sheet
from tagmaker.tags.walk import Digests
from tagmaker.tags.work_list import WorkItem

__all__ = [
    "TypedBack",
    "notes_of_systems",
    "typed_back",
    "typed_by_sheet",
    "typed_notes",
    "typed_of_test",
    "with_typed",
    "with_typed_readings",
]


class TypedBack(Struct, frozen=True):
    """An entry as `readback --json` has it; `source` is the paper. Of a tick `value` is a finding."""

    field: str
    value: str
    by: str
    at: str
    source: str


def typed_back(typed: Iterable[TypedCut]) -> tuple[TypedBack, ...]:
    """Entries as their records."""
    each = ((one.entry, one.cut.source) for one in typed)
    return tuple(TypedBack(entry.field, entry.value, entry.by, entry.at, source) for entry, source in each)


def typed_by_sheet(paper: PaperReturns) -> dict[str, list[TypedCut]]:
    """The entries of each box, by its tag in capitals, and of each system's sheets."""
    readings = {name for names in paper.readings.values() for name in names}
    found: dict[str, list[TypedCut]] = {}
    for one in paper.typed:
        if one.entry.field not in readings:
            found.setdefault(sheet_of_field(one.entry.field), []).append(one)
    return found


def notes_of_systems(paper: PaperReturns, tags: Iterable[str], words: Words) -> dict[str, list[str]]:
    """By the tag of each system a sentence for each entry of its sheets."""
    typed = typed_by_sheet(paper)
    return {tag: list(typed_notes(typed.get(system_sheet(tag.upper()), ()), words)) for tag in tags}


def typed_of_test(paper: PaperReturns, plan: str) -> list[TypedCut]:
    """The readings of a response test, by the test's digest."""
    pages = ((one, read_sheet_code(one.cut.sheet)) for one in paper.typed)
    return [one for one, page in pages if isinstance(page, ResponsePage) and page.plan == plan]


def with_typed(
    box: BoxFindings, sheets: Sequence[Sheet], typed: Iterable[TypedCut], today: Digests, words: Words
) -> BoxFindings:
    """A box with a note for each entry, and a line for each doubtful tick that a person found to differ."""
    counted = {sheet.source: sheet for sheet in sheets}
    typed = [one for one in typed if one.source in counted]
    lines = [
        _differs(box, one, words)
        for one in typed
        if one.entry.value == "differs" and _is_current_tick(one, counted[one.source], today)
    ]
    notes = [*box.notes, *typed_notes(typed, words)]
    return replace(box, punches=[*box.punches, *lines], notes=notes)


def _is_current_tick(one: TypedCut, sheet: Sheet, today: Digests) -> bool:
    """Whether it is about a tick of what is planned today; a switch's finding is among the switches."""
    field = read_field(one.entry.field)
    if field is None or field.kind != "tick" or not one.is_confirmation or sheet.printed is None:
        return False
    printed = sheet.printed.digests
    then, now = printed.places.get(field.place), today.places.get(field.place)
    return printed.whole == today.whole or (then is not None and then == now)


def _differs(box: BoxFindings, one: TypedCut, words: Words) -> WorkItem:
    place = _short(one.entry.field)
    return WorkItem(box.box, place, words("typed.differs", by=one.entry.by), words("typed.differs_do"))


def typed_notes(typed: Iterable[TypedCut], words: Words) -> Iterator[str]:
    """A sentence for each entry: what, by whom and when."""
    for one in typed:
        key = "typed.confirmed" if one.is_confirmation else "typed.note"
        entry = one.entry
        time = entry.at.replace("T", " ").replace("Z", " UTC")
        yield words(key, name=_short(entry.field), value=entry.value, by=entry.by, at=time)


def with_typed_readings(result: SystemResult, paper: PaperReturns, words: Words) -> SystemResult:
    """A response test's result with a note of who typed how many readings off its paper."""
    counts: dict[str, int] = {}
    for one in typed_of_test(paper, result.judged.calls.plan):
        counts[one.entry.by] = counts.get(one.entry.by, 0) + 1
    notes = [words("typed.readings", count=count, by=by) for by, count in counts.items()]
    return replace(result, notes=(*notes, *result.notes))


def _short(name: str) -> str:
    """A field's name without its box or system."""
    return name.removeprefix(f"{sheet_of_field(name)}/") or box_of(name)

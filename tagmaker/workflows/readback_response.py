"""Results of response tests as `readback` prints them: JSON records, and lines for a terminal."""

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.paper.typed import typed_rows
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.response.findings import Finding, FindingKind
from tagmaker.site.response.returns import ResponseReturns
from tagmaker.site.response.verdicts import PortVerdict, UnitVerdict
from tagmaker.tags.response import FilledRow, read_response_field, reading_name
from tagmaker.tags.work_list import WorkItem
from tagmaker.workflows.readback_typed import TypedBack

__all__ = [
    "ResponseOutline",
    "beside",
    "response_lines",
    "response_outline",
    "rows_on_paper",
    "untyped",
    "with_written",
]

SHOWN = 8  # names in one note


class FindingOutline(Struct, frozen=True):
    """A finding as `readback --json` has it: what is crossed, and what it is in words."""

    kind: FindingKind
    ports: tuple[str, ...]
    units: tuple[str, ...]
    wrong: str
    to_do: str
    expect: tuple[str, ...]


class ResponseOutline(Struct, frozen=True):
    """A system's response test as `readback --json` has it.

    `to_type` are the fields with handwriting that no other file has as a reading, `typed` the readings that
    persons typed off pictures of paper. `not_seen` are ports and units of which nothing is known, or nothing
    of what is planned there today.
    """

    system: str
    plan: str
    ports: tuple[PortVerdict, ...]
    units: tuple[UnitVerdict, ...]
    findings: tuple[FindingOutline, ...]
    notes: tuple[str, ...]
    to_type: tuple[str, ...] = ()
    typed: tuple[TypedBack, ...] = ()
    not_seen: tuple[str, ...] = ()


def response_outline(
    result: SystemResult, to_type: tuple[str, ...] = (), typed: tuple[TypedBack, ...] = ()
) -> ResponseOutline:
    """A result as its record, with what of its readings is to be typed, and what was typed off pictures."""
    judged = result.judged
    found = tuple(map(_finding, result.findings, result.items))
    return ResponseOutline(
        judged.calls.system, judged.calls.plan, judged.ports, judged.units, found, result.notes, to_type,
        typed, result.unseen,
    )  # fmt: skip


def untyped(
    written: Mapping[str, Sequence[str]], rows: Iterable[tuple[str, FilledRow]]
) -> dict[str, tuple[str, ...]]:
    """By test the fields with handwriting that no row has as a reading."""
    typed = {
        (row.plan.upper(), row.box.upper(), row.port, row.unit.upper(), number)
        for _, row in rows
        for number, reading in enumerate(row.readings, start=1)
        if reading
    }
    left = {
        plan: tuple(name for name in names if (plan, *(read_response_field(name) or ())) not in typed)
        for plan, names in written.items()
    }
    return {plan: names for plan, names in left.items() if names}


def rows_on_paper(paper: PaperReturns) -> ResponseReturns:
    """The lines of response tests' paper: blank where it is not typed, and what was typed beside pictures."""
    written = {plan for plan, names in paper.readings.items() if names}
    blank = [(source, row) for source, row in paper.response if row.plan in written]
    typed = list(typed_rows(paper.typed))
    return ResponseReturns(rows=(*blank, *typed), on_paper=frozenset(source for source, _ in blank))


def with_written(result: SystemResult, to_type: Mapping[str, Sequence[str]], words: Words) -> SystemResult:
    """A result with a note of the readings that are to be typed."""
    names = to_type.get(result.judged.calls.plan, ())
    if not names:
        return result
    more = f" … ({len(names)})" if len(names) > SHOWN else ""
    shown = ", ".join(map(reading_name, names[:SHOWN]))
    return replace(result, notes=(words("response.to_type", names=f"{shown}{more}"), *result.notes))


def _finding(finding: Finding, item: WorkItem) -> FindingOutline:
    return FindingOutline(finding.kind, finding.ports, finding.units, item.wrong, item.to_do, item.expect)


def beside(
    result: SystemResult, walked: Iterable[WorkItem], scanned: Iterable[WorkItem], words: Words
) -> SystemResult:
    """A result whose lines have what the walk and the scans found at the same letters."""
    found: dict[tuple[str, str], list[str]] = {}
    for key, items in (("response.walk_found", walked), ("response.scans_found", scanned)):
        for each in items:
            text = words(key, place=f"{each.box} {each.place}", wrong=each.wrong)
            found.setdefault((each.box.upper(), each.place), []).append(text)
    return replace(result, items=tuple(_with_found(item, found, words) for item in result.items))


def _with_found(item: WorkItem, found: Mapping[tuple[str, str], Sequence[str]], words: Words) -> WorkItem:
    """A line with what was found at its letters; a letter of another box has that box before it."""
    texts: list[str] = []
    for name in item.place.split(", "):
        box, _, port = name.rpartition("/")
        for letter in port.split("+"):
            texts += found.get(((box or item.box).upper(), words("punch.port", port=letter)), ())
    return replace(item, expect=(*item.expect, *texts))


def response_lines(result: SystemResult, words: Words, *, has_punches: bool) -> list[str]:
    """How many ports and units are right, what is wrong, what was not seen, and what readings do not show.

    A unit counts as piped right only where the stub of its port was read.
    What is wrong is left out where the punches of the boxes are printed too.
    """
    judged, calls = result.judged, result.judged.calls
    lines = [words("response.head", plan=calls.plan, system=calls.system or "–")]
    called = [port for port in judged.ports if port.verdict == "as called"]
    piped = [unit for unit in judged.units if unit.verdict == "as piped" and unit.stub_read]
    units, every = len(piped), len(judged.units)
    lines.append(
        "    " + words("response.fine", count=len(called), of=len(calls.ports), units=units, all=every)
    )
    for item in () if has_punches else result.items:
        lines += [f"    {item.box} {item.place}: {item.wrong}", f"        do: {item.to_do}"]
        lines += [f"        {sentence}" for sentence in item.expect]
    if result.unseen:
        lines.append("    " + words("response.not_seen", names=", ".join(result.unseen)))
    return [*lines, *(f"    note: {text}" for text in result.notes)]

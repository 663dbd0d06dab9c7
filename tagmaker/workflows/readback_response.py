"""Results of response tests as `readback` prints them: JSON records, and lines for a terminal."""

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.site.response.compare import SystemResult
from tagmaker.site.response.findings import Finding, FindingKind
from tagmaker.site.response.verdicts import PortVerdict, UnitVerdict
from tagmaker.tags.work_list import WorkItem

__all__ = ["ResponseOutline", "response_lines", "response_outline"]


class FindingOutline(Struct, frozen=True):
    """A finding as `readback --json` has it: what is crossed, and what it is in words."""

    kind: FindingKind
    ports: tuple[str, ...]
    units: tuple[str, ...]
    wrong: str
    to_do: str
    expect: tuple[str, ...]


class ResponseOutline(Struct, frozen=True):
    """A system's response test as `readback --json` has it."""

    system: str
    plan: str
    ports: tuple[PortVerdict, ...]
    units: tuple[UnitVerdict, ...]
    findings: tuple[FindingOutline, ...]
    notes: tuple[str, ...]


def response_outline(result: SystemResult) -> ResponseOutline:
    """A result as its record."""
    judged = result.judged
    found = tuple(map(_finding, result.findings, result.items))
    return ResponseOutline(
        judged.calls.system, judged.calls.plan, judged.ports, judged.units, found, result.notes
    )


def _finding(finding: Finding, item: WorkItem) -> FindingOutline:
    return FindingOutline(finding.kind, finding.ports, finding.units, item.wrong, item.to_do, item.expect)


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
    return [*lines, *(f"    note {text}" for text in result.notes)]

"""What `scan --json` and `scan --rebuild` print: records whose fields are the keys.

Takes verdicts of scans and results of terminals.
"""

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct

from tagmaker.plan.outline import Btuh
from tagmaker.site.scans.age import Age
from tagmaker.site.scans.codes import ScanKind
from tagmaker.site.scans.judge import Verdict
from tagmaker.site.scans.landing import PROVES, Crossing, LandingResult, PortResult
from tagmaker.site.scans.rebuild import RebuiltBoard, RebuiltBox, RebuiltPort, rebuild
from tagmaker.tags.codes import TagCode, What
from tagmaker.tags.model import End

__all__ = ["RebuiltOutline", "ScansOutline", "scans_outline"]


class ScanHead(Struct, frozen=True):
    """What every scan begins with in `scan --json`."""

    text: str
    source: str
    kind: ScanKind
    belongs: bool | None


class UnknownScan(ScanHead, frozen=True):
    """A scan as `scan --json` has it where its text is neither a tag nor a placard that can be read."""

    differences: tuple[str, ...]
    age: Literal[Age, ""]


class TagScan(ScanHead, frozen=True):
    """A scanned tag as `scan --json` has it, with the parts of its code.

    `port` and `unit` are "" where the code has none.
    """

    box: str
    port: str
    what: What
    unit: str
    end: End
    differences: tuple[str, ...]
    age: Literal[Age, ""]


class PlacardScan(ScanHead, frozen=True):
    """A scanned placard as `scan --json` has it.

    `tag` to `ports` are the box that its text gives, as in a `RebuiltBox`; `box` is the same tag again, under
    the key that it has in a tag's scan.
    """

    tag: str
    revision: str
    number: str
    port_count: int
    load_btuh: Btuh
    boards: tuple[RebuiltBoard, ...]
    ports: tuple[RebuiltPort, ...]
    box: str
    differences: tuple[str, ...]
    age: Literal[Age, ""]


class TerminalOutline(Struct, frozen=True):
    """A terminal's result as `scan --json` has it: agree, missing, crossed or not scanned."""

    box: str
    port: str
    result: LandingResult
    missing: tuple[str, ...]
    crossed: tuple[Crossing, ...]
    closed: str


class ScansOutline(Struct, frozen=True):
    """What `scan --json` prints beside the problems, scans in the order read, terminals in walking order."""

    scans: tuple[UnknownScan | TagScan | PlacardScan, ...]
    landing: tuple[TerminalOutline, ...]
    proves: str


class RebuiltOutline(Struct, frozen=True):
    """What `scan --rebuild` prints: the boxes that the scanned paper alone gives."""

    boxes: tuple[RebuiltBox, ...]


def scans_outline(verdicts: Iterable[Verdict], results: Iterable[PortResult]) -> ScansOutline:
    """Verdicts and results as a record of the JSON keys."""
    return ScansOutline(tuple(map(_verdict, verdicts)), tuple(map(_terminal, results)), PROVES)


def _verdict(verdict: Verdict) -> UnknownScan | TagScan | PlacardScan:
    found = verdict.scan
    if found.tag:
        return _tag(verdict, found.tag)
    if found.placard:
        return _placard(verdict, rebuild([found])[0])
    return UnknownScan(*_head(verdict), verdict.differences, verdict.age)


def _head(verdict: Verdict) -> tuple[str, str, ScanKind, bool | None]:
    """The fields of a `ScanHead`."""
    return verdict.scan.text, verdict.scan.source, verdict.scan.kind, verdict.belongs


def _placard(verdict: Verdict, box: RebuiltBox) -> PlacardScan:
    return PlacardScan(
        *_head(verdict),
        tag=box.tag, revision=box.revision, number=box.number,
        port_count=box.port_count, load_btuh=box.load_btuh, boards=box.boards, ports=box.ports,
        box=box.tag, differences=verdict.differences, age=verdict.age,
    )  # fmt: skip


def _tag(verdict: Verdict, tag: TagCode) -> TagScan:
    return TagScan(
        *_head(verdict), tag.box, tag.port, tag.what, tag.unit, tag.end, verdict.differences, verdict.age
    )


def _terminal(result: PortResult) -> TerminalOutline:
    return TerminalOutline(
        result.box, result.letter, result.result, result.missing, result.crossings, result.closed
    )

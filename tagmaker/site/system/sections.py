"""What valves may shut off from nitrogen and vacuum, as it came back: a line a section.

Takes the merged sheets; gives the outdoor unit's own valves, each box's, and each unit's branch. A section
that is neither ticked as opened nor as with a gauge is not seen; where the test is ticked as held all the
same, it differs: nothing shows that this section was tested.
"""

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.job.model import BoxRow, UnitRow
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.filled import Filled
from tagmaker.site.system.points import Pen, Point, listed
from tagmaker.tags.system import section_parts, sections

__all__ = ["SectionFound", "section_points", "sections_found"]

WAYS = ("opened", "gauges")
SectionState = Literal["as planned", "differs", "not seen"]


class SectionFound(Struct, frozen=True):
    """A section: whether its valves were opened, or it has a gauge, by whom in its box; and what follows.

    `unit` is empty for a box's own valves, `box` too for the outdoor unit's, which `is_shut` is of: they stay
    shut. The outdoor unit's tag is `outdoor`.
    """

    box: str
    unit: str
    is_opened: bool
    has_gauges: bool
    by: str
    result: SectionState
    outdoor: str = ""
    is_shut: bool = False

    @property
    def name(self) -> str:
        """Its tag."""
        return self.unit or self.box or self.outdoor


def sections_found(pen: Pen, system: SystemPlan) -> tuple[SectionFound, ...]:
    """The outdoor unit's valves, then every section in walking order."""
    return (
        _outdoor(pen.filled, system),
        *(_section(pen.filled, box, unit) for box, unit in sections(system)),
    )


def _outdoor(filled: Filled, system: SystemPlan) -> SectionFound:
    is_shut = filled.is_ticked("test", "outdoor")
    return SectionFound(
        box="",
        unit="",
        is_opened=False,
        has_gauges=False,
        by="",
        result=_result(filled, is_known=is_shut),
        outdoor=system.row.outdoor,
        is_shut=is_shut,
    )


def _section(filled: Filled, box: BoxRow, unit: UnitRow | None) -> SectionFound:
    is_opened, has_gauges = (filled.is_ticked(*section_parts(box, unit), way) for way in WAYS)
    by = filled.text(*section_parts(box), "by")
    result = _result(filled, is_known=is_opened or has_gauges)
    return SectionFound(box.shown, unit.tag if unit else "", is_opened, has_gauges, by, result)


def _result(filled: Filled, *, is_known: bool) -> SectionState:
    if is_known:
        return "as planned"
    return "differs" if filled.is_ticked("gate", "tested", "ok") else "not seen"


def section_points(pen: Pen, system: SystemPlan, found: Sequence[SectionFound]) -> Iterator[Point]:
    """Box by box the sections that are not known to be open and have no gauge, and names that are missing.

    The outdoor unit's valves are among the ticks of the test: here only where the test rests on them.
    """
    outdoor, *others = found
    if outdoor.result == "differs":
        yield pen.wrong("outdoor_tested")
    for_box: dict[str, list[tuple[UnitRow | None, SectionFound]]] = {}
    for (box, unit), each in zip(sections(system), others, strict=True):
        for_box.setdefault(box.key, []).append((unit, each))
    for box in system.boxes:
        yield from _box_points(pen, box, for_box[box.key])
        if not for_box[box.key][0][1].by:
            yield pen.missing(f"{box.shown}: {pen.words('system.by')}", *section_parts(box), "by")


def _box_points(pen: Pen, box: BoxRow, own: Sequence[tuple[UnitRow | None, SectionFound]]) -> Iterator[Point]:
    """The sections of a box: unclear ones, and those of which nothing is ticked."""
    left = [(unit, each) for unit, each in own if each.result != "as planned"]
    unclear = [each.name for unit, each in left if _is_unclear(pen, box, unit)]
    unticked = [each.name for _, each in left if each.name not in unclear]
    if unclear:
        yield pen.open_point("section_unclear", box=box.shown, names=listed(unclear))
    if unticked:
        yield pen.open_point("section", box=box.shown, names=listed(unticked))
    if any(each.result == "differs" for _, each in left):
        yield pen.wrong("section_tested", box=box.shown, names=listed([each.name for _, each in left]))


def _is_unclear(pen: Pen, box: BoxRow, unit: UnitRow | None) -> bool:
    return any((*section_parts(box, unit), way) in pen.filled.unclear for way in WAYS)

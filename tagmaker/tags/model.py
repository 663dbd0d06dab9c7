"""A tag as words, before its place on a page is known; and the types of its parts.

The kinds of tags, their ends, the stages of the works and the kits exist here once, as types: every list of
them is `get_args` of one of these.
"""

import math
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.plan.model import PortUse
from tagmaker.problems import Where

__all__ = [
    "AT_TERMINALS",
    "NAMED",
    "PIPES",
    "BoxKind",
    "End",
    "Kit",
    "LineKind",
    "OutsideDiameter",
    "PipeKind",
    "PortKind",
    "Stage",
    "Tag",
    "TagKind",
    "UnitKind",
]

PipeKind = Literal["liquid", "gas"]
"""The two pipes of a port."""
LineKind = Literal[PipeKind, "cable"]
"""What leads from a port to a unit."""
PortKind = Literal[LineKind, "terminal"]
"""Kinds of tags that belong to a port."""
BoxKind = Literal["locator", "main-liquid", "main-suction", "main-hot-gas", "isolation"]
"""Kinds of labels that belong to a box as a whole."""
UnitKind = Literal["splitter", "unit", "controller"]
"""Kinds of labels that belong to one unit: its pipes at a splitter, the unit itself, its controller."""
TagKind = Literal[PortKind, BoxKind, UnitKind]
PIPES: frozenset[PipeKind] = frozenset(get_args(PipeKind))
AT_TERMINALS: frozenset[PortKind] = frozenset({"cable", "terminal"})
"""Tags that are put on inside the control box, at rough-in already.

Sets of kinds are named and typed: in a bare `kind in {…}` mypy sees no typo.
"""
NAMED: frozenset[UnitKind] = frozenset({"unit", "controller"})
"""Labels of a unit itself: its tag is the huge text, not the port's letter."""
End = Literal["box", "unit"]
"""At which end of its line a tag is put."""
Stage = Literal["rough-in", "final"]
"""Stages of the works: before the pipes are brazed and insulated, and after the pressure test."""
Kit = Literal["box", "cables", "lines"]
"""The kits in which tags are handed out."""


class OutsideDiameter(Struct, frozen=True):
    """What a tag wraps round.

    `diameter` is in mm; `text` is the same in the unit that was given, metric or not.
    """

    diameter: float
    text: str
    is_metric: bool

    @property
    def circumference(self) -> float:
        """Once round it, in mm."""
        return math.pi * self.diameter


class Tag(Struct, frozen=True):
    """One tag: its code, what people read, and the row that it came from.

    `use` and `port` are empty where the tag belongs to no port. `units` and `rooms` are those printed;
    `remark` is a sentence beside them, printed as a caution where `is_caution`; `short` is the same where
    there is little room. `address` is printed at a unit that has one. `outside` is None where no diameter is
    known. `board` is the place of the board that serves the port, `board_ports` how many ports it serves;
    `stock_use` is the key of [print] whose stock the tag takes. `is_late` marks what is stuck on only after
    the pressure test. `hardware` names the family and size of the box that a tag is put on: with another box
    all its tags are put on again, even those that read the same. `pipe` is which pipe it is put on, empty
    where it is no pipe's. `beside` is printed where other tags have their units.
    """

    code: str
    kind: TagKind
    use: Literal[PortUse, ""]
    end: End
    box: str
    box_shown: str
    port: str
    units: tuple[str, ...]
    rooms: tuple[str, ...]
    headline: str
    remark: str
    is_caution: bool
    end_text: str
    revision: str
    revision_text: str
    where: Where
    outside: OutsideDiameter | None = None
    board: str = ""
    board_ports: int = 1
    stock_use: str = ""
    short: str = ""
    address: str = ""
    is_late: bool = False
    is_draft: bool = False
    hardware: str = ""
    pipe: Literal[PipeKind, ""] = ""
    beside: str = ""

    @property
    def has_letter(self) -> bool:
        """Whether its one huge text is the port's letter."""
        return bool(self.port) and self.kind not in NAMED

    @property
    def big(self) -> str:
        """The one huge text on the tag: the port's letter, the unit, or the box where it is no port's."""
        return self.units[0] if self.kind in NAMED else self.port or self.box_shown

    @property
    def look(self) -> TagKind:
        """The kind whose frame its kind's word has: that of its pipe, so that both ends look alike."""
        return self.pipe or self.kind

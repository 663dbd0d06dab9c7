"""A tag as words, before anyone knows where it will lie."""

import math

from msgspec import Struct

from tagmaker.problems import Where

__all__ = ["OutsideDiameter", "Tag"]


class OutsideDiameter(Struct, frozen=True):
    """What a tag goes round: outside diameter and circumference in mm, and the diameter as people say it."""

    diameter: float
    said: str
    is_metric: bool

    @property
    def circumference(self) -> float:
        """Once round it, in mm."""
        return math.pi * self.diameter


class Tag(Struct, frozen=True):
    """One tag: its code, what people read, and the row that it came from.

    `kind` is liquid, gas, cable or terminal, or a kind of its own where the tag is no port's; `use` single,
    joined or spare; `end` box or unit. `units` and `rooms` are those printed; `remark` is a sentence beside
    them, loud where `is_caution`. `outside` is None where no diameter is known. `board` is the place of the
    board that serves the port, one of `board_ports`; `stock_use` the key of [print] whose stock the tag
    takes. `is_late` marks what is stuck on only after the pressure test. `hardware` names
    the sort of box that a tag at the box hangs on: with another box it would have to be hung anew.
    """

    code: str
    kind: str
    use: str
    end: str
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
    is_late: bool = False
    is_draft: bool = False
    hardware: str = ""

    @property
    def big(self) -> str:
        """The one huge thing on the tag: the port's letter, or the box where the tag is no port's."""
        return self.port or self.box_shown

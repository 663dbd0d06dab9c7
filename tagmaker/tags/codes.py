"""The text in a tag's code, written and read.

At the box BOX/PORT/WHAT, at a unit BOX/PORT/WHAT/UNIT, on a cable that goes on from a unit to the next one
BOX/PORT/COM/UNIT/ON, on a unit's pipe at the splitter of a shared port BOX/PORT/LIQ/UNIT/SPL; on a label of
the box itself BOX/WHAT. PORT is one letter, a pair's first one for all but its pipes and terminals at the
box. Codes are in capitals: those are in a QR code's alphanumeric mode, which takes 5.5 bits a character
instead of 8, so that modules can be larger.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.files.patterns import Pattern
from tagmaker.tags.model import BoxKind, End, PortKind, UnitKind

__all__ = ["BOX_WHAT", "PORT_WHAT", "UNIT_WHAT", "TagCode", "What", "read_code"]

PortWhat = Literal["LIQ", "GAS", "COM", "TRM"]
BoxWhat = Literal["LOC", "LIQ", "SUC", "HOT", "ISO"]
UnitWhat = Literal["UNT", "CTL"]
What = Literal[PortWhat, BoxWhat, UnitWhat]
"""What a tag is put on. LIQ is a port's pipe in a code with a port, and a main in a code without one."""
PORT_WHAT: Mapping[PortKind, PortWhat] = MappingProxyType(
    {"liquid": "LIQ", "gas": "GAS", "cable": "COM", "terminal": "TRM"}
)
BOX_WHAT: Mapping[BoxKind, BoxWhat] = MappingProxyType(
    {
        "locator": "LOC",
        "main-liquid": "LIQ",
        "main-suction": "SUC",
        "main-hot-gas": "HOT",
        "isolation": "ISO",
    }
)  # fmt: skip
UNIT_WHAT: Mapping[UnitKind, UnitWhat] = MappingProxyType({"unit": "UNT", "controller": "CTL"})
"""Of labels of units; those at splitters have the word of their pipe."""
WHATS: Mapping[str, What] = MappingProxyType(
    {what: what for what in (*PORT_WHAT.values(), *BOX_WHAT.values(), *UNIT_WHAT.values())}
)
ON = "/ON"
SPLITTER = "/SPL"
TAG = "[A-Z0-9][A-Z0-9-]{0,23}"
PORT_CODE = Pattern(rf"({TAG})/([A-Z])/({'|'.join(PORT_WHAT.values())})(?:/({TAG})({ON}|{SPLITTER})?)?")
UNIT_CODE = Pattern(rf"({TAG})/([A-Z])/({'|'.join(UNIT_WHAT.values())})/({TAG})")
BOX_CODE = Pattern(rf"({TAG})/({'|'.join(BOX_WHAT.values())})")


class TagCode(Struct, frozen=True):
    """A tag's code in its parts, in capitals; port and unit are empty where it has none.

    `goes_on` is the cable that leads from the unit to the next unit of its port, `at_splitter` its pipe where
    that of the port divides.
    """

    box: str
    port: str
    what: What
    unit: str = ""
    goes_on: bool = False
    at_splitter: bool = False

    @property
    def text(self) -> str:
        """The code as printed; `read_code` gives the parts again."""
        end = ON if self.goes_on else SPLITTER if self.at_splitter else ""
        return "/".join(filter(None, (self.box, self.port, self.what, self.unit))) + end

    @property
    def end(self) -> End:
        """At which end of the line the tag belongs."""
        return "unit" if self.unit else "box"


def read_code(text: str) -> TagCode | None:
    """A code's parts, whatever its case and the spaces round it; None where the text is no tag's code."""
    if not text.isascii():  # capitals of other signs may be letters of a code: those of ß are SS
        return None
    bare = text.strip().upper()
    if match := PORT_CODE.fullmatch(bare):
        what, is_split = WHATS[match[3]], match[5] == SPLITTER
        if (what == "TRM" and match[4]) or (what == "COM" and is_split):
            return None  # terminals are at the box alone, splitters are of pipes
        unit = match[4] or ""
        return TagCode(match[1], match[2], what, unit, goes_on=match[5] == ON, at_splitter=is_split)
    if match := UNIT_CODE.fullmatch(bare):
        return TagCode(match[1], match[2], WHATS[match[3]], match[4])
    match = BOX_CODE.fullmatch(bare)
    return TagCode(match[1], "", WHATS[match[2]]) if match else None

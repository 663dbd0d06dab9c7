"""The text in a tag's code, written and read.

At the box BOX/PORT/WHAT, at a unit BOX/PORT/WHAT/UNIT, on a cable that goes on from a unit to the next one
BOX/PORT/COM/UNIT/ON; on a label of the box itself BOX/WHAT. PORT is one letter, a pair's first one for all
but its pipes and terminals at the box. Codes are in capitals: those are in a QR code's alphanumeric mode,
which takes 5.5 bits a character instead of 8, so that modules can be larger.
"""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.tags.model import BoxKind, End, PortKind

__all__ = ["BOX_WHAT", "PORT_WHAT", "TagCode", "What", "read_code"]

PortWhat = Literal["LIQ", "GAS", "COM", "TRM"]
BoxWhat = Literal["LOC", "LIQ", "SUC", "HOT"]
What = Literal[PortWhat, BoxWhat]
"""What a tag is put on. LIQ is a port's pipe in a code with a port, and a main in a code without one."""
PORT_WHAT: Mapping[PortKind, PortWhat] = MappingProxyType(
    {"liquid": "LIQ", "gas": "GAS", "cable": "COM", "terminal": "TRM"}
)
BOX_WHAT: Mapping[BoxKind, BoxWhat] = MappingProxyType(
    {"locator": "LOC", "main-liquid": "LIQ", "main-suction": "SUC", "main-hot-gas": "HOT"}
)
WHATS: Mapping[str, What] = MappingProxyType(
    {what: what for what in (*PORT_WHAT.values(), *BOX_WHAT.values())}
)
ON = "/ON"
TAG = "[A-Z0-9][A-Z0-9-]{0,23}"
PORT_CODE = re.compile(rf"({TAG})/([A-Z])/({'|'.join(PORT_WHAT.values())})(?:/({TAG})({ON})?)?")
BOX_CODE = re.compile(rf"({TAG})/({'|'.join(BOX_WHAT.values())})")


class TagCode(Struct, frozen=True):
    """A tag's code in its parts, in capitals; port and unit are empty where it has none.

    `goes_on` is the cable that leads from the unit to the next unit of its port.
    """

    box: str
    port: str
    what: What
    unit: str = ""
    goes_on: bool = False

    @property
    def text(self) -> str:
        """The code as printed; `read_code` gives the parts again."""
        return "/".join(filter(None, (self.box, self.port, self.what, self.unit))) + (
            ON if self.goes_on else ""
        )

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
        if match[3] == "TRM" and match[4]:  # terminals are at the box alone
            return None
        return TagCode(match[1], match[2], WHATS[match[3]], match[4] or "", goes_on=bool(match[5]))
    match = BOX_CODE.fullmatch(bare)
    return TagCode(match[1], "", WHATS[match[2]]) if match else None

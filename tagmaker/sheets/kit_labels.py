"""What slips and the list of rooms need of a label: no more, as a campus has 100,000."""

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.sheets.place import Placed
from tagmaker.tags.model import End, TagKind

__all__ = ["KitLabel", "kit_label"]


class KitLabel(Struct, frozen=True):
    """A label's box, kind, end, port and first unit ("" where it has none); its stock, its page from 1."""

    box: str
    kind: TagKind
    end: End
    port: str
    unit: str
    stock: Stock
    page: int


def kit_label(placed: Placed) -> KitLabel:
    """The same of a label in its place."""
    tag = placed.label.tag
    unit = tag.units[0] if tag.units else ""
    return KitLabel(tag.box, tag.kind, tag.end, tag.port, unit, placed.stock, placed.page)

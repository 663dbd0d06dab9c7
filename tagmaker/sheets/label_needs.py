"""How high each text of a label must be, and may be at most, so that all labels of a job are alike.

Takes a tag, its stock and the job's widest texts; gives styles. Labels are tried with the heights that the
reading distances ask for, then with ever lower ones: `share` is how much of them is asked for. A caution is
never lower than that of a low label.
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.reading import Sight, reading_rules
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Align, TextRole
from tagmaker.tags.model import Tag, TagKind
from tagmaker.typeset.fonts import BOLD, face
from tagmaker.typeset.text import LEGIBLE_MM, Style

__all__ = [
    "LEADING",
    "ROUNDED",
    "SHARES",
    "Setting",
    "Share",
    "Short",
    "Widest",
    "caps_across",
    "shorts_of",
    "sight_of",
    "widest_of",
]

Share = tuple[float, float]
"""How much of the heights that are needed is asked for: of most texts, and of names, which may be long."""
SHARES: tuple[Share, ...] = (
    *((1.0, 1.0), (1.0, 0.8), (1.0, 0.65), (0.9, 0.9), (0.8, 0.8), (0.65, 0.65), (0.5, 0.5)),
    *((0.0, 0.0), (-1.0, -1.0)),
)
"""The first at which all fits is taken. At 0 a text must only be legible, and rooms may be left out; at last
tags may break after a hyphen."""
LONG: frozenset[TextRole] = frozenset({"box", "unit", "units"})
LEADING = 1.36  # of lines in capitals, and of small facts
ROOMY: Mapping[TextRole, float] = MappingProxyType(
    {"unit": 0.12, "units": 0.09, "fact": 0.06, "caution": 0.136}
)
"""Heights of texts as parts of a label's height, where that is more than they need."""
ROUNDED = 0.05  # mm: lengths are reported with one decimal, and compared with it
NAMES: Mapping[TextRole, str] = MappingProxyType(
    {
        "main": "letter",
        "box": "box",
        "kind": "kind",
        "unit": "unit",
        "units": "list of units",
        "fact": "room, end, revision or remark",
        "caution": "caution",
    }
)
LETTERS = {
    "cable": "letter_cable", "terminal": "letter_terminal", "locator": "locator",
    "main-liquid": "box", "main-suction": "box", "main-hot-gas": "box",
    "isolation": "unit", "unit": "box", "controller": "unit",
}  # fmt: skip
"""How the main text is read: a port's letter, or the box or unit where a tag has no letter."""


class Widest(Struct, frozen=True):
    """The widest box tag and unit tag of a job: their sizes are those of all others."""

    box: str = ""
    unit: str = ""


def widest_of(boxes: Iterable[str], units: Iterable[str]) -> Widest:
    """The widest texts of a job's boxes and units."""
    return Widest(max(boxes, key=_width, default=""), max(units, key=_width, default=""))


def _width(text: str) -> float:
    """Width in capitals of the bold face; 0 for one that cannot be printed: reported elsewhere."""
    bold = face(BOLD)
    return 0.0 if bold.missing(text) else bold.width(text, 1.0) / bold.cap_height


def caps_across(text: str, width: float) -> float:
    """The height of bold capitals at which a text is so wide."""
    return width / (_width(text) or 1.0)


@lru_cache(maxsize=256)
def sight_of(role: TextRole, kind: TagKind, shape: str, label_height: float) -> Sight:
    """How a text of a tag is read, by its role, the tag's kind, and its stock's shape and height."""
    rules = reading_rules()
    if role == "main":
        return rules.texts[LETTERS.get(kind, "letter")]
    if shape == "strip":
        return rules.texts["cell"]
    return rules.caution(label_height) if role == "caution" else rules.texts[role]


class Short(Struct, frozen=True):
    """A text that is lower than its distance asks for: what it is, its height in mm, and how it is read."""

    what: str
    caps: float
    sight: Sight

    @property
    def message(self) -> str:
        """The text with its height, from how far it reads and from how far it should."""
        caps, sight = self.caps, self.sight
        return (
            f"{self.what} {caps:.1f} mm high reads from {sight.reads_from(caps):.1f} m, "
            f"not from {sight.distance:g} m ({sight.floor:.1f} mm)"
        )


def shorts_of(tag: Tag, stock: Stock, heights: Mapping[TextRole, float]) -> list[Short]:
    """The texts of a label that are too low, by the heights of each role."""
    sights = {role: sight_of(role, tag.kind, stock.shape, stock.label[1]) for role in heights}
    names = NAMES if tag.has_letter else {**NAMES, "main": "unit" if tag.port else "box"}
    return [
        Short(names[role], caps, sights[role])
        for role, caps in heights.items()
        if caps < sights[role].floor - ROUNDED
    ]


class Setting(Struct, frozen=True):
    """A tag to set on a stock, and which share of the heights that texts, and `names`, need is asked for."""

    tag: Tag
    words: Words
    stock: Stock
    widest: Widest
    share: float = 1.0
    names: float = 1.0

    @property
    def is_last(self) -> bool:
        """Whether tags may break, as nothing else is left to try."""
        return self.share < 0

    def sight(self, role: TextRole) -> Sight:
        """How the text of a role is read."""
        return sight_of(role, self.tag.kind, self.stock.shape, self.stock.label[1])

    def least(self, role: TextRole) -> float:
        """The height in mm below which the text is not set."""
        is_name = role in LONG or (role == "main" and not self.tag.has_letter)
        least = self.sight(role).floor * (self.names if is_name else self.share)
        if role == "caution":
            low = "cell" if self.stock.shape == "strip" else "caution_low"
            least = max(least, reading_rules().texts[low].caps)
        return max(least, LEGIBLE_MM)

    def roomy(self, role: TextRole) -> float:
        """The height that a text may have: what it needs, or a part of a label that is higher than most."""
        return max(self.sight(role).caps, ROOMY[role] * self.stock.label[1])

    def box(self, width: float, most: float, align: Align = "left") -> Style:
        """Of a box's tag: as high as the widest of the job is, in a frame so wide."""
        least = self.least("box")
        most = max(min(most, caps_across(self.widest.box or self.tag.box_shown, width)), least)
        return Style(
            most,
            least,
            lines=2 if self.is_last else 1,
            bold=True,
            align=align,
            upright="letter",
            role="box",
            leading=LEADING,
            is_whole=not self.is_last,
        )

    def unit(self) -> Style:
        """Of a unit's tag, or of the first of several."""
        least = self.least("unit")
        return self._unit(max(self.roomy("unit"), least), least, "unit", 1)

    def units(self) -> Style:
        """Of a list of units, on two lines at most."""
        least = self.least("units")
        return self._unit(max(self.roomy("units"), least), least, "units", 2)

    def _unit(self, most: float, least: float, role: TextRole, lines: int) -> Style:
        return Style(
            most,
            least,
            lines=2 if self.is_last else lines,
            bold=True,
            upright="letter",
            role=role,
            leading=LEADING,
            is_whole=not self.is_last,
        )

    def across(self, style: Style, width: float) -> Style:
        """A unit's style in a frame so wide: as high as the widest unit of the job is."""
        if not self.widest.unit or style.role != "unit":
            return style
        return replace(style, most=max(min(style.most, caps_across(self.widest.unit, width)), style.least))

    def fact(self, lines: int = 1, *, bold: bool = False) -> Style:
        """Of all else: room, end, revision, remark."""
        least = self.least("fact")
        most = max(self.roomy("fact"), least)
        return Style(most, least, lines=lines, bold=bold, role="fact", leading=LEADING)

    def caution(self, most: float) -> Style:
        """White capitals on black."""
        least = self.least("caution")
        return Style(
            max(most, least),
            least,
            lines=6,
            bold=True,
            align="center",
            upright="letter",
            ink=1.0,
            role="caution",
            leading=LEADING,
            is_whole=True,
        )

    def kind(self, most: float, ink: float) -> Style:
        """Of what the thing is, in its frame."""
        least = self.least("kind")
        return Style(
            max(most, least),
            least,
            lines=2,
            bold=True,
            align="center",
            upright="letter",
            ink=ink,
            role="kind",
            leading=LEADING,
            is_whole=True,
        )

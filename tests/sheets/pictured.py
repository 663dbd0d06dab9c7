"""Pictures of boards read as one reads them: where each slider is, what stands beside and below it.

A bank as text, for golden pictures ("#" a slider, "." the slot's empty end, "?" dashed, "_" to be marked):

    Bank 1 | ON 2
    ON  . # . ?
    OFF # . # ?
        1 2 3 4
        OFF ON OFF AS FOUND
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tagmaker.draw.marks import Mark, Rect, Text
from tests.sheets.printed import capitals

BODY_LINE = 0.6  # the width of the line around a bank's slots
SLOT_FILL = 0.0
BELOW = 3.2  # capitals of the numbers, under the slots where numbers and words are
ABOVE = 5.5  # mm over them where the bank's name and list stand
NEAR = 0.01


@dataclass(frozen=True)
class Switch:
    """A switch as pictured: its number, what its slot shows at either end, the word below."""

    number: int
    upper: str
    lower: str
    word: str


@dataclass(frozen=True)
class Bank:
    """A bank as pictured; `upper` and `lower` are the words at the ends of its slots."""

    head: tuple[str, ...]
    upper: str
    lower: str
    switches: tuple[Switch, ...]

    def at_end(self, word: str) -> tuple[int, ...]:
        """The numbers of the switches whose sliders are at the end of that word."""
        return tuple(sorted(each.number for each in self.switches if self._end(each) == word))

    def _end(self, switch: Switch) -> str:
        if (switch.upper, switch.lower) == ("#", "."):
            return self.upper
        return self.lower if (switch.upper, switch.lower) == (".", "#") else ""

    def as_text(self) -> str:
        """The picture as letters."""
        return "\n".join(
            [
                " | ".join(self.head),
                " ".join([f"{self.upper:<3}", *(each.upper for each in self.switches)]),
                " ".join([f"{self.lower:<3}", *(each.lower for each in self.switches)]),
                " ".join(["   ", *(str(each.number) for each in self.switches)]),
                " ".join(["   ", *(each.word or "-" for each in self.switches)]),
            ]
        )


def pictured(marks: Iterable[Mark]) -> list[Bank]:
    """Every bank among marks, in drawing order."""
    every = list(marks)
    rects = [mark for mark in every if isinstance(mark, Rect)]
    texts = [mark for mark in every if isinstance(mark, Text)]
    return [_bank(body, rects, texts) for body in rects if body.line == BODY_LINE]


def _bank(body: Rect, rects: Sequence[Rect], texts: Sequence[Text]) -> Bank:
    inside = [rect for rect in rects if rect is not body and _holds(body, rect)]
    slots = sorted({round(_middle(rect), 2) for rect in inside})
    ends = [text for text in texts if _is_beside(body, text, slots[0])]
    upper, lower = sorted(ends, key=lambda text: text.y)
    half = (slots[1] - slots[0]) / 2 if len(slots) > 1 else body.width / 2
    return Bank(
        head=tuple(_between(texts, body.x, body.x + body.width, body.y - ABOVE, body.y)),
        upper=upper.text,
        lower=lower.text,
        switches=tuple(_switch(body, slot, half, inside, texts) for slot in slots),
    )


def _switch(body: Rect, slot: float, half: float, inside: Sequence[Rect], texts: Sequence[Text]) -> Switch:
    rects = [rect for rect in inside if abs(_middle(rect) - slot) < 0.1]
    bottom = body.y + body.height
    strip = [text for text in texts if slot - half <= text.x <= slot + half and text.y > bottom]
    reach = 1.2 + BELOW * capitals(min(strip, key=lambda text: text.y))
    number, *words = _between(strip, slot - half, slot + half, bottom, bottom + reach)
    upper, lower = _ends(body, rects)
    return Switch(int(number), upper, lower, " ".join(words))


def _ends(body: Rect, rects: Sequence[Rect]) -> tuple[str, str]:
    if any(rect.dash for rect in rects):
        return "?", "?"
    sliders = [rect for rect in rects if rect.fill == SLOT_FILL]
    if not sliders:
        return "_", "_"
    (slider,) = sliders
    is_up = slider.y + slider.height / 2 < body.y + body.height / 2
    return ("#", ".") if is_up else (".", "#")


def _middle(rect: Rect) -> float:
    return rect.x + rect.width / 2


def _holds(body: Rect, rect: Rect) -> bool:
    return (
        body.x < rect.x
        and rect.x + rect.width < body.x + body.width
        and body.y < rect.y
        and rect.y + rect.height < body.y + body.height
    )


def _is_beside(body: Rect, text: Text, first_slot: float) -> bool:
    return body.x < text.x < first_slot - 1 and body.y < text.y < body.y + body.height


def _between(texts: Sequence[Text], left: float, right: float, top: float, bottom: float) -> list[str]:
    """The texts that hang within a strip, from the top down, from the left."""
    found = [text for text in texts if left - NEAR <= text.x <= right + NEAR and top < text.y <= bottom]
    return [text.text for text in sorted(found, key=lambda text: (round(text.y, 1), text.x))]

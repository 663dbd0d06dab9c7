"""What a verification sheet asks once a box, in the order of the work, and who signs.

Takes a box's items; gives sections of a page, the items in one column or in two.
"""

from collections.abc import Sequence

from tagmaker.catalog.walk_items import ROLES, WalkItem
from tagmaker.sheets.walk_flow import Part, Section
from tagmaker.sheets.walk_pen import CAPS, LINE, TICK, TITLE, WalkPen, lines_needed, needed
from tagmaker.tags import fields
from tagmaker.tags.walk import items_of_box
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import text_height

__all__ = ["fits_in", "item_section", "sign_section"]

APART = 4.0  # mm between columns
ROLE, NUMBER = 20.0, 3.6  # mm, for who answers, and for the item's number before that
BOX = TICK + 1.2
GROWTH = 2.4
CAPTION = text_height(CAPS, 1)
NAME, DATE = 0.66, 0.34  # shares of a signature's place


def item_section(pen: WalkPen, width: float, columns: int) -> Section:
    """The items of the box in so many columns, line by line."""
    items = items_of_box(pen.job)
    numbered = list(enumerate(items, start=1))
    lines = [numbered[start : start + columns] for start in range(0, len(items), columns)]
    head = Part(TITLE, TITLE, lambda frame: pen.title(pen.words("walk.items"), frame))
    return Section(tuple(_line(pen, line, width, columns) for line in lines), head)


def fits_in(pen: WalkPen, width: float, columns: int) -> bool:
    """Whether every word of the items is short enough for so many columns."""
    words = _words_width(width, columns)
    return all(lines_needed(item.text, words) for item in items_of_box(pen.job))


def _words_width(width: float, columns: int) -> float:
    """The width of an item's words."""
    return (width - APART * (columns - 1)) / columns - BOX - ROLE - 1.0


def _line(pen: WalkPen, items: Sequence[tuple[int, WalkItem]], width: float, columns: int) -> Part:
    """Items side by side, each with its number: their order is seen in two columns too."""
    words = _words_width(width, columns)
    tall = max(BOX, *(needed(item.text, words) for _, item in items))

    def draw(frame: Frame) -> None:
        for (number, item), cell in zip(items, frame.columns([1] * columns, APART), strict=False):
            box, rest = cell.left(BOX)
            pen.tick(box, fields.box_item(pen.key, item.key), item.text)
            left, text = Frame(rest.x + 1.0, rest.y, rest.width - 1.0, rest.height).left(ROLE)
            count, role = left.left(NUMBER)
            pen.text(str(number), count, bold=True)
            pen.text(pen.words(f"walk.{item.role}"), role)
            pen.text(item.text, text, 2.6)

    return Part(tall, tall * GROWTH, draw)


def sign_section(pen: WalkPen) -> Section:
    """A name and a date for each role."""
    tall = TITLE + CAPTION + LINE + 1.2

    def draw(frame: Frame) -> None:
        title, rest = frame.top(TITLE)
        pen.title(pen.words("walk.sign"), title)
        for role, cell in zip(ROLES, rest.columns([1] * len(ROLES), APART), strict=True):
            captions, lines = cell.top(CAPTION)
            word, date = pen.words(f"walk.{role}"), pen.words("walk.date")
            for text, caption in zip((word, date), captions.columns((NAME, DATE), 1.5), strict=True):
                pen.text(text, caption)
            name, when = lines.columns((NAME, DATE), 1.5)
            pen.write(name, fields.sign(pen.key, role), word)
            pen.write(when, fields.date(pen.key, role), f"{word}, {date}")

    return Section((Part(tall, tall + 4.0, draw),))

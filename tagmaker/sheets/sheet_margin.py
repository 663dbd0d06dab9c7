"""The lines in a label sheet's margins: job, revision, box, page of how many; what tags with a ring are.

Takes the placed labels of one page; gives the page. Nothing is printed across labels: a sheet whose
margin has no room for the line has none, nor has a roll.
"""

from collections.abc import Iterable, Iterator, Sequence

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Page
from tagmaker.job.model import Job
from tagmaker.problems import Where
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.sheets.place import Placed, tag_pages
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, fits, text_height, text_width

__all__ = ["label_page"]

CLEAR = 1.5  # mm between the line and the labels: a sheet may be fed in askew by as much
SIDE = 6.35  # mm of the page's sides that an office printer may leave white
APART = 4.0  # mm between the line's two texts


def label_page(labels: Sequence[Placed], of: int, stock: Stock, job: Job, words: Words) -> Page:
    """The page with these labels, one of so many; the stock is that of the file's first label."""
    (page,) = tag_pages(labels)
    boxes = list(dict.fromkeys(each.label.tag.box_shown for each in labels))
    number = words("page.page", page=labels[0].page, pages=of)
    line = _line(stock, _names(job, boxes, words), number)
    return Page(page.width, page.height, (*page.marks, *line, *_rings(labels, words)))


def _names(job: Job, boxes: Sequence[str], words: Words) -> list[str]:
    """Whose sheet it is, in full, and without the boxes where there is no room for them."""
    revision = words("tag.revision", revision=job.revision)
    state = f"{words('tag.draft')} {revision}" if job.is_draft else revision
    first, last = boxes[0], boxes[-1]
    whose = first if len(boxes) == 1 else f"{first} – {last}"
    names = (f"{whose} · {job.title}", job.title, job.number or job.name)
    return [f"{name} · {state}" for name in names]


def _line(stock: Stock, names: Sequence[str], page: str) -> tuple[Mark, ...]:
    """The line as marks; none where the sheet's margin has no room for it."""
    frame = next(_rooms(stock), None)
    width = text_width(page, PAGE_CAPS) + APART
    room = frame.left(frame.width - width)[0] if frame else Frame(0, 0, 0, 0)
    text = next((name for name in names if fits(name, room.width, PAGE_CAPS, bold=True)), "")
    if frame is None or not text:
        return ()
    layout = Layout(f"margin of {stock.name}", Where(stock.name), "")
    layout.text(text, room, Style(PAGE_CAPS, PAGE_CAPS, bold=True))
    layout.text(page, frame, Style(PAGE_CAPS, PAGE_CAPS, align="right"))
    return tuple(layout.marks)


def _rings(labels: Iterable[Placed], words: Words) -> tuple[Mark, ...]:
    """What to do with tags that have a ring to be punched: adhesive sheet is no tie-on tag."""
    stock = next((each.stock for each in labels if each.stock.has_ring), None)
    rooms = list(_rooms(stock)) if stock else []
    if stock is None or len(rooms) < 2:
        return ()
    layout = Layout(f"margin of {stock.name}", Where(stock.name), "")
    layout.text(words("tag.ring"), rooms[1], Style(PAGE_CAPS, PAGE_CAPS))
    return tuple(layout.marks)


def _rooms(stock: Stock) -> Iterator[Frame]:
    """The margins above and below the labels that hold a line, as far as a printer reaches; no roll's."""
    if stock.kind != "sheet":
        return
    width, height = stock.page
    x, tall = max(stock.margin, stock.first[0], SIDE), text_height(PAGE_CAPS, 1)
    lowest = stock.corner(stock.per_page - 1)[1] + stock.label[1]
    for top, bottom in ((stock.margin, stock.first[1] - CLEAR), (lowest + CLEAR, height - stock.margin)):
        if bottom - top >= tall:
            yield Frame(x, (top + bottom - tall) / 2, width - 2 * x, tall)

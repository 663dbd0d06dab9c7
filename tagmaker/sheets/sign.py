"""signs.pdf: the sign of each system whose refrigerant was weighed in, on a page or on a label.

Takes a job with its planned systems and a stock; gives pages. All letters of a sign have one height, the
largest at which every text fits. A sign that lacks one of its facts is not printed: it would hang there as if
it was whole. On a page the sign is what is within the frame; what is below the frame is cut off.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from tagmaker.catalog.signs import sign_rule
from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Group, Page
from tagmaker.job.model import Job, SystemRow
from tagmaker.measures import Mass, Pressure
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, note, warning
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.refrigerant import refrigerant_warnings, safety_group
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import LEGIBLE_MM, Style, lines_at, text_height
from tagmaker.units import length_text

__all__ = ["check_signs", "sign_pages", "signed_systems"]

MARGIN = 7.0  # mm around a sign on a page
EDGE = 2.0  # mm kept free at a label's edges
LINE = 1.2
LEADING = 1.36  # of lines in letters
PAD = 4.0  # mm within the frame
APART = 0.05  # of the letters' height, between two texts
CAPS_MOST, STEP = 24.0, 0.5  # mm
FOOT = 3  # lines below the frame


class _Sign(Struct, frozen=True):
    """A sign as it fits: its texts, the height of its letters in mm, and whether the page lies."""

    system: SystemPlan
    texts: tuple[str, ...]
    caps: float
    is_lying: bool


def signed_systems(job: Job, systems: Sequence[SystemPlan]) -> list[SystemPlan]:
    """The systems of which every fact of a sign is given."""
    return [system for system in systems if not _missing(job, system.row)]


def check_signs(job: Job, systems: Sequence[SystemPlan]) -> Iterator[Problem]:
    """Signs that are not printed and why, and systems that are asked for further signs."""
    stock, rule = job.prints.stocks.get("sign"), sign_rule()
    if stock is None:
        return
    for system in systems:
        row, boxes = system.row, tuple(box.key for box in system.boxes)
        if missing := _missing(job, row):
            message = f"no sign is printed of system {row.tag}: not given: {', '.join(missing)}"
            hint = "weighed_in is all refrigerant in the system, its factory charge too, as it was weighed"
            yield note("sign-incomplete", message, row.where, hint, boxes)
        elif row.weighed_in and rule.more_above < row.weighed_in:
            above = rule.more_above.text()
            message = f"system {row.tag} has more than {above} of refrigerant: one sign is not all"
            yield note("sign-more", message, row.where, f"signs are asked for too at {rule.more}", boxes)


def sign_pages(
    job: Job, systems: Sequence[SystemPlan], stock: Stock, words: Words
) -> tuple[list[Page], list[Problem]]:
    """The signs on pages of their stock, with a warning where letters are lower than a specification asks."""
    layout = Layout(words("document.signs").lower(), job.where, "")
    signs = [_fitted(job, system, stock, words) for system in signed_systems(job, systems)]
    pages = _on_labels(layout, signs, stock) if stock.kind != "page" else []
    if stock.kind == "page":
        pages = [_page(layout, job, sign, stock, words) for sign in signs]
    return pages, [*layout.problems, *_low(signs, stock)]


def _missing(job: Job, row: SystemRow) -> list[str]:
    """The keys of a sign's facts that the job does not give."""
    facts = {
        "weighed_in": row.weighed_in,
        "refrigerant": row.refrigerant or job.refrigerant,
        "installer": row.installer,
        "lubricant": row.lubricant,
        "test.pressure": row.test.pressure,
    }
    return [key for key, value in facts.items() if not value]


def _texts(job: Job, row: SystemRow, words: Words) -> tuple[str, ...]:
    """What a sign says, from the top."""
    name = row.refrigerant or job.refrigerant
    group = safety_group(name)
    said = words("sign.refrigerant_group" if group else "sign.refrigerant", name=name, group=group)
    return (
        *([words("tag.draft")] if job.is_draft else []),
        words("sign.system", system=row.tag),
        said,
        words("sign.amount", amount=_amount(row.weighed_in)),
        words("sign.lubricant", lubricant=row.lubricant),
        words("sign.pressure", pressure=_kept(row.test.pressure)),
        words("sign.installer", installer=row.installer),
        *refrigerant_warnings(name),
    )


def _kept(pressure: Pressure | None) -> str:
    """A pressure whose unit stays beside its number."""
    return pressure.text().replace(" ", "\u00a0") if pressure else ""


def _amount(mass: Mass | None) -> str:
    """A mass in its own unit, and in the other system's in brackets."""
    if mass is None:
        return ""
    other = "lb" if mass.unit in {"kg", "g"} else "kg"
    return f"{mass.text()} ({mass.text(other, 1)})".replace(" ", "\u00a0", 1)


def _fitted(job: Job, system: SystemPlan, stock: Stock, words: Words) -> _Sign:
    """The sign with the highest letters; a page may lie."""
    texts = _texts(job, system.row, words)
    ways = (False, True) if stock.kind == "page" else (False,)
    found = ((_caps(texts, _room(stock, is_lying=way)), way) for way in ways)
    caps, is_lying = max(found, key=lambda each: each[0])
    return _Sign(system, texts, caps, is_lying)


def _room(stock: Stock, *, is_lying: bool) -> Frame:
    """What a sign's texts may cover."""
    if stock.kind != "page":
        return Frame(0, 0, *stock.label).inset(EDGE)
    return _frame(stock, is_lying=is_lying).inset(PAD)


def _size(stock: Stock, *, is_lying: bool) -> tuple[float, float]:
    width, height = stock.page
    return (height, width) if is_lying else (width, height)


def _frame(stock: Stock, *, is_lying: bool) -> Frame:
    """The sign itself on its page."""
    page = Frame(0, 0, *_size(stock, is_lying=is_lying)).inset(MARGIN)
    return page.top(page.height - text_height(PAGE_CAPS, FOOT))[0]


def _caps(texts: Sequence[str], room: Frame) -> float:
    """The largest height of letters at which all texts fit, the least that is legible where none does."""
    steps = int((CAPS_MOST - LEGIBLE_MM) / STEP)
    heights = (CAPS_MOST - STEP * step for step in range(steps + 1))
    return next((caps for caps in heights if _fits(texts, room, caps)), LEGIBLE_MM)


def _fits(texts: Sequence[str], room: Frame, caps: float) -> bool:
    lines = [lines_at(text, room.width, caps, bold=True) for text in texts]
    tall = sum(text_height(caps, each, LEADING) for each in lines) + APART * caps * (len(texts) - 1)
    return all(lines) and tall <= room.height


def _draw(layout: Layout, sign: _Sign, room: Frame) -> None:
    """The texts below each other, spread over the room."""
    lines = [max(lines_at(text, room.width, sign.caps, bold=True), 1) for text in sign.texts]
    tall = [text_height(sign.caps, each, LEADING) for each in lines]
    apart = (room.height - sum(tall)) / (len(tall) + 1)
    rest = room.top(max(apart, 0.0))[1]
    for text, count, height in zip(sign.texts, lines, tall, strict=True):
        place, rest = rest.top(height)
        rest = rest.top(max(apart, 0.0))[1]
        style = Style(sign.caps, sign.caps, count, bold=True, align="center", leading=LEADING, is_whole=True)
        layout.text(text, place, style)


def _page(layout: Layout, job: Job, sign: _Sign, stock: Stock, words: Words) -> Page:
    """A sign in its frame, and below it what it is for."""
    layout.where, layout.marks = sign.system.row.where, []
    frame = _frame(stock, is_lying=sign.is_lying)
    layout.rect(frame, line=LINE)
    _draw(layout, sign, frame.inset(PAD))
    size = _size(stock, is_lying=sign.is_lying)
    state = words("page.revision", revision=job.revision)
    text = words("sign.foot", job=job.title, state=state, source=sign_rule().source)
    foot = Frame(frame.x, frame.bottom + 1.5, frame.width, size[1] - MARGIN / 2 - frame.bottom - 1.5)
    layout.text(text, foot, Style(PAGE_CAPS, LEGIBLE_MM, FOOT + 1, upright="top"))
    marks, layout.marks = layout.marks, []
    return Page(*size, tuple(marks))


def _on_labels(layout: Layout, signs: Sequence[_Sign], stock: Stock) -> list[Page]:
    """A sign a label, in filling order."""
    pages: list[Page] = []
    for start in range(0, len(signs), stock.per_page):
        groups: list[Group] = []
        for index, sign in enumerate(signs[start : start + stock.per_page]):
            layout.where, layout.marks = sign.system.row.where, []
            _draw(layout, sign, _room(stock, is_lying=False))
            groups.append(Group(*stock.corner(index), tuple(layout.marks)))
        pages.append(Page(*stock.page, tuple(groups)))
    layout.marks = []
    return pages


def _low(signs: Sequence[_Sign], stock: Stock) -> Iterator[Problem]:
    """A warning for the sign whose letters are lowest, where they are lower than is asked for."""
    least = sign_rule().letters_least
    low = min(signs, key=lambda sign: sign.caps, default=None)
    if low and low.caps < least.mm:
        has, row = length_text(low.caps, is_metric=True), low.system.row
        message = f"sign of {row.tag} on {stock.name}: letters {has} high, and {least.text} are asked for"
        hint = "shorten its texts, or name a larger page for signs in [print]: letter or a4"
        yield warning("letters-small", message, row.where, hint)

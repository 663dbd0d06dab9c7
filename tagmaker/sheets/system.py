"""systems.pdf: two pages a system, a form: units and charge, then pressure test, vacuum and start.

Takes planned systems; gives their pages. Each page has the system, its job, a code that names the page, and
solid squares at its corners, as those of the walk; more pages where boxes or units are many.
"""

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Bars, Field, Mark, Page, Text, flat
from tagmaker.job.model import Job
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem
from tagmaker.sheets.page_head import NAME_CAPS, PAGE_CAPS, TITLE_CAPS
from tagmaker.sheets.paper import paper_size
from tagmaker.sheets.system_charge import charge_sheets
from tagmaker.sheets.system_pen import SystemPen
from tagmaker.sheets.system_start import start_sheets
from tagmaker.symbols.encode import QR_QUIET, qr
from tagmaker.tags.refrigerant import refrigerant_text
from tagmaker.tags.system import (
    SystemPage,
    printed_for,
    printed_key,
    read_system_code,
    system_digest,
    system_page_code,
    system_sheet,
)
from tagmaker.tags.system_screen import SystemScreen
from tagmaker.tags.walk_code import MARK, MARK_CLEAR, MARK_EDGE
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running
from tagmaker.typeset.text import LEGIBLE_MM, Style
from tagmaker.units import number_text

__all__ = ["printed_digest", "system_pages", "system_screen"]

BELOW = 1.4  # mm below the rule, and below the facts
CODE = 19.0  # side of the code's place, with its quiet zone
MODULE_MOST = 0.5
STAMP = 22.0  # width of a draft's stamp
FOOT = MARK + 2.0
RUNS = ("longest_run", "total_run", "first_box", "port_run")
HEIGHTS = ("outdoor_above", "outdoor_below", "between_units")
SHEETS: tuple[tuple[str, Callable[[SystemPen, Running], Sequence[list[Mark]]]], ...] = (
    ("charge_title", charge_sheets),
    ("start_title", start_sheets),
)
"""Each sheet's title and what draws it."""


def system_pages(job: Job, systems: Sequence[SystemPlan], words: Words) -> tuple[list[Page], list[Problem]]:
    """The pages of every system, with the problems of texts that do not fit."""
    pages: list[Page] = []
    problems: list[Problem] = []
    for system in systems:
        layout = Layout(words("document.systems").lower(), system.row.where, "")
        pages += _pages(SystemPen(job, system, words, layout))
        problems += layout.problems
    return pages, problems


def printed_digest(job: Job, system: SystemPlan, words: Words) -> str:
    """The digest that a system's sheets have in their codes, as they are printed now."""
    pages, _ = system_pages(job, [system], words)
    codes = (mark.text for page in pages for mark in flat(page.marks) if isinstance(mark, Bars))
    named = next((read for code in codes if (read := read_system_code(code))), None)
    return named.digest if named else ""


def system_screen(job: Job, system: SystemPlan, words: Words) -> SystemScreen:
    """A system's sheets for a screen, as the same pen writes them on paper."""
    pen = SystemPen(job, system, words, Layout("", system.row.where, ""))
    name = printed_key(system.row)
    marks = (mark for page in _pages(pen) for mark in flat(page.marks))
    kept = next(mark for mark in marks if isinstance(mark, Field) and mark.name == name)
    return SystemScreen(
        system=system.row.key,
        sheet=system_sheet(system.row.key),
        title=words("system.title", system=system.row.tag),
        facts=tuple(cell.text for cell in _facts(pen)),
        printed_for=kept.value,
        parts=tuple(pen.screen),
    )


def _pages(pen: SystemPen) -> list[Page]:
    """One system's pages; the bodies first, since each head has the digest of all."""
    size = paper_size(pen.job)
    room = Frame(0, 0, *size).inset(MARK_EDGE)
    head = CODE + BELOW + sum(cell.height(room.width) for cell in _facts(pen)) + BELOW
    body = Frame(room.x, room.y + head, room.width, room.height - head - FOOT)
    sheets = [(title, marks) for title, draw in SHEETS for marks in draw(pen, Running(pen.layout, body))]
    texts = [mark.text for _, marks in sheets for mark in flat(marks) if isinstance(mark, Text)]
    digest = system_digest((*(cell.text for cell in _facts(pen)), *texts))
    of = SystemPage(pen.system.row.key, 1, len(sheets), pen.job.number, pen.job.revision, digest)
    hidden = printed_for(pen.job, pen.system, digest)
    pages: list[Page] = []
    for number, (title, marks) in enumerate(sheets, start=1):
        pen.layout.marks = []
        code = system_page_code(replace(of, page=number))
        _head(pen, room, title, code)
        pen.layout.marks += marks
        if number == 1:
            pen.kept(room, 0, hidden)
        pen.kept(room, number, code)
        _foot(pen, room, number, len(sheets))
        pages.append(Page(*size, tuple(pen.layout.marks)))
    pen.layout.marks = []
    return pages


def _head(pen: SystemPen, room: Frame, title: str, code: str) -> None:
    """Marks, the system, the sheet, the job, the code; below a rule the system's facts."""
    layout, job = pen.layout, pen.job
    for x in (room.x, room.right - MARK):
        for y in (room.y, room.bottom - MARK):
            layout.rect(Frame(x, y, MARK, MARK), fill=0.0)
    inner = Frame(room.x + MARK + MARK_CLEAR, room.y, room.width - 2 * (MARK + MARK_CLEAR), CODE)
    names, place = inner.left(inner.width - CODE)
    symbol = qr(code)
    module = min(MODULE_MOST, CODE / (symbol.columns + 2 * QR_QUIET))
    side = symbol.columns * module
    layout.symbol(symbol, place.x + (CODE - side) / 2, place.y + (CODE - side) / 2, module)
    left, right = names.columns((0.5, 0.5), 3)
    tag, what = left.rows((1.4, 1))
    with layout.part("H1"):
        layout.text(
            pen.words("system.title", system=pen.system.row.tag),
            tag,
            Style(TITLE_CAPS, PAGE_CAPS, 2, bold=True),
        )
    if job.is_draft:
        what, stamp = what.left(what.width - STAMP)
        _stamp(pen, stamp.inset(0, 0.8))
    layout.text(pen.words(f"system.{title}"), what, Style(3.2, PAGE_CAPS, bold=True))
    state = [pen.words("page.revision", revision=job.revision), job.date.isoformat() if job.date else ""]
    state.append(refrigerant_text(pen.system.row.refrigerant or job.refrigerant, pen.words))
    lines = ((job.title, NAME_CAPS), (job.site, PAGE_CAPS), (" · ".join(filter(None, state)), PAGE_CAPS))
    layout.stack(
        [(text, Style(caps, PAGE_CAPS, 2, bold=True, align="right")) for text, caps in lines],
        Frame(right.x, right.y, right.width - 2, right.height),
    )
    layout.rule(room.x, inner.bottom + 0.6, room.right, inner.bottom + 0.6, 0.8)
    rest = Frame(room.x, inner.bottom + BELOW, room.width, room.height)
    for cell in _facts(pen):
        line, rest = rest.top(cell.height(room.width))
        layout.text(cell.text, line, cell.style(room.width))


def _stamp(pen: SystemPen, frame: Frame) -> None:
    """White on black: not to be worked by."""
    pen.layout.rect(frame, fill=0.0)
    style = Style(2.6, PAGE_CAPS, bold=True, align="center", ink=1.0)
    pen.layout.text(pen.words("tag.draft"), frame.inset(1, 0), style)


def _facts(pen: SystemPen) -> tuple[Cell, ...]:
    """The outdoor unit with what is connected to it, the limits, and the source of the figures."""
    system, row, unit = pen.system, pen.system.row, pen.job.capacity_unit
    unknown = pen.words("placard.unknown_load")
    first = pen.words(
        "system.facts",
        outdoor=row.outdoor or unknown,
        capacity=row.capacity.text(unit) if row.capacity else unknown,
        connected=system.connected.text(unit) if system.connected else unknown,
        percent=number_text(system.percent, 1) if system.percent is not None else unknown,
        ratio=" – ".join(map(number_text, row.ratio)) if row.ratio else unknown,
        units=len(system.units),
        most=row.units_most or unknown,
    )
    lengths = [(key, getattr(row, key)) for key in RUNS] + [
        (key, getattr(row.heights, key)) for key in HEIGHTS
    ]
    limits = ", ".join(pen.words(f"system.{key}", length=length.text) for key, length in lengths if length)
    limits = pen.words("system.limits", limits=limits or pen.words("system.not_given"))
    source = pen.words("system.source", source=row.source or pen.words("system.not_given"))
    return tuple(Cell(text, PAGE_CAPS, bold=True) for text in (first, limits, source))


def _foot(pen: SystemPen, room: Frame, page: int, pages: int) -> None:
    """That it is no certificate, and the page of how many."""
    foot = Frame(room.x + MARK + MARK_CLEAR, room.bottom - MARK, room.width - 2 * (MARK + MARK_CLEAR), MARK)
    text, number = foot.columns((0.7, 0.3), 2)
    pen.layout.text(pen.words("system.not_certificate"), text, Style(PAGE_CAPS, LEGIBLE_MM, 2))
    what = pen.words("system.page", system=pen.system.row.tag, page=page, pages=pages)
    with pen.layout.part("Artifact"):
        pen.layout.text(what, number, Style(PAGE_CAPS, LEGIBLE_MM, 2, align="right"))

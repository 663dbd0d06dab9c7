"""handover.pdf: one record of a whole site, to be signed by owner and inspector.

Takes the record and pictures cut from paper; gives pages. What is open comes first; each page has whether
anything is open, the digest of all that was read, and that the record is no certificate.
"""

from collections.abc import Iterable, Mapping, Sequence

from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Mark, Page, Picture
from tagmaker.draw.pictures import picture_size
from tagmaker.job.model import Job
from tagmaker.problems import Problem
from tagmaker.sheets.handover_boxes import box_parts
from tagmaker.sheets.handover_pen import HandoverPen
from tagmaker.sheets.page_head import PAGE_CAPS, PageHead
from tagmaker.tags.handover import Handover, OpenPoint
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.flow import Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import Cell, Running
from tagmaker.typeset.text import Style

__all__ = ["handover_pages"]

ABOVE, BAND, BELOW = 1.2, 9.0, 2.0  # mm, the status and the white above and below it
BAND_CAPS = 4.2
OPEN_SHARES = (0.045, 0.2, 0.42, 0.335)
FACT_SHARES = (0.3, 0.3, 0.4)
FILE_SHARES = (0.4, 0.6)
SIGN_SHARES = (0.2, 0.28, 0.32, 0.2)
SIGN_ROW = 13.0  # mm to sign in
SIGNERS = ("installer", "technician", "verifier", "owner", "inspector")
DIGITS = 16  # of the digest, on each page
GROUP = 4
PICTURE_HIGH, PICTURE_WIDE = 12.0, 90.0  # mm at most
NAME_HIGH = 4.0
MM_A_DOT = 0.1  # of a picture that needs not be made smaller


def handover_pages(
    job: Job, record: Handover, pictures: Mapping[str, bytes], words: Words
) -> tuple[list[Page], list[Problem]]:
    """The record's pages, with the problems of texts that do not fit."""
    layout = Layout(words("handover.title").lower(), job.where, "")
    foot = words("handover.foot", digest=_grouped(record.digest[:DIGITS]))
    head = PageHead(job, words, words("handover.title"), foot=foot)
    body = head.body
    running = Running(layout, body.top(ABOVE + BAND + BELOW)[1])
    pen = HandoverPen(running, words)
    _open(pen, record)
    _summary(pen, record)
    for box in record.boxes:
        box_parts(pen, box)
        _pictures(pen, box.pictures, pictures)
    _systems(pen, record, pictures)
    _response(pen, record)
    _days(pen, record)
    _files(pen, record)
    _signatures(pen)
    sheets = [[*_band(layout, body, record, words), *marks] for marks in running.end()]
    return list(head.pages(layout, sheets)), layout.problems


def _grouped(digits: str) -> str:
    return " ".join(digits[at : at + GROUP] for at in range(0, len(digits), GROUP))


def _band(layout: Layout, body: Frame, record: Handover, words: Words) -> list[Mark]:
    """Whether anything is open, on every page: white on black where something is."""
    layout.marks = []
    band = Frame(body.x, body.y + ABOVE, body.width, BAND)
    key = "complete" if record.complete else "not_complete"
    text = words(f"handover.{key}", count=len(record.open))
    layout.rect(band, fill=None if record.complete else 0.0, line=0.5)
    ink = 0.0 if record.complete else 1.0
    style = Style(BAND_CAPS, PAGE_CAPS, bold=True, align="center", upright="letter", ink=ink)
    layout.text(text, band.inset(2, 1), style)
    made, layout.marks = layout.marks, []
    return made


# --- what is open -------------------------------------------------------------------------------------------


def _open(pen: HandoverPen, record: Handover) -> None:
    """Every open point, then what people wrote."""
    pen.section(pen.words("handover.open_title"))
    if record.complete:
        pen.sentence(pen.words("handover.nothing_open"))
    else:
        pen.table(
            OPEN_SHARES, [pen.words(f"handover.open_{key}") for key in ("number", "where", "what", "do")]
        )
    for point in record.open:
        where = " · ".join(filter(None, (point.where, point.place)))
        pen.row(
            [Cell(str(point.number), bold=True), Cell(where), Cell(point.what, bold=True), Cell(_do(point))]
        )
    if record.remarks:
        pen.section(pen.words("handover.remarks"))
    for text in record.remarks:
        pen.sentence(text)


def _do(point: OpenPoint) -> str:
    return " – ".join(filter(None, (point.to_do, *point.expect)))


def _summary(pen: HandoverPen, record: Handover) -> None:
    """What the record covers, and what it does not."""
    words, counts = pen.words, record.counts
    pen.section(words("handover.summary"))
    pen.table(FACT_SHARES, [words(f"handover.column_{key}") for key in ("what", "planned", "found")])
    lines = [line for box in record.boxes for port in box.ports for line in (port.pipe, port.cable)]
    proved = [line.is_proved for line in lines if line.is_proved is not None]
    boxes = words(
        "handover.boxes_found",
        right=counts["as planned"], other=counts["differs"], unseen=counts["not seen"],
    )  # fmt: skip
    pen.plain_row(words("handover.boxes"), str(len(record.boxes)), boxes)
    pen.plain_row(
        words("handover.lines"), str(len(proved)), words("handover.lines_proved", count=sum(proved))
    )
    pen.plain_row(words("handover.files"), "", words("handover.files_read", count=len(record.files)))
    pen.rule()
    for number, text in enumerate(record.not_covered):
        pen.sentence(text, above=BELOW if number == 0 else 0.0)


# --- pictures, systems, tests, files ------------------------------------------------------------------------


def _pictures(pen: HandoverPen, names: Iterable[str], pictures: Mapping[str, bytes]) -> None:
    """Pictures cut from paper, each under the name of its field."""
    for name in names:
        png = pictures[name]
        wide, high = picture_size(png)
        scale = min(MM_A_DOT, PICTURE_WIDE / wide, PICTURE_HIGH / high)
        size = (wide * scale, high * scale)
        pen.running.put((NAME_HIGH + size[1] + 1.0, _draw_picture(pen, name, png, size)))


def _draw_picture(pen: HandoverPen, name: str, png: bytes, size: tuple[float, float]) -> Draw:
    title = pen.words("handover.picture", name=name.removesuffix(".png"))

    def draw(frame: Frame) -> None:
        pen.running.layout.text(title, frame.top(NAME_HIGH)[0], Style(PAGE_CAPS, 1.5))
        with pen.running.layout.figure(title):
            y = frame.y + NAME_HIGH
            pen.running.layout.marks.append(Picture(frame.x, y, *size, png))
            pen.running.layout.rect(Frame(frame.x, y, *size), line=0.15)

    return draw


def _systems(pen: HandoverPen, record: Handover, pictures: Mapping[str, bytes]) -> None:
    """Each system's figures, as planned and as they came back."""
    words = pen.words
    for system in record.systems:
        outdoor = system.outdoor or words("system.not_given")
        boxes = ", ".join(system.boxes)
        title = words(
            "handover.system", system=system.system, outdoor=outdoor, boxes=boxes, units=system.units
        )
        pen.section(title, is_repeated=True)
        pen.table(FACT_SHARES, [words(f"handover.column_{key}") for key in ("what", "planned", "found")])
        for fact in system.facts:
            missing = words("handover.not_seen") if fact.is_asked else ""
            pen.plain_row(fact.name, fact.planned, fact.found or missing)
        _pictures(pen, system.pictures, pictures)


def _response(pen: HandoverPen, record: Handover) -> None:
    """How many ports and units a response test shows to be right, and what it does not show."""
    for each in record.response:
        pen.section(pen.words("handover.response", plan=each.plan, system=each.system))
        pen.sentence(
            pen.words(
                "response.fine",
                count=each.ports_right, of=each.ports, units=each.units_right, all=each.units,
            )
        )  # fmt: skip
        for text in each.notes:
            pen.sentence(text)


def _days(pen: HandoverPen, record: Handover) -> None:
    """How much was read on the first days; what stands out is an open point."""
    for each in record.first_days:
        pen.section(pen.words("handover.days", system=each.system, days=", ".join(map(str, each.days))))
        pen.sentence(pen.words("days.head", system=each.system, read=each.read, of=each.of))


def _files(pen: HandoverPen, record: Handover) -> None:
    """Every file that was read or is attached, with its digest."""
    words = pen.words
    pen.section(words("handover.files_title"))
    pen.sentence(words(f"handover.plan_from_{record.plan_from}"))
    pen.sentence(words("handover.digest", digest=record.digest))
    for key, files in (("attached", record.attached), ("read", record.files)):
        if files:
            pen.table(FILE_SHARES, [words(f"handover.file_{key}"), "SHA-256"])
        for each in files:
            pen.row([Cell(each.name), Cell(each.sha256 or words("handover.unread"))])


def _signatures(pen: HandoverPen) -> None:
    """Places to sign, by pen: each signs for what the record says, its open points included."""
    words = pen.words
    heads: Sequence[str] = [words(f"handover.sign_{key}") for key in ("role", "name", "signature", "date")]
    pen.section(words("handover.sign_title"), keep=SIGN_ROW * len(SIGNERS))
    pen.sentence(words("handover.sign_means"))
    pen.table(SIGN_SHARES, heads)
    for role in SIGNERS:
        pen.row([Cell(words(f"handover.role_{role}"), bold=True), Cell(""), Cell(""), Cell("")], SIGN_ROW)
    pen.rule()

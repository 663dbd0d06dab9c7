"""A system's first sheet: its boxes and units in walking order, as sections and with the charge of each pipe.

Valves of a box without power hide what is behind them: its line has a place to tick for each of its own
sections, the box's and those of its units: opened, or with a gauge.
Each line has the run as planned and a place for the run as built, so that the charge is worked out twice:
once from the schedule, once from what was laid. What is not known is printed as UNKNOWN, never as nothing.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.catalog.amounts import amounts
from tagmaker.draw.marks import Align, Mark
from tagmaker.job.model import BoxRow, UnitRow
from tagmaker.measures import Mass
from tagmaker.plan.charge import ChargeLine
from tagmaker.plan.concentration import amount_text, concentration
from tagmaker.sheets.system_pen import TICK, Entry, SystemPen
from tagmaker.tags.system import has_charge, line_parts, printed_units, section_parts, sections, system_field
from tagmaker.tags.system_screen import AskedField, ScreenPart
from tagmaker.typeset.flow import Block, Draw
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.table import PAD, Cell, Running
from tagmaker.typeset.text import LEGIBLE_MM, Style, text_width

__all__ = ["charge_sheets"]

COLUMNS = (
    "unit", "port", "address", "room", "opened", "gauges", "capacity", "liquid", "run", "run_built", "charge",
    "charge_built",
)  # fmt: skip
SHARES = (0.11, 0.055, 0.06, 0.215, 0.055, 0.055, 0.06, 0.07, 0.075, 0.085, 0.075, 0.085)
WORDS = 46.0  # mm, for the words of a sum
BUILT = {"run_built": "run", "charge_built": "charge"}
"""Columns that are filled in."""
TICKED = ("opened", "gauges")
"""Columns that are ticked: each line is a section too, which valves may hide from nitrogen and vacuum."""
ALIGNED: Mapping[str, Align] = {
    "opened": "center", "gauges": "center", "capacity": "right", "liquid": "center", "run": "right",
    "charge": "right",
}  # fmt: skip
CAPS, NAME_CAPS = 2.3, 2.7
ROW, HEAD = 6.5, 5.0
FIELD = 5.4  # mm, the height of a place to write in
GAP = 2.0


class _Row(Struct, frozen=True):
    """A line of the list: a box with its main pipe (`is_box`), or a unit; `section` is in names of fields.

    `decimals` are those that other charges have and this one has not: its figures keep their places.
    """

    name: str
    texts: tuple[str, ...]
    line: ChargeLine
    section: tuple[str, ...]
    is_box: bool
    decimals: str = ""


def charge_sheets(pen: SystemPen, running: Running) -> Sequence[list[Mark]]:
    """The pages of units and charge."""
    unit, printed = pen.job.capacity_unit, printed_units(pen.system)
    heads = [
        pen.words(f"system.column_{key}", unit=unit, mass=printed["mass"], length=printed["run"])
        for key in COLUMNS
    ]
    pen.screen.append(ScreenPart("title", pen.words("system.charge_title"), section="charge"))
    pen.sentence(running, pen.words("system.list"))
    running.head(0, (HEAD, lambda frame: _draw(pen, heads, frame, is_head=True)))
    for row in _rows(pen):
        texts = _texts(pen, row)
        pen.screen.append(_on_screen(pen, heads, row, texts))
        running.put((_height(running, row), _line(pen, row, texts)))
    for block in _sums(pen):
        running.put(block)
    return running.end()


def _draw(
    pen: SystemPen, texts: Sequence[str], frame: Frame, row: _Row | None = None, *, is_head: bool = False
) -> None:
    """The cells of a row, in the middle of its height; those to fill in have a place in them."""
    with pen.layout.part("TR"):
        for key, text, cell in zip(COLUMNS, texts, frame.columns(SHARES, GAP), strict=True):
            is_name = key == "unit" and not is_head
            is_bold = is_head or is_name or (row is not None and row.is_box)
            caps = NAME_CAPS if is_name else CAPS
            with pen.layout.part("TH" if is_head else "TD"):
                style = Style(caps, LEGIBLE_MM, 3, bold=is_bold, align=ALIGNED.get(key, "left"))
                at = _without(cell, row.decimals, text, is_bold=is_bold) if row and key == "charge" else cell
                pen.layout.text(text, at, style)
                if row and key in BUILT:
                    _place(pen, row, BUILT[key], cell)
                elif row and key in TICKED:
                    _tick(pen, row, key, cell)


def _without(cell: Frame, decimals: str, text: str, *, is_bold: bool) -> Frame:
    """A cell less the room of decimals at its right, as far as the text needs none of that."""
    room = cell.width - text_width(text, CAPS, bold=is_bold)
    return cell.left(cell.width - max(0.0, min(text_width(decimals, CAPS, bold=is_bold), room)))[0]


def _place(pen: SystemPen, row: _Row, what: str, cell: Frame) -> None:
    """The place for a run or a charge as built."""
    place = Frame(cell.x, cell.y + (cell.height - FIELD) / 2, cell.width, FIELD)
    name = (*line_parts(row.line), what)
    pen.field(place, "text", name, pen.words(f"system.spoken_{what}", name=row.line.name))


def _tick(pen: SystemPen, row: _Row, what: str, cell: Frame) -> None:
    """The box to tick of a section."""
    x, y = cell.x + (cell.width - TICK) / 2, cell.y + (cell.height - TICK) / 2
    pen.field(Frame(x, y, TICK, TICK), "check", (*row.section, what), _spoken_tick(pen, row, what))


def _spoken_tick(pen: SystemPen, row: _Row, what: str) -> str:
    return f"{row.name}: {pen.words(f'system.shut_{what}')}"


def _height(running: Running, row: _Row) -> float:
    """As high as a hand needs, or as its texts do."""
    frames = running.room.columns(SHARES, GAP)
    texts = zip((row.name, *row.texts), frames, strict=False)
    return max(ROW, *(Cell(text, CAPS, bold=True).height(frame.width) + 2 * PAD for text, frame in texts))


def _rows(pen: SystemPen) -> Iterator[_Row]:
    """Each box with its units, in the order of the charge's lines."""
    charge = pen.system.charge
    numbers = [line.mass.number(charge.unit) if line.mass else "" for line in charge.lines]
    decimals = _missing_decimals(numbers)
    for line, more, (box, unit) in zip(charge.lines, decimals, sections(pen.system), strict=True):
        name, texts = (unit.tag, _of_unit(pen, unit)) if unit else (box.shown, _of_box(pen, box))
        yield _Row(name, texts, line, section_parts(box, unit), unit is None, more)


def _missing_decimals(numbers: Sequence[str]) -> list[str]:
    """What each number lacks of the most decimals, as zeros with their point; nothing for one not known."""
    parts = [number.partition(".") for number in numbers]
    most = max((len(given) for _, _, given in parts), default=0)
    zeros = [("" if point else ".") + "0" * (most - len(given)) for _, point, given in parts]
    return [each if number and most else "" for number, each in zip(numbers, zeros, strict=True)]


def _of_box(pen: SystemPen, box: BoxRow) -> tuple[str, ...]:
    level = pen.words("room.level", text=box.level) if box.level else ""
    return "", "", " · ".join(filter(None, (pen.words("system.main_pipe"), level))), "", "", ""


def _of_unit(pen: SystemPen, unit: UnitRow) -> tuple[str, ...]:
    unknown = pen.words("placard.unknown_load")
    load = unit.capacity.number(pen.job.capacity_unit) if unit.capacity else unknown
    return unit.port, unit.address or unknown, unit.room, "", "", load


def _texts(pen: SystemPen, row: _Row) -> tuple[str, ...]:
    """The cells of a line, those that are filled in empty."""
    line, unknown = row.line, pen.words("placard.unknown_load")
    mass = (
        line.mass.number(pen.system.charge.unit)
        if line.mass
        else unknown
        if has_charge(pen.system.row)
        else ""
    )
    pipe = (line.tube.text if line.tube else unknown, line.run.text if line.run else unknown)
    return (row.name, *row.texts, *pipe, "", mass, "")


def _on_screen(pen: SystemPen, heads: Sequence[str], row: _Row, texts: Sequence[str]) -> ScreenPart:
    """A line as a screen shows it: what is planned, each with its column's head, then what is asked."""
    facts = [f"{head}: {text}" for head, text in zip(heads[1:], texts[1:], strict=True) if text]
    ticks = [
        AskedField(
            system_field(pen.system.row, *row.section, what),
            "tick",
            heads[COLUMNS.index(what)],
            "",
            _spoken_tick(pen, row, what),
        )
        for what in TICKED
    ]
    asked = [
        AskedField(
            system_field(pen.system.row, *line_parts(row.line), what),
            "text",
            heads[COLUMNS.index(column)],
            "",
            pen.words(f"system.spoken_{what}", name=row.line.name),
        )
        for column, what in BUILT.items()
    ]
    return ScreenPart("row", row.name, tuple(facts), (*ticks, *asked))


def _line(pen: SystemPen, row: _Row, texts: Sequence[str]) -> Draw:
    """A line with the places for the run and the charge as built."""

    def draw(frame: Frame) -> None:
        _rule(pen, frame, 0.4 if row.is_box else 0.12)
        _draw(pen, texts, frame, row)

    return draw


def _rule(pen: SystemPen, frame: Frame, thick: float) -> None:
    """The rule above a line, with a gap at the boxes to tick: a stroke that meets it could not be read."""
    cells = dict(zip(COLUMNS, frame.columns(SHARES, GAP), strict=True))
    pen.layout.rule(frame.x, frame.y, cells[TICKED[0]].x, frame.y, thick)
    pen.layout.rule(cells[TICKED[-1]].right, frame.y, frame.right, frame.y, thick)


# --- sums ---------------------------------------------------------------------------------------------------


def _sums(pen: SystemPen) -> Iterator[Block]:
    """Factory charge, pipes, extras, total: planned, and as built; what was weighed in; the smallest room."""
    if not has_charge(pen.system.row):
        yield pen.entries([Entry(pen.words("system.no_charge"), 150, bold=True)])
        return
    charge, unit = pen.system.charge, pen.system.charge.unit
    yield pen.entries([Entry("", 1)])
    yield pen.entries(_sum(pen, pen.words("system.factory"), charge.factory))
    yield pen.entries(_sum(pen, pen.words("system.pipes"), charge.of_lines, "pipes"))
    for each in charge.extras:
        figure = _mass(pen, each.figure)
        yield pen.entries(
            _sum(pen, pen.words(f"system.{each.key}", count=each.count, figure=figure), each.mass)
        )
    yield pen.entries(_sum(pen, pen.words("system.total"), charge.total, "total"))
    weighed = Entry(pen.words("system.weighed"), WORDS, ("charge", "weighed"), 30, unit, bold=True)
    by = Entry(pen.words("system.by"), 6, ("charge", "by"), 44, spoken=pen.words("system.weighed_by"))
    on = Entry(pen.words("system.on"), 6, ("charge", "on"), 30, spoken=pen.words("system.weighed_on"))
    yield pen.entries([weighed, by, on])
    yield pen.entries([Entry(_smallest_room(pen), 200)])


def _sum(pen: SystemPen, text: str, mass: Mass | None, built: str = "") -> list[Entry]:
    """A sum as planned, and a place for it as built."""
    planned = [Entry(text, WORDS, bold=built == "total"), Entry(_mass(pen, mass), 30, bold=True)]
    if not built:
        return planned
    spoken = pen.words(f"system.spoken_{built}")
    place = Entry(
        pen.words("system.as_built"), 14, ("charge", built), 30, pen.system.charge.unit, spoken=spoken
    )
    return [*planned, place]


def _mass(pen: SystemPen, mass: Mass | None) -> str:
    return mass.text(pen.system.charge.unit) if mass else pen.words("system.unknown")


def _smallest_room(pen: SystemPen) -> str:
    """The whole charge in the smallest room, beside what the code's table allows; for the engineer."""
    system = pen.system
    refrigerant = system.row.refrigerant or pen.job.refrigerant
    found = concentration(system, refrigerant)
    unit = found.smallest
    if unit is None or unit.room_volume is None or found.grams_m3 is None:
        return pen.words("system.room_unknown")
    volume = unit.room_volume
    limit = amount_text(found.limit, volume) if found.limit is not None else pen.words("system.not_given")
    return pen.words(
        "system.room",
        room=f"{unit.room or unit.tag}, {volume.text()}",
        amount=amount_text(found.grams_m3, volume),
        limit=limit,
        source=f"{amounts().source}{found.amount.doubt if found.amount else ''}",
    )

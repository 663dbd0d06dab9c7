"""Whose a label's thing is: units, remark and rooms, or the caution; with end and revision beside or below.

Takes a setting and a frame; adds marks to a layout, and a problem for each text that has no room there. Units
are tried by name, then as the first of them and how many more; rooms by name, then by number.
"""

from collections.abc import Iterator, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.draw.marks import Mark, Text, moved
from tagmaker.sheets.label_needs import LEADING, Setting
from tagmaker.sheets.label_parts import BESIDE, GAP, tail
from tagmaker.tags.model import Tag
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import BOLD, face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, Unfit, fit, text_height

__all__ = ["first_unit", "subject"]

CLEAR = 0.05  # mm below units: what follows has room of its own above its capitals
APART = 0.35  # of a unit's capitals, that the line below it is away where there is room
BAND_CLEAR = 0.35  # mm of white between units, or end and revision, and the black of a caution below them
BAND_PAD = 0.6  # mm of black around a caution
LOWER = 0.035  # of a label's height, by which texts are lower where there is room
FACTS_APART, BOUND = " · ", "\u00a0"  # between facts; a space at which no line ends
SHORT_BELOW = 0.8  # of the heights that texts need: a caution is in short only on such a low label
Ends = Literal["none", "beside", "foot"]
"""Where end and revision are: elsewhere, beside the units, or below all."""


def subject(
    layout: Layout, setting: Setting, frame: Frame, *, has_ends: bool, is_narrow: bool = False
) -> None:
    """Whose it is: units, remark and rooms; or units and the caution.

    End and revision, if they are not elsewhere, are at the right of the units, or below all. Where it is
    narrow rooms may be left out.
    """
    tried: list[Layout] = []
    for ends in _ends_tried(setting, frame, has_ends=has_ends):
        for way in _ways(setting, is_narrow=is_narrow):
            attempt = Layout(layout.what, layout.where, layout.box)
            _subject(attempt, setting, frame, way, ends)
            tried.append(attempt)
            if not attempt.problems:
                is_full = ends == "foot" or setting.tag.is_caution
                layout.marks += attempt.marks if is_full else _spread(attempt.marks, frame, setting)
                return
    layout.problems += min(tried, key=lambda attempt: len(attempt.problems)).problems


def _ends_tried(setting: Setting, frame: Frame, *, has_ends: bool) -> tuple[Ends, ...]:
    """Where end and revision may be."""
    if not has_ends:
        return ("none",)
    return ("beside", "foot") if _line_width(setting) + BESIDE < frame.width else ("foot",)


def _spread(marks: Sequence[Mark], frame: Frame, setting: Setting) -> tuple[Mark, ...]:
    """Texts lower and apart where the frame is higher than they need, so that no line crowds another."""
    texts = [mark for mark in marks if isinstance(mark, Text)]
    units = max((mark.y for mark in texts if mark.role in ("unit", "units")), default=frame.y)
    spare = frame.bottom - max((mark.y for mark in texts), default=frame.bottom) - GAP
    down = max(0.0, min(spare / 2 - GAP / 2, LOWER * setting.stock.label[1]))
    apart = max(0.0, min((spare - down) / 2, APART * max(setting.least("unit"), setting.roomy("unit"))))
    below = [mark for mark in texts if mark.y > units + CLEAR]
    beside = [mark for mark in marks if mark not in below]
    return moved(beside, 0.0, down) + moved(below, 0.0, down + (apart if beside else 0.0))


class _Way(Struct, frozen=True):
    """What is said of the subject: units in a style, and the facts or the caution below them."""

    units: str
    style: Style
    facts: str


def _ways(setting: Setting, *, is_narrow: bool) -> Iterator[_Way]:
    """What to try: units by name or the first of them; rooms by name, by number, or at last left out."""
    tag, rooms = setting.tag, [", ".join(setting.tag.rooms)]
    if len(tag.rooms) > 1:
        rooms.append(setting.words("tag.rooms", count=len(tag.rooms)))
    if tag.rooms and (setting.share <= 0 or is_narrow):
        rooms.append("")
    for facts in _cautions(setting) if tag.is_caution else (_facts(tag, room) for room in rooms):
        if tag.beside:
            yield _Way(tag.beside, setting.units(), facts)
            continue
        if len(tag.units) > 1:
            yield _Way(", ".join(tag.units), setting.units(), facts)
        yield _Way(first_unit(tag.units), setting.unit(), facts)
        if setting.share <= 0:  # the unit leaves room for what is below it
            yield _Way(first_unit(tag.units), replace(setting.unit(), most=setting.least("unit")), facts)
        if tag.is_caution and tag.units and setting.share <= 0:
            yield _Way("", setting.unit(), facts)


def _facts(tag: Tag, room: str) -> str:
    """What is printed below the units."""
    return FACTS_APART.join(text for text in (tag.address, tag.remark, room) if text)


def _cautions(setting: Setting) -> list[str]:
    """The caution, and in short where the label is too low for it."""
    tag = setting.tag
    return [tag.remark, tag.short] if tag.short and setting.share < SHORT_BELOW else [tag.remark]


def first_unit(units: tuple[str, ...]) -> str:
    """The first unit, and how many more; nothing where there is none."""
    return f"{units[0]} +{len(units) - 1}" if len(units) > 1 else "".join(units)


def _subject(layout: Layout, setting: Setting, frame: Frame, way: _Way, ends: Ends) -> None:
    """The units with end and revision beside them, or these at the foot; the caution or the facts between."""
    if ends == "foot":
        lines = _ends_lines(setting, frame.width)
        frame, foot = frame.top(frame.height - text_height(setting.least("fact"), lines, LEADING))
        _ends(layout, setting, foot, lines)
    is_below = bool(way.units) or ends == "beside"
    if is_below:
        frame = _units(layout, setting, frame, way, has_ends=ends == "beside")
    if setting.tag.is_caution:
        clear = BAND_CLEAR if is_below else 0.0
        layout.rect(frame.top(clear)[1], fill=0.0)
        inner = frame.inset(BAND_PAD)  # as high as without the white: half of that is missing at each side
        _caution(layout, setting, Frame(inner.x, inner.y + clear / 2, inner.width, inner.height), way.facts)
    else:
        style = replace(setting.fact(3), upright="top")
        _facts_lines(layout, way.facts, frame, style)


def _facts_lines(layout: Layout, facts: str, frame: Frame, style: Style) -> None:
    """The facts, broken between them alone, or at least in no tag, where that costs no line and no height."""
    found = fit(facts, frame, style)
    if isinstance(found, Unfit) or len(found) == 1:
        layout.text(facts, frame, style)
        return
    parts = FACTS_APART.join(part.replace(" ", BOUND) for part in facts.split(FACTS_APART))
    whole = replace(style, is_whole=True)
    for text, way in ((parts, whole), (facts, whole), (facts, style)):
        lines = fit(text, frame, way)
        if not isinstance(lines, Unfit) and len(lines) <= len(found) and lines[0].size >= found[0].size:
            layout.marks += _as_given(lines, text, facts)
            return


def _as_given(lines: Sequence[Text], text: str, given: str) -> Iterator[Text]:
    """The lines of a text with the spaces of another, which differs from it in nothing else."""
    at = 0
    for line in lines:
        at = text.index(line.text, at)
        yield replace(line, text=given[at : at + len(line.text)])
        at += len(line.text)


def _caution(layout: Layout, setting: Setting, frame: Frame, text: str) -> None:
    """White on black, broken at its dashes where that leaves it high enough, else between its words."""
    phrases = "– ".join(part.replace(" ", BOUND) for part in text.split("– "))
    least = setting.sight("caution").caps
    style = setting.caution(max(setting.roomy("caution"), least))
    high = replace(style, least=max(least, style.least))
    if isinstance(fit(phrases, frame, high), Unfit):
        layout.text(text, frame, style)
    else:
        layout.text(phrases, frame, high)


def _units(layout: Layout, setting: Setting, frame: Frame, way: _Way, *, has_ends: bool) -> Frame:
    """The units at the top of a frame, end and revision at their right; what is left below them."""
    wide = frame.width - (_line_width(setting) + BESIDE if has_ends else 0.0)
    style, place = setting.across(way.style, wide), Frame(frame.x, frame.y, wide, frame.height)
    found = fit(way.units, place, style) if way.units else ()
    if isinstance(found, Unfit):
        layout.text(way.units, place, style)
        return frame
    caps = found[0].size * face(BOLD).cap_height if found else setting.least("unit")
    height = caps * (style.leading * (len(found) - 1) + 1) if found else caps
    layout.text(way.units, Frame(frame.x, frame.y, wide, height * 1.001), style)
    if has_ends:
        _line(layout, setting, Frame(frame.x, frame.y, frame.width, caps))
    below = caps * tail(found[-1].text) if found else 0.0
    if height + below > frame.height + 0.01:
        layout.text(way.units, frame.top(0.0)[0], style)
    return frame.top(height + below + CLEAR)[1]


def _line_width(setting: Setting) -> float:
    """The width of end and revision on one line."""
    bold, size = face(BOLD), face(BOLD).size_for_caps(setting.least("fact"))
    text = f"{setting.tag.end_text}  {setting.tag.revision_text}"
    return 0.0 if bold.missing(text) else bold.width(text, size)


def _line(layout: Layout, setting: Setting, frame: Frame) -> None:
    """End and revision on one line at the right of a frame, on its foot's line."""
    least = setting.least("fact")
    low = Frame(frame.x, frame.bottom - least, frame.width, least * 1.001)
    left = Frame(low.right - _line_width(setting), low.y, _line_width(setting), low.height)
    layout.text(setting.tag.end_text, left, Style(least, least, bold=True, upright="letter", role="fact"))
    layout.text(
        setting.tag.revision_text, low, Style(least, least, align="right", upright="letter", role="fact")
    )


def _ends_lines(setting: Setting, width: float) -> int:
    """Two where one line does not hold end and revision."""
    return 1 if _line_width(setting) <= width else 2


def _ends(layout: Layout, setting: Setting, frame: Frame, lines: int) -> None:
    """Which end at the left, the revision at the right; one below the other where no line holds both."""
    tag, least = setting.tag, setting.least("fact")
    bold = Style(least, least, bold=True, upright="bottom", role="fact")
    plain = Style(least, least, align="right", upright="bottom", role="fact")
    if lines == 2:
        upper, frame = frame.top(frame.height - text_height(least, 1))
        layout.text(tag.end_text, upper, bold)
        layout.text(tag.revision_text, frame, replace(plain, align="left"))
        return
    layout.text(tag.end_text, frame, bold)
    layout.text(tag.revision_text, frame, plain)

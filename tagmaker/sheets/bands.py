"""Pipe identification bands: sheets to cut into strips for each line set and main.

A band shows refrigerant and safety group in letters of the height that its pipe's outside diameter over the
insulation calls for, the warning of its group, and whose line it is; so many bands as the run needs, one at
each end and none further apart than the interval.
"""

import math
from collections.abc import Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.bands import BandRules, band_rules
from tagmaker.catalog.words import Words
from tagmaker.draw.marks import Page
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem, Where, error, note, warning
from tagmaker.sheets.paper import paper_size
from tagmaker.tags.model import OutsideDiameter
from tagmaker.tags.outside_diameter import over
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import Style, Unfit, fit, text_height
from tagmaker.units import Length

__all__ = ["Band", "band_count", "band_pages", "bands_of", "check_bands"]

MARGIN = 6.35  # mm, an office printer's unprintable edge
GAP = 1.5  # mm; with what follows, two of the highest common bands share a sheet
EDGE = 3.0
APART = 1.0  # mm between two texts of a band
LINE_CAPS = 3.6


class Band(Struct, frozen=True):
    """The bands of one line: how many, how high their letters are, and which line it is in words."""

    line: str
    count: int
    letter_mm: float


class _Text(Struct, frozen=True):
    """A text of a band: the height of its capitals, and its lines (none where it does not fit)."""

    text: str
    caps: float
    lines: int

    @property
    def style(self) -> Style:
        """At one size: the height is prescribed, so a text may wrap but not shrink."""
        return Style(self.caps, self.caps, self.lines, bold=True)

    @property
    def height(self) -> float:
        """Its height on the band, in mm."""
        return text_height(self.caps, self.lines) + APART

    def lines_within(self, width: float) -> int:
        """How many lines of that width it needs, none where these are not enough."""
        found = fit(self.text, Frame(0, 0, width, math.inf), self.style)
        return 0 if isinstance(found, Unfit) else len(found)


BANDS_AT_MOST = 500  # of one line: at the usual 20 ft two miles of pipe; more is a typing error


def band_count(run_mm: float, interval_mm: float) -> int:
    """One at each end and none further apart than the interval."""
    return math.ceil(run_mm / interval_mm - 1e-9) + 1


def check_bands(job: Job) -> Iterator[Problem]:
    """What is reported once for a job with bands: an unknown refrigerant, and where the rules come from."""
    if job.bands is None:
        return
    rules = band_rules()
    where = job.bands.where
    if job.refrigerant not in rules.groups:
        message = f"bands are asked for, and refrigerant {job.refrigerant!r} has no safety group here"
        hint = f"{did_you_mean(job.refrigerant, rules.groups)} (the groups are in layouts/bands.toml)"
        yield error("refrigerant-unknown", message, where, hint)
    message = "the bands follow layouts/bands.toml, parts of it from memory or second hand"
    hint = "the authority having jurisdiction decides; edit the file to match what applies"
    yield note("bands-authority", message, where, hint)


def bands_of(job: Job, box: BoxPlan, words: Words) -> tuple[list[Band], list[Problem]]:
    """The bands of a box's mains and line sets; a line not fully given has a problem instead."""
    if job.bands is None:
        return [], []
    rules = band_rules()
    bands: list[Band] = []
    problems: list[Problem] = []
    for line, outside, run, where in _lines(box, words):
        if outside is None or run is None:
            message = f"no bands for {line}: its tube, insulation or run is not given"
            hint = "give liquid, gas, insulation and run in the unit's row, or in the box's mains"
            problems.append(warning("band-incomplete", message, where, hint, (box.row.key,)))
            continue
        letter_mm = rules.letter_mm(outside.diameter)
        if _is_too_high(letter_mm, rules, job):
            message = f"no bands for {line}: letters of {letter_mm:g} mm do not fit on the job's paper"
            hint = "have this line's bands made, or paint them"
            problems.append(warning("band-incomplete", message, where, hint, (box.row.key,)))
            continue
        interval = job.bands.interval or rules.interval
        count = band_count(float(run.mm), float(interval.mm))
        if count > BANDS_AT_MOST:
            message = f"no bands for {line}: there would be {count:,}; the limit is {BANDS_AT_MOST}"
            hint = "check its run, and the interval of [bands]"
            problems.append(warning("band-incomplete", message, where, hint, (box.row.key,)))
            continue
        bands.append(Band(line, count, letter_mm))
    return bands, problems


def _lines(box: BoxPlan, words: Words) -> Iterator[tuple[str, OutsideDiameter | None, Length | None, Where]]:
    """Every main and line set of a box: its name, outside diameter, run, and where it is declared."""
    row = box.row
    if row.mains:
        for kind, tube in row.mains.tubes.items():
            name = f"{row.shown} · {words(f'tag.main_{kind}')}"
            yield name, over(tube, row.mains.insulation), row.mains.run, row.where
    for port in box.ports:
        for unit in port.units:
            for kind, given in (("liquid", unit.liquid), ("gas", unit.gas)):
                outside = over(given, unit.insulation) if given else None
                yield (
                    f"{row.shown} · {port.name} · {words(f'tag.{kind}')} · {unit.tag}",
                    outside,
                    unit.run,
                    unit.where,
                )


def _room(job: Job) -> Frame:
    """The part of a sheet, lying, that bands may cover."""
    height, width = paper_size(job)
    return Frame(0, 0, width, height).inset(MARGIN)


def band_pages(job: Job, bands: Iterable[Band]) -> tuple[list[Page], list[Problem]]:
    """The sheets, landscape, bands one below the other between cutting lines."""
    height, width = paper_size(job)
    room = _room(job)
    rules = band_rules()
    layout = Layout("band", job.where, "")
    pages: list[Page] = []
    y = room.y
    for band in (each for each in bands for _ in range(each.count)):
        texts = _texts(band.letter_mm, rules, job)
        tall = _height(texts)
        if y + tall > room.bottom + 0.01 and layout.marks:
            pages.append(Page(width, height, tuple(layout.marks)))
            layout.marks, y = [], room.y
        _draw(layout, band, texts, Frame(room.x, y, room.width, tall))
        y += tall + GAP
    if layout.marks:
        pages.append(Page(width, height, tuple(layout.marks)))
    return pages, layout.problems


def _texts(letter_mm: float, rules: BandRules, job: Job) -> list[_Text]:
    """Refrigerant and group, then the warnings of the group, each in so many lines as it needs."""
    least = float(rules.letters_least.mm)
    width = _room(job).inset(EDGE, 0).width
    group = rules.groups[job.refrigerant]
    texts = [_Text(f"{job.refrigerant}  {group}", letter_mm, 2)]
    texts += [_Text(warned, least, 3) for warned in rules.warnings[group]]
    return [replace(text, lines=text.lines_within(width)) for text in texts]


def _height(texts: Iterable[_Text]) -> float:
    """A band's height in mm, its texts and the line that names the pipe."""
    return sum(text.height for text in texts) + text_height(LINE_CAPS, 1) + 2


def _is_too_high(letter_mm: float, rules: BandRules, job: Job) -> bool:
    """Whether letters of that height are too large for the job's paper, in width or in height."""
    if job.refrigerant not in rules.groups:
        return False
    texts = _texts(letter_mm, rules, job)
    return not all(text.lines for text in texts) or _height(texts) > _room(job).height


def _draw(layout: Layout, band: Band, texts: Iterable[_Text], frame: Frame) -> None:
    """One band, its outline being where it is cut."""
    layout.rect(frame, line=0.2)
    rest = frame.inset(EDGE, 1.0)
    for text in texts:
        strip, rest = rest.top(text.height)
        layout.text(text.text, strip, text.style)
    layout.text(band.line, rest, Style(LINE_CAPS, 2.5))

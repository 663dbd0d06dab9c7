"""Pipe identification bands: how many each line set and main needs, and how high their letters are.

Takes a box as planned; gives its bands, and a problem for each line that has none. There are so many as the
run needs, one at each end and none further apart than the interval. `band_sheets` puts them on paper.
"""

import math
from collections.abc import Iterator

from msgspec import Struct

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.words import Words
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.problems import Problem, Where, error, note, warning
from tagmaker.sheets.band_sheets import Band, Rooms, band_height, band_rooms
from tagmaker.tags.model import OutsideDiameter
from tagmaker.tags.outside_diameter import over
from tagmaker.units import Length, length_text

__all__ = ["band_count", "bands_of", "check_bands"]

INCOMPLETE = "give liquid, gas, insulation and run in the unit's row, or in the box's mains"

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
    bands: list[Band] = []
    problems: list[Problem] = []
    rooms = band_rooms(job, words)
    for line, outside, run, where in _lines(box, words):
        found = _band(job, rooms, line, outside, run)
        if isinstance(found, Band):
            bands.append(found)
        else:
            message = f"no bands for {line}: {found.why}"
            problems.append(warning("band-incomplete", message, where, found.hint, (box.row.key,)))
    return bands, problems


class _None(Struct, frozen=True):
    """Why a line has no bands, and what to do."""

    why: str
    hint: str


def _band(
    job: Job, rooms: Rooms, line: str, outside: OutsideDiameter | None, run: Length | None
) -> Band | _None:
    """A line's bands, or why it has none; an unknown refrigerant is reported once for the job."""
    if outside is None or run is None:
        return _None("its tube, insulation or run is not given", INCOMPLETE)
    rules = band_rules()
    interval = (job.bands.interval if job.bands else None) or rules.interval
    count = band_count(float(run.mm), float(interval.mm))
    if count > BANDS_AT_MOST:
        why = f"there would be {count:,}; the limit is {BANDS_AT_MOST}"
        return _None(why, "check its run, and the interval of [bands]")
    band = Band(line, count, rules.letter_mm(outside.diameter), outside.circumference)
    return (_misfit(job, rooms, band, outside) if job.refrigerant in rules.groups else None) or band


def _misfit(job: Job, rooms: Rooms, band: Band, outside: OutsideDiameter) -> _None | None:
    """Why a band can be printed on no paper, or would cover its own words around the pipe."""
    height = band_height(band, job.refrigerant, rooms)
    if height is None:
        letters = length_text(band.letter_mm, is_metric=outside.is_metric)
        why = f"letters of {letters} do not fit on the job's paper"
        return _None(why, "have this line's bands made, or paint them")
    if height > band.around:
        tall, around = (length_text(mm, is_metric=outside.is_metric) for mm in (height, band.around))
        why = f"a band is {tall} high, and its pipe is {around} around: it would cover its own words"
        return _None(why, "hang a tag that gives refrigerant, group and warnings")
    return None


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

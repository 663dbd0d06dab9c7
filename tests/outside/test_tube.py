"""Tube sizes of the standards are read exactly, kept as written, and go round as far as they should."""

from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.job.read import read_job
from tagmaker.tags.outside_diameter import over
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.measured import length

ACR = {
    "1/4": Fraction(250, 1000),
    "5/16": Fraction(3125, 10000),
    "3/8": Fraction(375, 1000),
    "1/2": Fraction(500, 1000),
    "5/8": Fraction(625, 1000),
    "3/4": Fraction(750, 1000),
    "7/8": Fraction(875, 1000),
    "1-1/8": Fraction(1125, 1000),
    "1-3/8": Fraction(1375, 1000),
    "1-5/8": Fraction(1625, 1000),
    "2-1/8": Fraction(2125, 1000),
}
"""Nominal sizes, which are actual outside diameters, in inches: ASTM B280-20, Table 1 [read]."""
METRIC = (6, 8, 10, 12, 15, 18, 22, 28, 35, 42, 54)
"""Outside diameters in millimetres: EN 12735-1 [memory]."""
WALLS = {
    "3/8": Fraction(3, 8),
    "1/2": Fraction(1, 2),
    "3/4": Fraction(3, 4),
    "1": Fraction(1),
    "1-1/2": Fraction(3, 2),
    "2": Fraction(2),
}
"""Common walls of elastomeric insulation in inches [memory]."""
INCH = Fraction("25.4")


@pytest.mark.parametrize("size", ACR)
def test_acr_sizes_are_their_outside_diameters(size: str) -> None:
    """1/4 to 2-1/8 in, exact in millimetres: ASTM B280-20, Table 1 [read]."""
    assert length(f"{size} in").mm == ACR[size] * INCH


@pytest.mark.parametrize("size", ACR)
@pytest.mark.parametrize("form", ["{} in", '{}"', "{}in", "{} inch"])
def test_acr_sizes_as_people_write_them(size: str, form: str) -> None:
    """The inch mark and its words are the same size, and are printed alike."""
    read = length(form.format(size))
    assert (read.mm, read.text) == (ACR[size] * INCH, f"{size} in")


@pytest.mark.parametrize("size", [size for size in ACR if "-" in size])
def test_mixed_numbers_may_have_a_space(size: str) -> None:
    """1 1/8 in is 1-1/8 in, and is printed so."""
    read = length(f"{size.replace('-', ' ')} in")
    assert (read.mm, read.text) == (ACR[size] * INCH, f"{size} in")


@pytest.mark.parametrize("millimetres", METRIC)
def test_metric_sizes_are_read_exactly(millimetres: int) -> None:
    """6 to 54 mm: EN 12735-1 [memory]."""
    assert length(f"{millimetres} mm").mm == millimetres


@pytest.mark.parametrize("printed", ["9.52 mm", "9.53 mm"])
def test_printed_equivalents_are_no_inch_sizes(printed: str) -> None:
    """3/8 in is 9.525 mm [computed]; tables print 9.52 or 9.53: what is written is what counts."""
    assert length("3/8 in").mm == Fraction("9.525")
    assert length(printed).mm == Fraction(printed.split(maxsplit=1)[0])


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("size", ACR)
def test_every_tube_in_every_common_wall(size: str, wall: str) -> None:
    """Outside diameter = tube + 2 x wall, exact to the last digit that is printed [computed]."""
    hugs = over(length(f"{size} in"), length(f"{wall} in"))
    assert hugs
    outside = ACR[size] + 2 * WALLS[wall]
    assert hugs.diameter == float(outside * INCH)
    said, unit, *_ = hugs.text.split()
    assert (abs(Fraction(said) - outside) <= Fraction(1, 2000), unit) == (True, "in")


def test_sizes_of_a_job_reach_its_rows(tmp_path: Path) -> None:
    """From the file to the record: tube, wall, run and jacket, as written."""
    measures = (
        'liquid = "3/8 in"\ngas = "1-1/8 in"\ninsulation = "3/4 in"\nrun = "62 ft"\ncable = "0.26 in"\n'
    )
    write_files(tmp_path, {"job.toml": f"{HEAD}{BOX}{UNIT}{measures}"})
    job, problems = read_job(tmp_path)
    assert list(problems) == []
    assert job
    (row,) = job.units
    read = [row.liquid, row.gas, row.insulation, row.run, row.cable]
    inches = [Fraction(3, 8), Fraction(9, 8), Fraction(3, 4), Fraction(62 * 12), Fraction(26, 100)]
    assert [each.mm / INCH for each in read if each] == inches
    assert [each.text for each in read if each] == ["3/8 in", "1-1/8 in", "3/4 in", "62 ft", "0.26 in"]

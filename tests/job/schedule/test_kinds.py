"""Cells of quantities: each kind has one way to be read, its unit in the cell or the header."""

from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.catalog.columns import KINDS
from tagmaker.job.schedule.kinds import KNOWN_UNITS, READERS_OF, UNIT_CODES
from tagmaker.job.schedule.read import read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.measures import Volume
from tagmaker.problems import CODES
from tests.job.reading import first_lines
from tests.job_files import write_files

HEAD = "unit,box,port,capacity (MBH)"
ROW = "FC-1,BX-1,A,24"


def test_every_kind_but_text_is_a_quantity() -> None:
    """With its reader, its units, and a code of its own or a shared one."""
    for table in (READERS_OF, KNOWN_UNITS, UNIT_CODES):
        assert {*table, "text"} == set(KINDS)
    assert set(UNIT_CODES.values()) <= set(CODES)


@pytest.mark.parametrize("rows", [("room volume (m3)", "34"), ("Volume", "34 m3"), ("room volume", "34 m³")])
def test_the_volume_of_a_room(rows: tuple[str, str], tmp_path: Path) -> None:
    """Its unit is in the header or in the cell."""
    write_files(tmp_path, {"ports.csv": f"{HEAD},{rows[0]}\n{ROW},{rows[1]}\n"})
    schedule, problems = read_schedule(tmp_path / "ports.csv", "ports.csv", Choices())
    assert problems == []
    assert [row.room_volume for row in schedule.rows] == [Volume(Fraction(34), "m3")]


@pytest.mark.parametrize(
    ("header", "cell", "problem"),
    [
        (
            "volume",
            "34",
            "ports.csv:1: error: column 'volume' has no unit, nor has its number: '34' on line 2",
        ),
        ("volume", "34 gal", "ports.csv:2: error: volume '34 gal' has a unit that is not known, 'gal'"),
        ("volume (gal)", "34", "ports.csv:1: error: column 'volume (gal)' has a unit that is not known"),
    ],
)
def test_a_volume_without_a_known_unit(header: str, cell: str, problem: str, tmp_path: Path) -> None:
    """As of the other quantities: reported once, with what is known."""
    write_files(tmp_path, {"ports.csv": f"{HEAD},{header}\n{ROW},{cell}\n"})
    _, problems = read_schedule(tmp_path / "ports.csv", "ports.csv", Choices())
    assert first_lines(problems) == [f"{problem} [quantity-unit]"]
    assert "known units: ft3, m3" in problems[0].hint

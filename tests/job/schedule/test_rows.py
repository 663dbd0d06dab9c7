"""From cells to a unit's row: what each cell may be, and what is told of those that are wrong."""

from fractions import Fraction

import pytest

from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.rows import Cell, unit_row
from tagmaker.problems import Problem, Where
from tagmaker.units import Capacity, Length
from tests.tables import table

ROW = Where("ports.csv", 4)
AT = Where("job.toml", 9)
GOOD = {"unit": "FC-1", "box": "bx-1", "port": "A"}


def read(**texts: str) -> tuple[UnitRow | None, list[Problem]]:
    """A good row with these cells added or changed; every cell stands in one place."""
    return unit_row({key: Cell(text, AT) for key, text in {**GOOD, **texts}.items()}, ROW)


def row_of(**texts: str) -> UnitRow:
    """The same where there must be a row and no problem."""
    row, problems = read(**texts)
    assert problems == []
    assert row
    return row


def test_every_cell_has_its_field() -> None:
    """A full row, quantities exact."""
    row = row_of(
        port="G+H", capacity="72 kBtu/h", room="Reading room", address="2-07", liquid="3/8 in", gas="3/4 in",
        insulation="1/2 in", run="62 ft", cable="6.6 mm",
    )  # fmt: skip
    assert row == UnitRow(
        tag="FC-1",
        box="bx-1",
        port="G+H",
        capacity=Capacity(Fraction(72000), "kBtu/h"),
        room="Reading room",
        address="2-07",
        liquid=Length(Fraction("9.525"), "3/8 in"),
        gas=Length(Fraction("19.05"), "3/4 in"),
        insulation=Length(Fraction("12.7"), "1/2 in"),
        run=Length(Fraction("18897.6"), "62 ft"),
        cable=Length(Fraction("6.6"), "6.6 mm"),
        where=ROW,
    )


def test_row_of_few_cells() -> None:
    """Unit, box and port make a row; what else is absent or empty is nothing."""
    row = row_of(room="", capacity="", run="")
    assert (row.room, row.capacity, row.run, row.cable) == ("", None, None, None)


def test_texts_may_be_sixty_signs_long() -> None:
    """The longest room is read whole."""
    assert row_of(room="x" * 60).room == "x" * 60


def test_key_of_a_unit_is_in_capitals() -> None:
    """Codes have the tag in capitals, whatever the row has."""
    assert row_of(unit="fc-1a").key == "FC-1A"


def test_header_gives_its_unit() -> None:
    """A bare number takes the unit of its column."""
    row, problems = unit_row(
        {**{key: Cell(t, AT) for key, t in GOOD.items()}, "run": Cell("62", AT, "ft")}, ROW
    )
    assert problems == []
    assert row
    assert row.run == Length(Fraction("18897.6"), "62 ft")


@pytest.mark.parametrize("key", ["unit", "box", "port"])
@pytest.mark.parametrize("empty", [True, False])
def test_row_that_lacks_what_it_must_have(key: str, empty: bool) -> None:  # noqa: FBT001 — a case of two
    """Without its unit, box or port there is no row; an empty cell's place is told, else the row's."""
    cells = {name: Cell(text, AT) for name, text in GOOD.items() if name != key}
    row, problems = unit_row({**cells, key: Cell("", AT)} if empty else cells, ROW)
    assert row is None
    assert [(each.code, each.message, each.where) for each in problems] == [
        ("cell-missing", f"the row has no {key}", AT if empty else ROW)
    ]


@pytest.mark.parametrize("key", ["unit", "box"])
@pytest.mark.parametrize("tag", ["FC 1", "-1", "F" * 25, "F" * 61, "FÜ-1"])
def test_tag_that_is_none(key: str, tag: str) -> None:
    """A unit or box whose tag breaks the grammar has no row, and is told once."""
    row, problems = read(**{key: tag})
    assert row is None
    assert len(problems) == 1


@pytest.mark.parametrize(
    ("key", "text", "code"),
    table(
        """
    capacity | 24                                                            | capacity-unit
    capacity | 0 kW                                                          | capacity-wrong
    run      | 62                                                            | length-unit
    gas      | 3/0 in                                                        | length-wrong
    room     | xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx | value-wrong
    address  | xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx | value-wrong
    """
    ),
)
def test_cell_that_is_wrong_leaves_the_row(key: str, text: str, code: str) -> None:
    """A cell that cannot be read is told and named in the row, which goes on to the other checks."""
    row, problems = read(**{key: text})
    assert [(each.code, each.where) for each in problems] == [(code, AT)]
    assert row
    assert row.unread == {key}
    assert not getattr(row, key)


def test_every_cell_of_a_row_is_told() -> None:
    """Four mistakes in a row are four problems."""
    _, problems = read(unit="FC 1", capacity="24", liquid="3/8", room="x" * 61)
    assert [each.code for each in problems] == ["tag-wrong", "capacity-unit", "value-wrong", "length-unit"]


def test_problems_bear_the_rows_box() -> None:
    """A row's problems concern its box, so that `--box` can pass over them."""
    assert [each.boxes for each in read(capacity="24")[1]] == [("BX-1",)]


@pytest.mark.parametrize("box", ["", "BX 1"])
def test_problems_of_a_row_without_a_box_concern_all(box: str) -> None:
    """Where the box cannot be told, nobody may pass over the row."""
    assert {each.boxes for each in read(box=box, capacity="24")[1]} == {()}

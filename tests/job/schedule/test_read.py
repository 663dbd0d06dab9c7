"""A CSV schedule, as spreadsheets of any country write it: what is read, and where each mistake stands."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import UnitRow
from tagmaker.job.schedule.read import read_schedule
from tagmaker.problems import Problem
from tests.job_files import write_files

HEAD = "unit,box,port,capacity (kBtu/h),room\n"
GOOD = "FC-1,BX-1,A,24,Shop\n"


def read(folder: Path, content: str | bytes) -> tuple[list[UnitRow], list[Problem]]:
    """The rows and problems of a schedule of that content."""
    write_files(folder, {"ports.csv": content})
    found, problems = read_schedule(folder / "ports.csv", "ports.csv")
    return found.rows, problems


def rows_of(folder: Path, content: str | bytes) -> list[UnitRow]:
    """The rows of a schedule without problems."""
    rows, problems = read(folder, content)
    assert problems == []
    return rows


def told(folder: Path, content: str | bytes) -> list[str]:
    """The first lines of what is told of a schedule."""
    return [problem.as_text().partition("\n")[0] for problem in read(folder, content)[1]]


def facts(rows: list[UnitRow]) -> list[tuple[str, str, str, str, str, int]]:
    """What the rows say, and on which line."""
    loads = [row.capacity.text("kBtu/h") if row.capacity else "" for row in rows]
    return [
        (row.tag, row.box, row.port, load, row.room, row.where.line)
        for row, load in zip(rows, loads, strict=True)
    ]


ONE = [("FC-1", "BX-1", "A", "24 kBtu/h", "Shop", 2)]

# --- ways of writing the same -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [
        HEAD + GOOD,
        (HEAD + GOOD).rstrip("\n"),
        "\ufeff" + HEAD + GOOD,
        (HEAD + GOOD).replace("\n", "\r\n"),
        (HEAD + GOOD).replace("\n", "\r"),
        (HEAD + GOOD).replace(",", ";"),
        (HEAD + GOOD).replace(",", " , "),
        HEAD.replace("\n", ",,,\n") + GOOD.replace("\n", ",,\n") + ",,,,\n\n,,,,,,,,\n",
        'unit,box,port,"capacity (kBtu/h)",room\n"FC-1","BX-1","A","24","Shop"\n',
        '"unit";"box";"port";"capacity (kBtu/h)";"room"\n"FC-1";"BX-1";"A";"24";"Shop"\n',
        "UNIT;Box;PORT:;Capacity [kBtu/h];- room -\nFC-1;BX-1;A;24;Shop\n",
        "unit,box,port,capacity,room\nFC-1,BX-1,A,24 kBtu/h,Shop\n",
        "unit,box,port,capacity (ton),room\nFC-1,BX-1,A,2,Shop\n",
        "unit,box,port,capacity (ton),room\nFC-1,BX-1,A,24 MBH,Shop\n",
        "room,capacity (kBtu/h),port,box,unit\nShop,24,A,BX-1,FC-1\n",
    ],
)
def test_schedules_that_say_the_same(content: str, tmp_path: Path) -> None:
    """Byte order mark, line ends, comma or semicolon, quotes, order, case, spaces and tails do not matter."""
    assert facts(rows_of(tmp_path, content)) == ONE


def test_semicolons_go_with_decimal_commas(tmp_path: Path) -> None:
    """Where semicolons part the cells, a comma may stand for a decimal point, or in a room's name."""
    content = "unit;box;port;capacity (ton);room\nFC-1;BX-1;A;1,5;Shop, front\n"
    assert facts(rows_of(tmp_path, content)) == [("FC-1", "BX-1", "A", "18 kBtu/h", "Shop, front", 2)]


@pytest.mark.parametrize("first", ["sep=|\n", '"sep=|"\r\n', "SEP=|;;;\n"])
def test_a_first_line_may_say_the_sign_between_cells(first: str, tmp_path: Path) -> None:
    """As spreadsheets write it (common practice); it counts as a line, and no other sign is looked for."""
    content = first + "unit|box|port|capacity (ton)|room\nFC-1|BX-1|A|2|Shop, front; rear\n"
    assert facts(rows_of(tmp_path, content)) == [("FC-1", "BX-1", "A", "24 kBtu/h", "Shop, front; rear", 3)]


def test_a_quote_is_no_sign_between_cells(tmp_path: Path) -> None:
    """Whatever the first line says: it could not quote any more."""
    assert told(tmp_path, 'sep="\n' + HEAD + GOOD) == []


@pytest.mark.parametrize("text", ["#N/A", "#REF!", "#DIV/0!"])
def test_an_error_value_is_known_in_csv_too(text: str, tmp_path: Path) -> None:
    """A spreadsheet saves it as its text (common practice)."""
    assert told(tmp_path, f"{HEAD}FC-1,BX-1,A,24,{text}\n") == [
        f"ports.csv:2: error: room is an error value, {text} [cell-value]"
    ]


def test_header_may_hold_the_other_sign(tmp_path: Path) -> None:
    """Quoted cells do not count in telling comma from semicolon, nor where they span lines."""
    content = '"capacity\n(kBtu/h)";unit;box;port;"room"\n24;FC-1;BX-1;A;"Shop; front"\n'
    assert facts(rows_of(tmp_path, content)) == [("FC-1", "BX-1", "A", "24 kBtu/h", "Shop; front", 3)]


def test_quoted_cells(tmp_path: Path) -> None:
    """A quoted cell may hold the delimiter, quotes and line ends; white space in it becomes one space."""
    content = HEAD + 'FC-1,BX-1,A,24,"Shop, ""front""\n  and   back"\n' + GOOD.replace("FC-1", "FC-2")
    assert [(row.room, row.where.line) for row in rows_of(tmp_path, content)] == [
        ('Shop, "front" and back', 2),
        ("Shop", 4),
    ]


def test_blank_rows_count_as_lines(tmp_path: Path) -> None:
    """Rows without a filled cell are passed over, before the header too, and lines still count from 1."""
    content = "\n,,\n" + HEAD + "\n" + GOOD + " , ,,,\n" + GOOD.replace("FC-1", "FC-2")
    assert [row.where.line for row in rows_of(tmp_path, content)] == [5, 7]


def test_header_alone_has_no_rows(tmp_path: Path) -> None:
    """A schedule may be empty: the job's other rows count."""
    assert rows_of(tmp_path, HEAD) == []


@given(
    st.lists(
        st.tuples(
            st.text(alphabet="ab ,;\"'\n\r()é", max_size=12),
            st.integers(0, 2),
            st.booleans(),
        ),
        max_size=8,
    ),
    st.sampled_from([",", ";"]),
    st.sampled_from(["\n", "\r\n"]),
)
@settings(max_examples=80, deadline=None)
def test_line_of_a_row_is_its_first(
    tmp_path_factory: pytest.TempPathFactory,
    entries: list[tuple[str, int, bool]],
    sign: str,
    end: str,
) -> None:
    """Whatever quoted cells and blank rows stand before it, a row's line is the one where it begins."""
    text = sign.join(("unit", "box", "port", "room")) + end
    expected: list[tuple[str, int]] = []
    for number, (room, blanks, is_long) in enumerate(entries):
        text += (sign * 3 + end if is_long else end) * blanks
        expected.append((" ".join(room.split()), text.count("\n") + 1))
        quoted = room.replace('"', '""').replace("\r\n", "\n").replace("\r", "\n").replace("\n", end)
        text += sign.join((f"FC-{number}", "BX-1", "A", f'"{quoted}"')) + end
    rows = rows_of(tmp_path_factory.mktemp("job"), text)
    assert [(row.room, row.where.line) for row in rows] == expected


# --- headers ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "problem"),
    [
        ("unit,box,prot", "ports.csv:1: error: unknown column 'prot' [column-unknown]"),
        ("unit,box,port,unit", "ports.csv:1: error: two columns mean 'unit' [column-twice]"),
        (
            "unit,box,port,Port:",
            "ports.csv:1: error: two columns mean 'port': 'port' and 'Port:' [column-twice]",
        ),
        ("unit,box", "ports.csv:1: error: no column port [columns-missing]"),
        ("room", "ports.csv:1: error: no column unit, box, port [columns-missing]"),
        (
            "unit,box,port,capacity (hp)",
            "ports.csv:1: error: column 'capacity (hp)' has a unit that is not known [capacity-unit]",
        ),
        (
            "unit,box,port,run (kBtu/h)",
            "ports.csv:1: error: column 'run (kBtu/h)' has a unit that is not known [length-unit]",
        ),
        (
            "unit,box,port,room (m)",
            "ports.csv:1: error: column 'room (m)' has a unit that is not known [column-unknown]",
        ),
    ],
)
def test_header_that_is_wrong(header: str, problem: str, tmp_path: Path) -> None:
    """A column that is unknown, twice, absent or in an unknown unit: told once, and no row is guessed."""
    assert told(tmp_path, f"{header}\nFC-1,BX-1,A,24\n") == [problem]
    assert read(tmp_path, f"{header}\nFC-1,BX-1,A,24\n")[0] == []


def test_every_mistake_of_a_header_is_told(tmp_path: Path) -> None:
    """Three wrong columns are three problems, each with the nearest right word or units."""
    problems = read(tmp_path, "unit,box,port,rom,run (yd),liquid (kW),room (m)\n")[1]
    assert [(each.code, each.hint) for each in problems] == [
        (
            "column-unknown",
            (
                "did you mean 'room'? – or name it in [columns] of the job.toml that `tagmaker start` "
                'writes: "rom" = "" leaves it out'
            ),
        ),
        ("length-unit", "known units: in, ft, mm, cm, m"),
        ("length-unit", "known units: in, ft, mm, cm, m"),
        ("column-unknown", "'room' has no unit"),
    ]


def test_units_of_capacity_are_named(tmp_path: Path) -> None:
    """A capacity's column is answered with capacity's units."""
    (problem,) = read(tmp_path, "unit,box,port,capacity (BTU)\n")[1]
    assert problem.hint == "known units: kBtu/h, Btu/h, ton, kW"


@pytest.mark.parametrize("content", ["", "\n\n", ",,,\n , ,\n", "\ufeff"])
def test_schedule_without_a_header(content: str, tmp_path: Path) -> None:
    """A file without a filled cell has no header; the hint shows one."""
    (problem,) = read(tmp_path, content)[1]
    assert problem.as_text() == (
        "ports.csv:1: error: ports.csv has no header row [columns-missing]\n"
        "    begin with a header row: unit, box, port, capacity (kBtu/h), room"
    )


def test_header_that_is_not_on_the_first_line(tmp_path: Path) -> None:
    """Its problems have its own line."""
    assert told(tmp_path, "\n\nunit,box\n") == ["ports.csv:3: error: no column port [columns-missing]"]


# --- rows ---------------------------------------------------------------------------------------------------


def test_every_row_is_told_with_its_line(tmp_path: Path) -> None:
    """All that is wrong with a schedule is told in one run; the good rows are there."""
    content = HEAD + (
        "FC-1,BX-1,A,24 hp,Shop\n"
        'FC-2,BX-1,B,"24,000","Store\nroom"\n'
        "FC-3,BX-1,,24,\n"
        "FC 4,BX-1,C,24,\n"
        ",,C,24,\n"
        "FC-6,BX-1,D,24,Bakehouse\n"
    )
    assert told(tmp_path, content) == [
        "ports.csv:2: error: capacity '24 hp' has a unit that is not known, 'hp' [capacity-unit]",
        "ports.csv:3: error: capacity '24,000' is not one clear number above zero [capacity-wrong]",
        "ports.csv:5: error: the row has no port [cell-missing]",
        "ports.csv:6: error: unit 'FC 4' is not a valid tag [tag-wrong]",
        "ports.csv:7: error: the row has no unit [cell-missing]",
        "ports.csv:7: error: the row has no box [cell-missing]",
    ]
    rows, _ = read(tmp_path, content)
    assert [(row.tag, sorted(row.unread)) for row in rows] == [
        ("FC-1", ["capacity"]),
        ("FC-2", ["capacity"]),
        ("FC-6", []),
    ]


def test_bare_number_is_a_problem(tmp_path: Path) -> None:
    """Without a unit in cell or header nothing is guessed."""
    assert told(tmp_path, "unit,box,port,capacity,run\nFC-1,BX-1,A,24,62\n") == [
        f"ports.csv:1: error: column {name!r} has no unit, nor has its number: {cell} on line 2 [{code}]"
        for name, cell, code in (("capacity", "'24'", "capacity-unit"), ("run", "'62'", "length-unit"))
    ]


@pytest.mark.parametrize(
    "content",
    [
        HEAD + "FC-1,BX-1,A,24,Shop,front\n",
        HEAD.replace(",room", ",") + "FC-1,BX-1,A,24,front\n",
        HEAD.replace(",room", ",,room") + "FC-1,BX-1,A,24,front,Shop\n",
    ],
)
def test_cell_under_no_heading(content: str, tmp_path: Path) -> None:
    """A filled cell without a heading may be half of another: the row is not guessed."""
    rows, problems = read(tmp_path, content)
    assert rows == []
    assert [problem.as_text().partition("\n")[0] for problem in problems] == [
        "ports.csv:2: error: cell 'front' has no heading above it [row-too-long]"
    ]


def test_short_row_lacks_its_last_cells(tmp_path: Path) -> None:
    """A row may end early; what it must have is asked for."""
    assert told(tmp_path, HEAD + "FC-1,BX-1\n") == ["ports.csv:2: error: the row has no port [cell-missing]"]


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (HEAD + GOOD + 'FC-2,BX-1,B,24,"Shop\nfront\n', 3),
        (HEAD + 'FC-2,BX-1,B,24,"Shop" front\n' + GOOD, 2),
        (HEAD + f'FC-2,BX-1,B,24,"{"x" * 140_000}"\n', 2),
    ],
)
def test_quotes_that_do_not_close(content: str, line: int, tmp_path: Path) -> None:
    """What is no CSV is told at the line where its record begins."""
    (problem,) = read(tmp_path, content)[1]
    assert (problem.code, problem.where.line) == ("file-unreadable", line)
    assert problem.message.startswith("not valid CSV: ")


def test_schedule_that_is_not_there(tmp_path: Path) -> None:
    """The file is named as the job names it."""
    found, (problem,) = read_schedule(tmp_path / "ports.csv", "ports.csv")
    assert found.rows == []
    assert problem.as_text() == ("ports.csv: error: ports.csv does not exist [file-unreadable]")


def test_schedule_in_another_encoding(tmp_path: Path) -> None:
    """A sign that several code pages know is told with its line, not read wrongly."""
    (problem,) = read(tmp_path, (HEAD + GOOD + "FC-2,BX-1,B,24,Crème\n").encode("cp1252"))[1]
    assert (problem.code, problem.where.line) == ("file-encoding", 3)
    assert problem.message == "ports.csv is not UTF-8 text, and its characters can be read in several ways"

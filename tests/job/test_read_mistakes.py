"""Every mistake of a job in one run, each with its file and line and the boxes that it touches."""

from pathlib import Path

import pytest

from tagmaker.job.read import read_job
from tests.job.reading import CSV, first_lines, read, told, unit
from tests.job_files import BOX, HEAD, UNIT

# --- unknown words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("toml", "line", "key", "hint"),
    [
        ("[units]\n" + HEAD + BOX + UNIT, 1, "units", "did you mean 'unit'?"),
        (HEAD + "revison = 2\n" + BOX + UNIT, 4, "revison", "did you mean 'revision'?"),
        (HEAD + BOX + 'Place = "x"\n' + UNIT, 7, "Place", "did you mean 'place'?"),
        (HEAD + BOX + UNIT + 'adress = "1"\n', 12, "adress", "did you mean 'address'?"),
        (HEAD + '[print]\nplacards = "a4"\n' + BOX + UNIT, 5, "placards", "did you mean 'placard'?"),
    ],
)
def test_unknown_key(toml: str, line: int, key: str, hint: str, tmp_path: Path) -> None:
    """In every table of a job an unknown key is an error with the nearest right word."""
    problems = read(tmp_path, toml)[1]
    assert [(each.code, each.message, each.where.line, each.hint) for each in problems] == [
        ("key-unknown", f"unknown key {key!r}", line, hint)
    ]


def test_unknown_box(tmp_path: Path) -> None:
    """A row of a box that the job does not have: told at the row, with the nearest box."""
    job, problems = read(tmp_path, HEAD + BOX + UNIT + unit("FC-2", "BX1"))
    assert first_lines(problems) == [
        "job.toml:12: error: unit FC-2 names box 'BX1', which the job does not have [box-unknown]"
    ]
    assert problems[0].hint == "did you mean 'BX-1'?"
    assert job
    assert [row.tag for row in job.units] == ["FC-1"]


# --- values of [job] that are wrong -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "value",
    ['""', '"123456789"', '"-a"', '"A B"', '"é"', '"A\\n"', "-1", "1.5", "true", "123456789", "08:00:00"],
)
def test_revision_that_is_wrong(value: str, tmp_path: Path) -> None:
    """What is neither a whole number nor eight plain signs is told, never cut."""
    problems = read(tmp_path, f"{HEAD}revision = {value}\n{BOX}{UNIT}")[1]
    assert [(each.code, each.where.line, each.hint) for each in problems] == [
        ("value-wrong", 4, 'use letters, digits, points and hyphens: 2 or "P02"')
    ]


@pytest.mark.parametrize("value", ['"2026-04-30"', "2026-04-30T08:00:00", "08:00:00", "20260430"])
def test_date_that_is_wrong(value: str, tmp_path: Path) -> None:
    """A date is a TOML date without a time."""
    assert told(tmp_path, f"{HEAD}date = {value}\n{BOX}{UNIT}") == [
        "job.toml:4: error: 'date' must be a date without quotes, like 2026-04-30 [value-wrong]"
    ]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('status = "drafd"', "'status' cannot be 'drafd'"),
        ('capacity_unit = "BTU"', "'capacity_unit' cannot be 'BTU'"),
        ('capacity_unit = "MBH"', "'capacity_unit' cannot be 'MBH'"),
        ("number = 24", "'number' must be one line of text, at most 24 characters"),
        (f'number = "{"9" * 25}"', "'number' must be one line of text, at most 24 characters"),
        (f'prepared_by = "{"x" * 41}"', "'prepared_by' must be one line of text, at most 40 characters"),
        (f'refrigerant = "{"x" * 25}"', "'refrigerant' must be one line of text, at most 24 characters"),
        (f'site = "{"x" * 61}"', "'site' must be one line of text, at most 60 characters"),
    ],
)
def test_value_that_is_wrong(line: str, message: str, tmp_path: Path) -> None:
    """A word that is not among those known, a text of the wrong sort or too long: told at its line."""
    assert told(tmp_path, f"{HEAD}{line}\n{BOX}{UNIT}") == [f"job.toml:4: error: {message} [value-wrong]"]


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('name = "Tide Street Bakery"\n', "", "job.toml:1: error: key 'job.name' is missing [key-missing]"),
        ("Tide Street Bakery", " ", "job.toml:2: error: 'name' is empty [value-wrong]"),
        (
            "Tide Street Bakery",
            "x" * 61,
            "job.toml:2: error: 'name' must be one line of text, at most 60 characters [value-wrong]",
        ),
    ],
)
def test_name_that_is_wrong(old: str, new: str, problem: str, tmp_path: Path) -> None:
    """A job has a name that fits a line."""
    assert told(tmp_path, HEAD.replace(old, new) + BOX + UNIT) == [problem]


def test_tables_of_the_wrong_sort(tmp_path: Path) -> None:
    """A table written as something else is told with the way to write it."""
    lines = told(tmp_path, "job = 3\nbox = 3\nunit = 3\nprint = 3\n")
    assert {
        "job.toml:1: error: 'job' must be a table: write [job] [value-wrong]",
        "job.toml:2: error: 'box' must be an array of tables: write [[box]] [value-wrong]",
        "job.toml:3: error: 'unit' must be an array of tables: write [[unit]] [value-wrong]",
        "job.toml:4: error: 'print' must be a table: write [print] [value-wrong]",
    } <= set(lines)


def test_empty_job(tmp_path: Path) -> None:
    """An empty file lacks its first table; the hint says how to begin."""
    job, problems = read(tmp_path, "")
    assert job is None
    assert (problems[0].code, problems[0].message) == ("key-missing", "the table [job] is missing")
    assert "`tagmaker manual job-file`" in problems[0].hint


# --- files --------------------------------------------------------------------------------------------------


def test_no_job_here(tmp_path: Path) -> None:
    """A folder without a job, and a file that is not there."""
    for path, name in ((tmp_path, "job.toml"), (tmp_path / "other.toml", "other.toml")):
        job, (problem,) = read_job(path)
        assert job is None
        assert (problem.code, problem.message) == ("job-missing", f"no {name} here")
        assert str(problem.where) == str(path)


def test_job_that_is_no_file(tmp_path: Path) -> None:
    """A folder named job.toml is no job."""
    (tmp_path / "job.toml").mkdir()
    assert first_lines(read_job(tmp_path)[1]) == [
        "job.toml: error: job.toml is a folder, not a file [file-unreadable]"
    ]


def test_job_that_is_no_toml(tmp_path: Path) -> None:
    """A slip of grammar has its line, and nothing else is told."""
    job, problems = read(tmp_path, HEAD + BOX + "[[unit]\n")
    assert job is None
    assert [(each.code, str(each.where)) for each in problems] == [("toml-syntax", "job.toml:7")]


# --- all in one run, each with its boxes --------------------------------------------------------------------

WRONG_EVERYWHERE = f"""[job]
name = 7
family = "four-port-boards"
revison = 2
date = "today"
schedule = ["ports.csv", "absent.csv"]

[print]
cable = "leter-30"

{BOX}
level = 2

[[box]]
tag = "BX-2"
ports = 0

{UNIT}
colour = "red"
"""


def test_every_mistake_is_told_in_one_run(tmp_path: Path) -> None:
    """Mistakes in every table and every file of a job are told together, each at its file and line."""
    rows = 'FC-2,BX-1,B,"24,000"\n"FC-3",BX-9,C,"1\n2"\nFC-4,BX-2,,24\nFC-5,BX-9,A,24\n'
    lines = told(tmp_path, WRONG_EVERYWHERE, ports_csv=CSV + rows)
    assert sorted(lines) == sorted(
        [
            "job.toml:2: error: 'name' must be one line of text, at most 60 characters [value-wrong]",
            "job.toml:4: error: unknown key 'revison' [key-unknown]",
            "job.toml:5: error: 'date' must be a date without quotes, like 2026-04-30 [value-wrong]",
            "job.toml:9: error: no label stock is named 'leter-30' [stock-unknown]",
            "job.toml:15: error: 'level' must be one line of text, at most 60 characters [value-wrong]",
            "job.toml:19: error: 'ports' must be a whole number, 1 or more [value-wrong]",
            "job.toml:27: error: unknown key 'colour' [key-unknown]",
            "ports.csv:2: error: capacity '24,000' is not one clear number above zero [capacity-wrong]",
            "ports.csv:3: error: capacity '1 2' is not one clear number above zero [capacity-wrong]",
            (
                "ports.csv:3: error: "
                "unit FC-3 names box 'BX-9', which the job does not have; likewise FC-5 [box-unknown]"
            ),
            "ports.csv:5: error: the row has no port [cell-missing]",
            "absent.csv: error: absent.csv does not exist [file-unreadable]",
        ]
    )


@pytest.mark.parametrize(
    ("toml", "boxes"),
    [
        (HEAD + BOX + 'plaec = "x"\n' + UNIT, ("BX-1",)),
        (HEAD + BOX.replace("BX-1", "bx-1") + "place = 7\n" + UNIT, ("BX-1",)),
        (HEAD + BOX + UNIT + 'colour = "red"\n', ("BX-1",)),
        (HEAD + BOX + UNIT + "room = true\n", ("BX-1",)),
        (HEAD + BOX + UNIT.replace("24 kBtu/h", "24"), ("BX-1",)),
        (HEAD + BOX + UNIT.replace("FC-1", "FC 1"), ("BX-1",)),
        (HEAD + BOX + UNIT.replace('box = "BX-1"\n', ""), ()),
        (HEAD + BOX + UNIT.replace("BX-1", "BX-9"), ()),
        (HEAD + "site = 1\n" + BOX + UNIT, ()),
        (HEAD + '[print]\npipe = "x"\n' + BOX + UNIT, ()),
    ],
)
def test_problem_bears_the_boxes_that_it_touches(toml: str, boxes: tuple[str, ...], tmp_path: Path) -> None:
    """What concerns one box is marked with it; what may concern any is marked with none."""
    assert [problem.boxes for problem in read(tmp_path, toml)[1]] == [boxes]


@pytest.mark.parametrize(
    ("csv", "part_read"),
    [
        (CSV + "FC-1,BX-1,A,24\n", set()),
        (CSV + "FC-1,BX-1,A,24 hp\n", {"BX-1"}),
        (CSV + "FC-1,BX-1,,24\n", {"BX-1"}),
        (CSV + "FC-1,,A,24\n", {"BX-1", "BX-2"}),
        ("unit,box\nFC-1,BX-1\n", {"BX-1", "BX-2"}),
        (b"\xff", {"BX-1", "BX-2"}),
        (CSV + "FC-1,BX-9,A,24\n", set()),
    ],
)
def test_boxes_some_of_whose_rows_are_lost(csv: str | bytes, part_read: set[str], tmp_path: Path) -> None:
    """A lost row's box is not called empty; where it cannot be told whose row it was, no box is."""
    job, _ = read(tmp_path, f'{HEAD}schedule = "p.csv"\n{BOX}{BOX.replace("BX-1", "BX-2")}', p_csv=csv)
    assert job
    assert job.part_read == part_read


def test_schedule_that_is_not_there_loses_rows_of_all_boxes(tmp_path: Path) -> None:
    """Also one outside the folder, or absent."""
    for name in ("../p.csv", "p.csv"):
        job, _ = read(tmp_path, f'{HEAD}schedule = "{name}"\n{BOX}')
        assert job
        assert job.part_read == {"BX-1"}

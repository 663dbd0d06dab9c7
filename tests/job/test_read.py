"""A job folder read whole: every key, every default; boxes, units, families and stocks, right and wrong."""

import datetime as dt
from pathlib import Path

import pytest

from tagmaker.catalog.folders import layouts
from tagmaker.job.read import read_job
from tagmaker.problems import Where
from tests.job.reading import CSV, first_lines, good, read, told, unit
from tests.job_files import BOX, HEAD, UNIT, write_files

FAMILY = (layouts() / "families" / "four-port-boards.toml").read_text(encoding="utf-8")

# --- what a job may say -------------------------------------------------------------------------------------


def test_smallest_job(tmp_path: Path) -> None:
    """A name, a family, a box and a unit are a job; the rest has its defaults."""
    job = good(tmp_path, HEAD + BOX + UNIT)
    assert (job.name, job.number, job.revision, job.date) == ("Tide Street Bakery", "", "0", None)
    assert (job.is_draft, job.capacity_unit, job.refrigerant) == (False, "kBtu/h", "")
    assert (job.site, job.prepared_by, job.part_read) == ("", "", frozenset())
    assert (job.folder, job.where) == (tmp_path, Where("job.toml", 1))
    (box,) = job.boxes
    assert (box.tag, box.ports, box.shown, box.family.name) == ("BX-1", 4, "BX-1", "four-port-boards")
    assert (box.place, box.power, box.system, box.level, box.fed_from) == ("", "", "", "", "")
    assert (box.bank_names, box.where) == (("Bank 1", "Bank 2"), Where("job.toml", 4))
    assert [(row.tag, row.where) for row in job.units] == [("FC-1", Where("job.toml", 7))]


def test_job_that_says_everything(tmp_path: Path) -> None:
    """Every key of [job] and [[box]] is read."""
    head = HEAD + (
        'number = "ML-24"\nrevision = "P02"\ndate = 2026-04-30\nstatus = "draft"\nrefrigerant = "R-32"\n'
        'site = "Marsh Lane"\nprepared_by = "desk"\ncapacity_unit = "ton"\n'
    )
    box = BOX + (
        'shown = "BX 1/L2"\nplace = "Corridor"\npower = "Panel 2"\nsystem = "HR-1"\nlevel = "2"\n'
        'fed_from = "CU-1"\nbank_names = ["SW-A", "SW-B"]\n'
    )
    job = good(tmp_path, head + box + UNIT)
    assert (job.number, job.revision, job.date) == ("ML-24", "P02", dt.date(2026, 4, 30))
    assert (job.is_draft, job.refrigerant, job.site) == (True, "R-32", "Marsh Lane")
    assert (job.prepared_by, job.capacity_unit) == ("desk", "ton")
    (row,) = job.boxes
    assert (row.shown, row.place, row.power, row.system) == ("BX 1/L2", "Corridor", "Panel 2", "HR-1")
    assert (row.level, row.fed_from, row.bank_names) == ("2", "CU-1", ("SW-A", "SW-B"))


def test_mains_of_a_box(tmp_path: Path) -> None:
    """The pipes that feed a box: those that are given, their wall and their run."""
    mains = 'mains = { liquid = "5/8 in", hot_gas = "3/4 in", insulation = "1/2 in", run = "85 ft" }\n'
    (box,) = good(tmp_path, HEAD + BOX + mains + UNIT).boxes
    assert box.mains
    assert {kind: tube.text for kind, tube in box.mains.tubes.items()} == {
        "liquid": "5/8 in",
        "hot_gas": "3/4 in",
    }
    assert box.mains.insulation
    assert box.mains.run
    assert (box.mains.insulation.text, box.mains.run.text) == ("1/2 in", "85 ft")


def test_mains_are_not_assumed(tmp_path: Path) -> None:
    """A box that gives none has none, and a wrong key of theirs is the box's problem."""
    assert good(tmp_path / "none", HEAD + BOX + UNIT).boxes[0].mains is None
    _, problems = read(tmp_path / "wrong", HEAD + BOX + 'mains = { sucktion = "1 in" }\n' + UNIT)
    assert [(each.code, str(each.where), each.boxes) for each in problems] == [
        ("key-unknown", "job.toml:7", ("BX-1",))
    ]


@pytest.mark.parametrize(("lines", "interval"), [("", None), ('interval = "10 ft"\n', "10 ft")])
def test_bands_are_asked_for(lines: str, interval: str | None, tmp_path: Path) -> None:
    """By their table alone; how far apart is the rules' unless the job says so."""
    assert good(tmp_path / "none", HEAD + BOX + UNIT).bands is None
    bands = good(tmp_path / "asked", f"{HEAD}[bands]\n{lines}{BOX}{UNIT}").bands
    assert bands
    assert (bands.interval.text if bands.interval else None, str(bands.where)) == (interval, "job.toml:4")


def test_texts_are_trimmed(tmp_path: Path) -> None:
    """Blanks around a tag do not make another box."""
    job = good(tmp_path, HEAD + BOX.replace('"BX-1"', '" BX-1 "') + UNIT)
    assert [box.tag for box in job.boxes] == ["BX-1"]


def test_job_with_a_byte_order_mark(tmp_path: Path) -> None:
    """An editor's mark and line ends do not matter."""
    text = "\ufeff" + (HEAD + BOX + UNIT).replace("\n", "\r\n")
    assert good(tmp_path, text).units[0].where == Where("job.toml", 7)


def test_job_by_its_file(tmp_path: Path) -> None:
    """A TOML file may have any name; its folder is the job's."""
    write_files(tmp_path, {"phase 2.toml": HEAD + BOX + UNIT})
    job, problems = read_job(tmp_path / "phase 2.toml")
    assert problems == ()
    assert job
    assert (job.folder, str(job.where)) == (tmp_path, "phase 2.toml:1")


@pytest.mark.parametrize("value", ["2", "0", '"P02"', '"1.2-b"', "12345678", '"12345678"'])
def test_revision(value: str, tmp_path: Path) -> None:
    """A whole number, or a text of at most eight signs."""
    assert good(tmp_path, f"{HEAD}revision = {value}\n{BOX}{UNIT}").revision == value.strip('"')


# --- units: inline, in one schedule, in several -------------------------------------------------------------


def test_units_of_a_schedule(tmp_path: Path) -> None:
    """Rows of a schedule know their own file."""
    job = good(tmp_path, f'{HEAD}schedule = "ports.csv"\n{BOX}', ports_csv=CSV + "FC-1,BX-1,A,24\n")
    assert [(row.tag, str(row.where)) for row in job.units] == [("FC-1", "ports.csv:2")]


def test_units_of_several_schedules_and_inline(tmp_path: Path) -> None:
    """Inline rows come first, then each schedule's in the order of the list, from folders below too."""
    job = good(
        tmp_path,
        f'{HEAD}schedule = ["b.csv", "sub/a.csv"]\n{BOX}{UNIT}',
        sub__a_csv=CSV + "FC-2,BX-1,B,24\n",
        b_csv=CSV + "FC-3,BX-1,C,24\n",
    )
    assert [(row.tag, str(row.where)) for row in job.units] == [
        ("FC-1", "job.toml:8"),
        ("FC-3", "b.csv:2"),
        ("FC-2", "sub/a.csv:2"),
    ]


def test_boxes_are_found_without_regard_to_case(tmp_path: Path) -> None:
    """A row may write its box small."""
    assert len(good(tmp_path, HEAD + BOX + unit("FC-1", "bx-1")).units) == 1


def test_problems_of_every_schedule_are_told(tmp_path: Path) -> None:
    """One that cannot be read does not hide the other's mistakes."""
    assert told(
        tmp_path,
        f'{HEAD}schedule = ["a.csv", "b.csv", "c.csv"]\n{BOX}',
        a_csv=b"\xff",
        b_csv=CSV + "FC-1,BX-1,A,24 hp\n",
    ) == [
        (
            "a.csv:1: error: a.csv is not UTF-8 text, and its characters can be read in several "
            "ways [file-encoding]"
        ),
        "b.csv:2: error: capacity '24 hp' has a unit that is not known, 'hp' [capacity-unit]",
        "c.csv: error: c.csv does not exist [file-unreadable]",
    ]


@pytest.mark.parametrize("name", ["../ports.csv", "sub/../../ports.csv", "/etc/hostname", "link.csv"])
def test_schedule_outside_the_folder(name: str, tmp_path: Path) -> None:
    """A path, or a link, that leads out of the job's folder is not followed."""
    write_files(tmp_path, {"ports.csv": CSV + "FC-1,BX-1,A,24\n"})
    folder = tmp_path / "job"
    write_files(folder, {"sub/a.csv": CSV})
    (folder / "link.csv").symlink_to(tmp_path / "ports.csv")
    assert told(folder, f'{HEAD}schedule = "{name}"\n{BOX}') == [
        f"job.toml:4: error: schedule {name!r} is outside the job's folder [file-outside]"
    ]


def test_schedule_that_is_no_file(tmp_path: Path) -> None:
    """A folder, or a link to itself, is no schedule."""
    (tmp_path / "loop.csv").symlink_to(tmp_path / "loop.csv")
    assert told(tmp_path, f'{HEAD}schedule = [".", "loop.csv"]\n{BOX}') == [
        ".: error: . is a folder, not a file [file-unreadable]",
        "loop.csv: error: loop.csv does not exist [file-unreadable]",
    ]


@pytest.mark.parametrize("value", ["3", '""', '["a.csv", 3]', '"a\\u0000.csv"', '{ file = "a.csv" }'])
def test_schedule_of_the_wrong_sort(value: str, tmp_path: Path) -> None:
    """A schedule is named by a text or a list of texts."""
    assert told(tmp_path, f"{HEAD}schedule = {value}\n{BOX}{UNIT}") == [
        "job.toml:4: error: 'schedule' must be a text or a list of texts [value-wrong]"
    ]


@pytest.mark.parametrize("value", ["24", "24.5"])
def test_bare_number_inline_has_no_unit(value: str, tmp_path: Path) -> None:
    """A number without quotes is a capacity without its unit, not a wrong type."""
    assert told(tmp_path, HEAD + BOX + UNIT.replace('"24 kBtu/h"', value)) == [
        f"job.toml:11: error: capacity '{value}' has no unit [capacity-unit]"
    ]


def test_whole_number_may_stand_for_text(tmp_path: Path) -> None:
    """A room or address of digits need not be quoted."""
    job = good(tmp_path, HEAD + BOX + UNIT + "room = 204\naddress = 7\n")
    assert (job.units[0].room, job.units[0].address) == ("204", "7")


@pytest.mark.parametrize("value", ["true", "[1]", "2026-04-30", '"a\\nb"'])
def test_cell_of_the_wrong_sort(value: str, tmp_path: Path) -> None:
    """What is no text is told at its line."""
    assert told(tmp_path, f"{HEAD}{BOX}{UNIT}room = {value}\n") == [
        "job.toml:12: error: 'room' must be one line of text, at most 200 characters [value-wrong]"
    ]


# --- boxes --------------------------------------------------------------------------------------------------


def test_box_twice(tmp_path: Path) -> None:
    """Tags are compared without regard to case; the second is told, the first stands."""
    job, problems = read(tmp_path, HEAD + BOX + BOX.replace("BX-1", "bx-1") + UNIT)
    assert first_lines(problems) == ["job.toml:8: error: box bx-1 is listed twice [box-twice]"]
    assert [problem.boxes for problem in problems] == [("BX-1",)]
    assert job
    assert [box.tag for box in job.boxes] == ["BX-1"]


@pytest.mark.parametrize(
    ("old", "new", "line", "problem"),
    [
        ("ports = 4\n", "", 4, "key 'box.ports' is missing [key-missing]"),
        ("4", '"4"', 6, "'ports' must be a whole number, 1 or more [value-wrong]"),
        ("4", "0", 6, "'ports' must be a whole number, 1 or more [value-wrong]"),
        ("4", "4.0", 6, "'ports' must be a whole number, 1 or more [value-wrong]"),
        ('tag = "BX-1"\n', "", 4, "key 'box.tag' is missing [key-missing]"),
        ("BX-1", "BX 1", 5, "tag 'BX 1' is not a valid tag [tag-wrong]"),
        (
            "ports",
            f'shown = "{"x" * 25}"\nports',
            6,
            "'shown' must be one line of text, at most 24 characters [value-wrong]",
        ),
        (
            "ports",
            f'power = "{"x" * 61}"\nports',
            6,
            "'power' must be one line of text, at most 60 characters [value-wrong]",
        ),
        ('"BX-1"', "7", 5, "'tag' must be one line of text, at most 200 characters [value-wrong]"),
    ],
)
def test_box_that_is_wrong(old: str, new: str, line: str, problem: str, tmp_path: Path) -> None:
    """A box without its tag or size, or with a wrong one, is told once, at its line."""
    assert told(tmp_path, HEAD + BOX.replace(old, new)) == [f"job.toml:{line}: error: {problem}"]


def test_rows_of_a_wrong_box_are_not_told(tmp_path: Path) -> None:
    """Forty rows of a box without a size are one problem."""
    text = HEAD + BOX.replace("ports = 4\n", "") + "".join(unit(f"FC-{n}") for n in range(40))
    assert told(tmp_path, text) == ["job.toml:4: error: key 'box.ports' is missing [key-missing]"]


def test_wrong_box_does_not_hide_the_others(tmp_path: Path) -> None:
    """The good boxes are read, and only the wrong one is marked."""
    text = HEAD + BOX.replace("4", "0") + BOX.replace("BX-1", "BX-2") + unit("FC-2", "BX-2")
    job, problems = read(tmp_path, text)
    assert [problem.boxes for problem in problems] == [("BX-1",)]
    assert job
    assert [(box.tag, len(job.units)) for box in job.boxes] == [("BX-2", 1)]


@pytest.mark.parametrize("toml", [HEAD + UNIT, f"box = []\n{HEAD}{UNIT}"])
def test_job_without_boxes(toml: str, tmp_path: Path) -> None:
    """Without a box nothing can be planned."""
    job, problems = read(tmp_path, toml)
    assert job is None
    assert first_lines(problems)[0] == "job.toml: error: the job has no box [key-missing]"


@pytest.mark.parametrize(
    "value", ['["A"]', '["A", "B", "C"]', f'["A", "{"b" * 25}"]', '["A", "a"]', '["", "B"]', "[1, 2]"]
)
def test_bank_names_that_are_wrong(value: str, tmp_path: Path) -> None:
    """As many names as banks, each different and short enough; else the family's own stand."""
    job, problems = read(tmp_path, f"{HEAD}{BOX}bank_names = {value}\n{UNIT}")
    assert [(each.code, str(each.where)) for each in problems] == [("value-wrong", "job.toml:7")]
    assert job
    assert job.boxes[0].bank_names == ("Bank 1", "Bank 2")


def test_longest_bank_names(tmp_path: Path) -> None:
    """24 signs are not too many."""
    names = ("a" * 24, "b" * 24)
    job = good(tmp_path, f"{HEAD}{BOX}bank_names = {list(names)}\n{UNIT}")
    assert job.boxes[0].bank_names == names


# --- families -----------------------------------------------------------------------------------------------


def test_box_may_have_its_own_family(tmp_path: Path) -> None:
    """A box's family goes before the job's, and a job's own folder holds families."""
    text = HEAD + BOX + BOX.replace("BX-1", "BX-2") + 'family = "own"\n' + UNIT
    job = good(tmp_path, text, families__own_toml=FAMILY)
    assert [box.family.name for box in job.boxes] == ["four-port-boards", "own"]


def test_no_family_is_assumed(tmp_path: Path) -> None:
    """Each box that no family is named for is told, and none is guessed."""
    head = HEAD.replace('family = "four-port-boards"\n', "")
    job, problems = read(tmp_path, head + BOX + BOX.replace("BX-1", "BX-2") + UNIT)
    assert job is None
    assert first_lines(problems) == [
        "job.toml:3: error: no family is named for this box [key-missing]",
        "job.toml:6: error: no family is named for this box [key-missing]",
    ]


def test_job_without_a_family_whose_boxes_have_one(tmp_path: Path) -> None:
    """The job need not name a family where every box does."""
    head = HEAD.replace('family = "four-port-boards"\n', "")
    assert good(tmp_path, head + BOX + 'family = "four-port-boards"\n' + UNIT).boxes[0].family


@pytest.mark.parametrize(
    ("value", "problem"),
    [
        ('"four-ports"', "job.toml:3: error: no box family is named 'four-ports' [family-unknown]"),
        ('""', "job.toml:3: error: 'family' is empty [value-wrong]"),
        ("4", "job.toml:3: error: 'family' must be one line of text, at most 200 characters [value-wrong]"),
    ],
)
def test_job_family_that_is_wrong(value: str, problem: str, tmp_path: Path) -> None:
    """It is told once, however many boxes follow it."""
    text = HEAD.replace('"four-port-boards"', value) + BOX + BOX.replace("BX-1", "BX-2") + UNIT
    assert told(tmp_path, text) == [problem]


def test_bad_family_of_two_boxes_is_told_once(tmp_path: Path) -> None:
    """A family file's own mistake is told once, marked with every box that names it; others can go on."""
    boxes = "".join(BOX.replace("BX-1", tag) + 'family = "own"\n' for tag in ("BX-2", "BX-3"))
    job, problems = read(tmp_path, HEAD + BOX + boxes + UNIT, families__own_toml=FAMILY + "colour = 1\n")
    assert [(each.code, each.where.file, each.boxes) for each in problems] == [
        ("key-unknown", "families/own.toml", ("BX-2", "BX-3"))
    ]
    assert job
    assert [box.tag for box in job.boxes] == ["BX-1"]


def test_bad_family_of_the_job_and_of_a_box_concerns_all(tmp_path: Path) -> None:
    """What the whole job rests on is nobody's own."""
    head = HEAD.replace("four-port-boards", "own")
    _, problems = read(tmp_path, head + BOX + 'family = "own"\n' + UNIT, families__own_toml="colour = 1\n")
    assert {each.boxes for each in problems} == {()}
    assert len(first_lines(problems)) == len(set(first_lines(problems)))


# --- stocks -------------------------------------------------------------------------------------------------


def test_stocks_by_default(tmp_path: Path) -> None:
    """Every use has a stock that works."""
    stocks = good(tmp_path, HEAD + BOX + UNIT).prints.stocks
    assert set(stocks) == {"pipe", "pipe_rough_in", "cable", "terminal", "placard"}


@pytest.mark.parametrize("use", ["pipe", "pipe_rough_in", "cable", "terminal"])
def test_stock_of_a_use(use: str, tmp_path: Path) -> None:
    """Each use of labels may name its own stock."""
    job = good(tmp_path, f'{HEAD}[print]\n{use} = "a4-21-63x38"\n{BOX}{UNIT}')
    assert [key for key, stock in job.prints.stocks.items() if stock.name == "a4-21-63x38"] == [use]


def test_page_of_the_placard(tmp_path: Path) -> None:
    """The placard takes a page stock."""
    job = good(tmp_path, f'{HEAD}[print]\nplacard = "4x6"\n{BOX}{UNIT}')
    assert job.prints.stocks["placard"].name == "4x6"


def test_bad_stock_of_several_uses_is_told_once(tmp_path: Path) -> None:
    """The file's own mistake is one problem, however many uses name it."""
    text = f'{HEAD}[print]\npipe = "own"\ncable = "own"\nterminal = "own"\n{BOX}{UNIT}'
    job, problems = read(tmp_path, text, stocks__own_toml='kind = "roll"\nlabel_mm = [60, 30]\n')
    assert first_lines(problems) == ["stocks/own.toml: error: key 'source' is missing [key-missing]"]
    assert job
    assert set(job.prints.stocks) == {"pipe_rough_in", "placard"}


def test_unknown_stock(tmp_path: Path) -> None:
    """It is told at its key, with the nearest name."""
    (problem,) = read(tmp_path, f'{HEAD}[print]\nplacard = "leter"\n{BOX}{UNIT}')[1]
    assert problem.as_text() == (
        "job.toml:5: error: no label stock is named 'leter' [stock-unknown]\n    did you mean 'letter'?"
    )

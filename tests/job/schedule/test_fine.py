"""Schedules that a person would call fine: each must be understood in one round, every inference shown."""

from pathlib import Path

import pytest

from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.plan.model import Plan
from tagmaker.problems import Problem, Severity
from tagmaker.workflows import planning
from tagmaker.workflows.start import Started, start
from tests.job_files import HEAD, write_files
from tests.strategies import FAMILY
from tests.workbooks import Rows, csv_bytes, workbook

GERMAN = [
    ["Bibliothek am Kanal – Stand 14.03.", "", "", "", "", "", "", "", ""],
    ["Innengeräte, Fan Coil", "", "", "", "", "", "", "", ""],
    ["", "", "", "", "", "", "", "", ""],
    ["Fan coil", "Branch box", "Port", "Cap. [kW]", "Room", "Liquid (mm)", "Gas (mm)", "Run (m)", "Comments"],
    ["FC-1", "BX-1", "A", "3,5", "Lesesaal", "6,35", "12,7", "8,4", "Decke offen"],
    ["FC-2", "", "B", "3,5", "Büro, vorn", "6,35", "12,7", "9,1", ""],
    ["FC-3", "", "C & D", "60 MBH", "Großer Saal", "9,52", "19,05", "14,25", ""],
    ["–", "", "E", "–", "", "", "", "", "Reserve"],
    ["Summe / Total", "", "", "23", "", "", "", "", ""],
    ["End of schedule", "", "", "", "", "", "", "", ""],
]
"""Semicolons, decimal commas, metric units, a code page: as an office in Central Europe saves it."""
AMERICAN = [
    ["HARBOR STREET CLINIC", "", "", "", "", "", "", ""],
    ["FCU TAG", "BRANCH BOX", "PORT", "CAPACITY", "LIQ LINE", "GAS LINE", "LENGTH", "NOTES"],
    ["", "", "", "(MBH)", "(in)", "(in)", "(ft)", ""],
    ["FCU-1", "BB-1", "A", "12", "1/4", "1/2", "32", "see detail 4, sheet M-501"],
    ["FCU-2", "BB-1", "B", "9", "1/4", "1/2", "41", ""],
    ["AHU-1", "BB-1", "G and H", "72", "3/8", "3/4", "58", ""],
    ["SPARE", "BB-1", "C, D", "", "", "", "", ""],
    ["AHU-2", "BB-2", "Port A/B", "60", "3/8", "3/4", "22", ""],
    ["TOTAL CAPACITY", "", "", "153", "", "", "", ""],
    ["NOTES: CAPACITIES ARE NOMINAL", "", "", "", "", "", "", ""],
]
"""Commas with quotes, inches and feet, a row of units, capitals."""
LEVELS: dict[str, Rows] = {
    "Level 3": [
        ("Unit", "Branch box", "Port", "Cap. (MBH)", "Remarks"),
        ("AH-31", "BX-3", "K & L", 72, "north riser"),
        ("FC-32", "BX-3", "A", 12, ""),
        ("End of schedule",),
    ],
    "Boxes": [
        ("List of boxes",),
        ("Box tag", "No. of ports", "Location", "Power isolated at", "System", "Outdoor unit", "Remarks"),
        ("BX-2", 10, "Corridor, grid C4", "Panel LP-2, circuit 14", "HR-1", "CU-1", ""),
        ("BX-3", 12, "Riser cupboard 3.02", "Panel LP-3, circuit 2", "HR-1", "BX-2", "tight"),
        ("Total", 22),
    ],
}
"""Of a workbook whose first sheet is Level 2: a sheet a level and a sheet of boxes."""


def started(path: Path) -> tuple[Started, Plan]:
    """A job that is started from a schedule in one round, and its plan."""
    done = start(path.parent / "job", path, FAMILY)
    assert [problem for problem in done.problems if problem.severity is not Severity.NOTE] == []
    assert "job.toml" in done.files
    plan = planning.plan(path.parent / "job").plan
    assert plan is not None
    return done, plan


def used(plan: Plan) -> list[tuple[str, str, str]]:
    """Every used port with its units."""
    return [
        (box.row.tag, port.name, "+".join(unit.tag for unit in port.units))
        for box in plan.boxes
        for port in box.ports
        if port.units
    ]


def test_a_fine_schedule_of_central_europe(tmp_path: Path) -> None:
    """Decimal commas, a fan coil column, remarks, a pair with &, a last line: one round."""
    path = tmp_path / "ports.csv"
    path.write_bytes(csv_bytes(GERMAN, ";", "cp1252"))
    done, plan = started(path)
    assert (done.boxes, done.units) == (1, 3)
    assert used(plan) == [("BX-1", "A", "FC-1"), ("BX-1", "B", "FC-2"), ("BX-1", "C+D", "FC-3")]
    assert plan.boxes[0].row.ports == 6


def test_a_fine_schedule_of_north_america(tmp_path: Path) -> None:
    """Pairs with and, comma and slash, a spare pair, a row of units, notes: one round."""
    path = tmp_path / "ports.csv"
    path.write_bytes(csv_bytes(AMERICAN, ",", "utf-8-sig"))
    _, plan = started(path)
    assert used(plan) == [
        ("BB-1", "A", "FCU-1"), ("BB-1", "B", "FCU-2"), ("BB-1", "G+H", "AHU-1"), ("BB-2", "A+B", "AHU-2"),
    ]  # fmt: skip
    assert [box.row.ports for box in plan.boxes] == [8, 4]


def test_a_fine_workbook_of_levels_and_boxes(tmp_path: Path) -> None:
    """The last letter of a pair sizes nothing where a sheet of boxes does; its facts are the boxes'."""
    rows = [("AH-21", "BX-2", "G/H", 72), ("AH-22", "BX-2", "C", 24)]
    first = [("AHU", "Box", "Port", "Cap. (MBH)"), *rows]
    path = workbook(
        tmp_path / "ports.xlsx", first, lambda sheet: setattr(sheet, "title", "Level 2"), **LEVELS
    )
    done, plan = started(path)
    assert {problem.code for problem in done.problems} == {"column-skipped", "spare-in-middle"}
    assert used(plan) == [
        ("BX-2", "C", "AH-22"), ("BX-2", "G+H", "AH-21"), ("BX-3", "A", "FC-32"), ("BX-3", "K+L", "AH-31"),
    ]  # fmt: skip
    assert [
        (row.ports, row.level, row.place, row.power, row.system, row.fed_from)
        for row in (box.row for box in plan.boxes)
    ] == [
        (10, "2", "Corridor, grid C4", "Panel LP-2, circuit 14", "HR-1", "CU-1"),
        (12, "3", "Riser cupboard 3.02", "Panel LP-3, circuit 2", "HR-1", "BX-2"),
    ]
    text = (tmp_path / "job" / "job.toml").read_text(encoding="utf-8")
    assert 'level = "2"  # confirm: from the name of its sheet\n' in text
    assert "ports = 12  # confirm: as in ports.xlsx:Boxes!B4; sizes: " in text


# --- pairs --------------------------------------------------------------------------------------------------

CSV = "unit;box;port;capacity (MBH)\n"


def of_csv(folder: Path, text: str, choices: Choices = Choices()) -> tuple[Schedule, list[Problem]]:  # noqa: B008 — frozen
    """A CSV schedule as understood."""
    write_files(folder, {"ports.csv": text})
    return read_schedule(folder / "ports.csv", "ports.csv", choices)


@pytest.mark.parametrize(
    "port", ["K & L", "K&L", "K/L", "K / L", "K and L", "K, L", "k AND l", "Ports K & L"]
)
def test_two_letters_with_a_sign_that_means_both_are_a_pair(port: str, tmp_path: Path) -> None:
    """And `read` shows what it was read from."""
    schedule, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;{port};72\n")
    (sheet,) = schedule.sheets
    assert problems == []
    assert [row.port.upper() for row in schedule.rows] == ["K+L"]
    assert [(each.key, each.text.upper(), each.source) for each in sheet.inferred] == [
        ("port", "K+L", repr(port))
    ]


@pytest.mark.parametrize("port", ["A-D", "A–D", "A-B", "A to D", "AB", "A B", "A & B & C", "1/2"])
def test_what_could_be_a_range_is_never_a_pair(port: str, tmp_path: Path) -> None:
    """It stays as written, and the job refuses it."""
    schedule, _ = of_csv(tmp_path, f"{CSV}AH-1;BX-1;{port};72\n")
    assert [row.port for row in schedule.rows] == [port]
    job = f'{HEAD}schedule = "ports.csv"\n[[box]]\ntag = "BX-1"\nports = 4\n'
    write_files(tmp_path, {"job.toml": job})
    codes = {problem.code for problem in planning.plan(tmp_path).problems}
    assert codes & {"port-unknown", "pair-forbidden"}


def test_a_pair_that_the_family_cannot_join_is_refused(tmp_path: Path) -> None:
    """Whatever sign is between its letters."""
    job = f'{HEAD}schedule = "ports.csv"\n[[box]]\ntag = "BX-1"\nports = 8\n'
    write_files(tmp_path, {"job.toml": job, "ports.csv": f"{CSV}AH-1;BX-1;D/E;72\n"})
    assert "pair-forbidden" in {problem.code for problem in planning.plan(tmp_path).problems}


def test_a_spare_pair_with_another_sign_contradicts_its_unit(tmp_path: Path) -> None:
    """The letters are compared, spaces or not."""
    _, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;C + D;72\nSpare;BX-1;C/D;\n")
    assert [problem.message for problem in problems] == [
        "port C+D of BX-1 is spare here, but AH-1 is connected to it"
    ]


# --- rows and headers ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("last", ["End of schedule", "END OF SCHEDULE.", "Level 2 units", "Legend:"])
def test_a_heading_of_several_words_is_a_heading(last: str, tmp_path: Path) -> None:
    """All its words are compared, not the first alone."""
    schedule, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;A;12\n{last};;;\n")
    assert (problems, len(schedule.rows)) == ([], 1)
    assert schedule.sheets[0].left[-1].why == "a heading or note"


@pytest.mark.parametrize("last", ["End of line", "End"])
def test_a_part_of_a_heading_is_none(last: str, tmp_path: Path) -> None:
    """A row of a unit without the rest is reported."""
    _, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;A;12\n{last};;;\n")
    assert problems


@pytest.mark.parametrize("header", ["FCU", "FCU tag", "Fan coil", "AHU", "AHU No.", "Fan-coil unit"])
def test_a_kind_of_unit_is_the_units_column(header: str, tmp_path: Path) -> None:
    """Where no other column is."""
    schedule, problems = of_csv(tmp_path, CSV.replace("unit", header) + "AH-1;BX-1;A;12\n")
    assert (problems, [row.tag for row in schedule.rows]) == ([], ["AH-1"])


def test_two_columns_of_units_are_asked_about(tmp_path: Path) -> None:
    """By `start` too, which writes the question into the new job."""
    path = workbook(
        tmp_path / "ports.xlsx",
        [("Unit", "FCU", "Box", "Port", "Cap. (MBH)"), ("FC-1", "x", "BX-1", "A", 12)],
    )
    done = start(tmp_path / "job", path, FAMILY)
    assert {problem.code for problem in done.problems if problem.severity is Severity.ERROR} == {
        "column-twice"
    }
    text = (tmp_path / "job" / "job.toml").read_text(encoding="utf-8")
    assert "# \"FCU\" = \"\"  # confirm: two columns mean 'unit': 'Unit' and 'FCU'\n" in text
    (tmp_path / "job" / "job.toml").write_text(text.replace('# "FCU"', '"FCU"'), encoding="utf-8")
    assert planning.plan(tmp_path / "job").plan is not None


@pytest.mark.parametrize("header", ["Remarks", "Notes", "Comments", "Remarks / notes", "NOTE:"])
def test_a_column_of_remarks_is_left_out_with_a_note(header: str, tmp_path: Path) -> None:
    """Named by the job it is left out without one."""
    text = f"{CSV.rstrip()};{header}\nAH-1;BX-1;A;12;by the stair\n"
    schedule, (problem,) = of_csv(tmp_path, text)
    assert (problem.severity, problem.code, len(schedule.rows)) == (Severity.NOTE, "column-skipped", 1)
    assert of_csv(tmp_path, text, Choices({header: ""}))[1] == []


def test_remarks_on_several_sheets_are_one_note(tmp_path: Path) -> None:
    """And a header that nobody knows is one error: [columns] answers it once."""
    rows = [("Unit", "Box", "Port", "Remarks", "PO no"), ("FC-1", "BX-1", "A", "", "")]
    path = workbook(tmp_path / "ports.xlsx", rows, More=rows)
    _, problems = read_schedule(path, "ports.xlsx")
    assert [problem.message for problem in problems] == [
        "column 'Remarks' holds remarks and is left out; likewise in More!D1",
        "unknown column 'PO no': a purchase order; likewise in More!E1",
    ]


@pytest.mark.parametrize("header", ["PO no", "P.O. No.", "Part no", "Pos. no", "Cost", "Sort", "Rome"])
def test_no_meaning_is_proposed_that_is_not_near(header: str, tmp_path: Path) -> None:
    """A purchase order is no port."""
    _, (problem,) = of_csv(tmp_path, f"{CSV.rstrip()};{header}\n")
    assert problem.code == "column-unknown"
    assert "did you mean" not in problem.hint


@pytest.mark.parametrize(
    ("header", "meant"),
    [("Prot", "port"), ("capcity", "capacity"), ("Adress", "address"), ("rom", "room"), ("Bxo tag", "")],
)
def test_a_slip_of_the_keyboard_is_answered(header: str, meant: str, tmp_path: Path) -> None:
    """A letter missing, added or wrong, or two exchanged."""
    _, (problem,) = of_csv(tmp_path, f"{CSV.rstrip()};{header}\n")
    assert (f"did you mean {meant!r}?" in problem.hint) == bool(meant)


def test_hints_name_a_job_only_where_there_is_one(tmp_path: Path) -> None:
    """Before `start` there is no job.toml to write into."""
    text = f"{CSV.rstrip()};PO no;Cap\n"
    for choices, place in (
        (Choices(), "[columns] of the job.toml that `tagmaker start` writes"),
        (Choices(of_job=True), "[columns] of job.toml"),
    ):
        hints = [problem.hint for problem in of_csv(tmp_path, text, choices)[1]]
        assert len(hints) == 2
        assert all(place in hint for hint in hints)


@pytest.mark.parametrize("unit", ["Spare", "SPARE-1", "Spare 2", "spare a", "UNUSED-3", "Vacant 12"])
def test_a_numbered_spare_is_spare(unit: str, tmp_path: Path) -> None:
    """With a capacity it is asked about: a spare port is never switched into service for its word."""
    schedule, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;A;12\n{unit};BX-1;B;\n")
    assert ([spare.port for spare in schedule.spares], len(schedule.rows), problems) == (["B"], 1, [])
    schedule, problems = of_csv(tmp_path, f"{CSV}AH-1;BX-1;A;12\n{unit};BX-1;B;9\n")
    assert ([problem.code for problem in problems], len(schedule.rows)) == (["tag-wrong"], 1)


@pytest.mark.parametrize("unit", ["NA-2", "DO-1", "SPAREROOM-1", "TBD-1"])
def test_a_tag_that_begins_like_a_spare_is_a_tag(unit: str, tmp_path: Path) -> None:
    """Short words and longer ones are tags."""
    schedule, problems = of_csv(tmp_path, f"{CSV}{unit};BX-1;A;12\n")
    assert ([row.tag for row in schedule.rows], problems) == ([unit], [])

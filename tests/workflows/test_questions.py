"""Questions about a schedule: each choice answers its question, and none is asked that has no answer."""

from collections.abc import Mapping
from pathlib import Path

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.catalog.columns import column_words
from tagmaker.problems import has_errors
from tagmaker.workflows.edit import apply, digests
from tagmaker.workflows.edit_kinds import AddBox, AnswerColumn, ChooseSheets, LeaveRowsOut, SetJob
from tagmaker.workflows.new_job import from_schedule
from tagmaker.workflows.question_of_columns import LABELS, column_meanings
from tagmaker.workflows.question_records import THESE, Question
from tagmaker.workflows.questions import Understanding, understand_job
from tests.job_files import BOX, HEAD, write_files
from tests.workbooks import Edit, Rows, workbook
from tests.workflows.messy import FIVE_QUESTIONS, five_questions

HEADER = ("Unit", "Box", "Port", "Capacity")
UNIT = ("FC-1", "BX-1", "A", "24 MBH")
NO_FAMILY = '[job]\nname = "Tide Street Bakery"\n'


def job(
    folder: Path, rows: Rows, more: str = "", head: str = HEAD, edit: Edit | None = None, **sheets: Rows
) -> Path:
    """A job of one box and a workbook of these rows."""
    write_files(folder, {"job.toml": f'{head}schedule = "ports.xlsx"\n{more}{BOX}'})
    workbook(folder / "ports.xlsx", rows, edit, **sheets)
    return folder


def hidden(line: int) -> Edit:
    """Hides a row."""

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[line].hidden = True

    return hide


def answer(folder: Path, question: Question, name: str, *sheets: str) -> None:
    """Make a choice, as the page does."""
    edits = question.edits(name, sheets)
    assert edits, name
    done = apply(folder, edits, digests(folder))
    assert not has_errors(done.problems), done.problems
    assert done.what


def asked(understood: Understanding) -> list[tuple[str, list[str]]]:
    """Each question's text with the names of its likely choices."""
    return [
        (each.text, [choice.name for choice in each.choices if choice.is_likely])
        for each in understood.questions
    ]


def hide_column(sheet: Worksheet) -> None:
    """Hides the fifth column."""
    sheet.column_dimensions["E"].hidden = True


def jobs_with_questions(folder: Path) -> Mapping[str, Path]:
    """A job for each thing that is asked."""
    return {
        "a header of two meanings": job(folder / "1", [(*HEADER[:3], "Load"), ("FC-1", "BX-1", "A", 24)]),
        "an unknown header": job(folder / "2", [(*HEADER, "Colour"), (*UNIT, "white")]),
        "bare numbers": job(folder / "3", [HEADER, ("FC-1", "BX-1", "A", 24)]),
        "two columns of one meaning": job(folder / "4", [(*HEADER, "Indoor unit"), (*UNIT, "FC-1")]),
        "a hidden column": job(folder / "5", [(*HEADER, "Room"), (*UNIT, "Hall")], edit=hide_column),
        "a hidden row": job(folder / "6", [HEADER, UNIT, ("FC-2", "BX-1", "B", "9 MBH")], edit=hidden(3)),
        "a missing column": job(folder / "7", [("Unit", "Notes", "Port"), ("FC-1", "BX-1", "A")]),
        "an unknown box": job(folder / "8", [HEADER, UNIT, ("FC-2", "BX-7", "F", "9 MBH")]),
        "no family": job(folder / "9", [HEADER, UNIT], head=NO_FAMILY),
        "an unused answer": job(folder / "10", [HEADER, UNIT], '[columns]\n"Colour" = ""\n'),
        "an unused row": job(folder / "11", [HEADER, UNIT], 'hidden_left_out = ["FC-9"]\n'),
        "an unused sheet": job(folder / "12", [HEADER, UNIT], 'sheets = ["Ports", "Gone"]\n'),
        "a header on a sheet of boxes": job(
            folder / "13", [HEADER, UNIT], More=[("Box", "No. of ports", "Colour"), ("BX-1", 4, "red")]
        ),
    }


KINDS = [
    "a header of two meanings", "an unknown header", "bare numbers", "two columns of one meaning",
    "a hidden column", "a hidden row", "a missing column", "an unknown box", "no family", "an unused answer",
    "an unused row", "an unused sheet", "a header on a sheet of boxes",
]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_every_choice_answers_its_question(kind: str, tmp_path: Path) -> None:
    """The question is gone, whichever choice is made, and the file is as readable as before."""
    (question,) = understand_job(jobs_with_questions(tmp_path / "count")[kind]).questions
    for number, choice in enumerate(question.choices):
        folder = jobs_with_questions(tmp_path / str(number))[kind]
        answer(folder, question, choice.name)
        again = understand_job(folder)
        assert question.id not in {each.id for each in again.questions}, choice
        assert "toml-syntax" not in {each.code for each in again.checked.problems}


def test_every_kind_is_in_the_list(tmp_path: Path) -> None:
    """No job is forgotten."""
    assert list(jobs_with_questions(tmp_path)) == KINDS


def test_a_header_of_two_meanings_offers_each_with_its_units(tmp_path: Path) -> None:
    """Bare numbers need one; what no column of a job holds is a reason to leave it out."""
    (question,) = understand_job(jobs_with_questions(tmp_path)["a header of two meanings"]).questions
    assert question.where.cell == "D1"
    assert question.samples == ("24",)
    likely = [choice for choice in question.choices if choice.is_likely]
    assert [choice.text for choice in likely] == [
        "capacity (kBtu/h)", "capacity (Btu/h)", "capacity (ton)", "capacity (kW)",
        "leave it out: a peak load",
    ]  # fmt: skip
    assert likely[3].edits == (AnswerColumn("Load", "capacity", "kW"),)


@pytest.mark.parametrize(
    ("header", "below", "choices"),
    [
        ("Load (kW)", (7, 7), {"capacity"}),
        ("Load", ("24 MBH", "9 MBH"), {"capacity"}),
        ("Load", ("(kW)", 7), {"capacity"}),
        ("Load", ("24 MBH", 9), {"capacity (kBtu/h)", "capacity (Btu/h)", "capacity (ton)", "capacity (kW)"}),
    ],
)
def test_a_unit_is_asked_only_where_there_is_none(
    header: str, below: tuple[object, object], choices: set[str], tmp_path: Path
) -> None:
    """Not where header, the row below it, or every cell has one."""
    rows = [
        (*HEADER[:3], header),
        *((("", "", "") if "(" in str(each) else UNIT[:3]) + (each,) for each in below),
    ]
    (question,) = understand_job(job(tmp_path, rows)).questions
    assert {each.name for each in question.choices if each.is_likely} - {"leave it out"} == choices
    answer(tmp_path, question, choices.pop())
    assert not {each.code for each in understand_job(tmp_path).checked.problems} & {
        "capacity-unit",
        "value-wrong",
    }


def test_a_key_that_another_column_has_is_not_offered(tmp_path: Path) -> None:
    """It would only make two columns of one meaning."""
    (question,) = understand_job(job(tmp_path, [(*HEADER, "Tag"), (*UNIT, "x")])).questions
    assert not {each.name for each in question.choices} & {"unit", "box", "port", "capacity"}


def test_a_mistyped_header_offers_the_column_that_it_misspells(tmp_path: Path) -> None:
    """Before the others."""
    (question,) = understand_job(job(tmp_path, [(*HEADER, "Adress"), (*UNIT, "7")])).questions
    assert [each.name for each in question.choices if each.is_likely] == ["address", "leave it out"]


def test_a_header_is_asked_about_once_for_all_sheets(tmp_path: Path) -> None:
    """One answer holds for all."""
    rows = [(*HEADER, "Colour"), (*UNIT, "white")]
    more = [(*HEADER, "Colour"), ("FC-2", "BX-1", "B", "9 MBH", "red")]
    understood = understand_job(job(tmp_path, rows, More=more))
    assert [text.partition(";")[0] for text, _ in asked(understood)] == ["unknown column 'Colour'"]


def test_sheets_that_count_can_be_named_one_by_one(tmp_path: Path) -> None:
    """Beside the two likely answers; a name that is no sheet's is none."""
    five_questions(tmp_path / "ports.xlsx", boxes=2)
    write_files(tmp_path, {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n{BOX}'})
    question = next(each for each in understand_job(tmp_path).questions if each.sheets)
    assert [(each.name, each.counts) for each in question.sheets] == [
        ("Ports", True),
        ("Old", False),
        ("Legend", False),
    ]
    assert [each.edits for each in question.choices] == [
        (ChooseSheets(("Ports",)),),
        (ChooseSheets(("Ports", "Old")),),
    ]
    assert question.edits(THESE, ["Legend", "Ports", "Nothing"]) == (ChooseSheets(("Ports", "Legend")),)
    assert question.edits(THESE, []) == ()
    answer(tmp_path, question, THESE, "Ports")
    assert not [each for each in understand_job(tmp_path).questions if each.sheets]


def test_sheets_without_a_header_alone_need_no_answer(tmp_path: Path) -> None:
    """They are left out with a note, which an answer omits."""
    (question,) = understand_job(job(tmp_path, [HEADER, UNIT], Legend=[("white",)])).questions
    assert not question.is_needed


def test_hidden_rows_are_left_out_by_name(tmp_path: Path) -> None:
    """All, or one of them; using them is for the spreadsheet program."""
    rows = [HEADER, UNIT, ("FC-2", "BX-1", "B", "9 MBH"), ("FC-3", "BX-1", "C", "9 MBH")]

    def hide(sheet: Worksheet) -> None:
        sheet.row_dimensions[3].hidden = sheet.row_dimensions[4].hidden = True

    (question,) = understand_job(job(tmp_path, rows, edit=hide)).questions
    assert [each.edits for each in question.choices] == [
        (LeaveRowsOut(("FC-2", "FC-3")),),
        (LeaveRowsOut(("FC-2",)),),
        (LeaveRowsOut(("FC-3",)),),
    ]
    answer(tmp_path, question, "only FC-2")
    (left,) = understand_job(tmp_path).questions
    assert left.text.startswith("a hidden row holds FC-3")


def test_boxes_that_units_name_can_be_added_at_once(tmp_path: Path) -> None:
    """Each of the least size that has its letters, as many as there are."""
    rows = [HEADER, UNIT, ("FC-2", "BX-7", "F", "9 MBH"), ("FC-3", "BX-8", "A", "9 MBH")]
    (question,) = understand_job(job(tmp_path, rows)).questions
    first = question.choices[0]
    assert first.edits == (AddBox({"tag": "BX-7", "ports": 6}), AddBox({"tag": "BX-8", "ports": 4}))
    assert first.text == "add BX-7 with 6 ports, BX-8 with 4 ports"
    answer(tmp_path, question, first.name)
    assert understand_job(tmp_path).checked.problems == ()


def test_a_job_without_boxes_gets_those_of_its_schedule(tmp_path: Path) -> None:
    """As when its units could only be read after an answer."""
    folder = job(tmp_path, [HEADER, UNIT])
    write_files(folder, {"job.toml": f'{HEAD}schedule = "ports.xlsx"\n'})
    (question,) = understand_job(folder).questions
    answer(folder, question, "BX-1")
    assert understand_job(folder).checked.problems == ()


def test_a_family_is_chosen_from_all(tmp_path: Path) -> None:
    """Where none is named, and where the name is that of none; the job's own families too."""
    for head in (NO_FAMILY, NO_FAMILY + 'family = "nothing"\n'):
        folder = job(tmp_path / str(len(head)), [HEADER, UNIT], head=head)
        (question,) = understand_job(folder).questions
        assert (SetJob({"family": "four-port-boards"}),) in [each.edits for each in question.choices]


@pytest.mark.parametrize(
    "rows",
    [
        [("Legend",), ("nothing",)],
        [(*HEADER, "Unit"), (*UNIT, "FC-1")],
        [HEADER, ("FC-1", "BX-1", "A-C", "24 MBH")],
        [HEADER, ("FC-1", "BX-1", "A", "24 MBH"), ("FC-2", "", "", "1,234")],
        [HEADER, UNIT],
    ],
)
def test_what_no_choice_answers_is_not_asked(rows: Rows, tmp_path: Path) -> None:
    """It is a problem with a hint at its cell."""
    assert understand_job(job(tmp_path, rows)).questions == ()


@pytest.mark.parametrize("name", ["", "nothing", THESE, "capacity; DROP"])
def test_a_choice_that_is_none_changes_nothing(name: str, tmp_path: Path) -> None:
    """Whatever a request says."""
    (question,) = understand_job(jobs_with_questions(tmp_path)["bare numbers"]).questions
    assert question.edits(name, ["Ports"]) == ()


def test_a_column_that_is_understood_can_mean_something_else(tmp_path: Path) -> None:
    """Or be left out; an answer can be taken back. A key of another column is not offered."""
    rows = [(*HEADER, "Room"), (*UNIT, "Hall")]
    source = understand_job(job(tmp_path, rows, '[columns]\n"Capacity" = "capacity"\n')).sources[0]
    meanings = {each.samples[0]: each for each in column_meanings(source, 0)}
    assert {header: each.text for header, each in meanings.items()} == {
        "Unit": "indoor unit's tag",
        "Box": "box's tag",
        "Port": "port",
        "Capacity": "capacity",
        "Room": "room",
    }
    names = [each.name for each in meanings["Room"].choices]
    assert names[:2] == ["leave it out", "address"]
    assert "unit" not in names
    assert "take back" not in names
    answer(tmp_path, meanings["Room"], "address")
    answer(tmp_path, meanings["Capacity"], "take back")
    (row,) = understand_job(tmp_path).sources[0].schedule.rows
    assert (row.room, row.address) == ("", "Hall")
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    assert '"Room" = "address"' in text.replace("Room =", '"Room" =')
    assert "Capacity" not in text


def test_every_column_has_a_word() -> None:
    """And no word is of no column."""
    assert list(LABELS) == list(column_words().kind_of)


def test_ninety_units_with_five_questions_run_after_five_answers(tmp_path: Path) -> None:
    """From the dropped workbook to no question and no error."""
    schedule = five_questions(tmp_path / "ports.xlsx")
    folder = from_schedule(tmp_path / "jobs", "Mill Lane Depot", "four-port-boards", schedule).folder
    assert folder
    answered: list[str] = []
    while needed := [each for each in understand_job(folder).questions if each.is_needed]:
        answered.append(needed[0].text)
        answer(folder, needed[0], needed[0].choices[0].name)
    assert len(answered) == 5
    assert all(any(header in text for text in answered) for header in FIVE_QUESTIONS)
    understood = understand_job(folder)
    assert not has_errors(understood.checked.problems)
    assert understood.checked.plan
    assert len(understood.checked.plan.job.units) == 90

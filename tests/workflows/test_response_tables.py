"""Tables and forms of a response test that somebody edited: what was not read is never as called."""

import csv
import io
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from tagmaker.plan.response import Asked
from tagmaker.workflows.readback import Readback, readback
from tests.site.walks import as_planned, filled, form, plan_of
from tests.workflows.response_site import (
    SITE,
    answers,
    exchange,
    fill_csv,
    made,
    response_form,
    rows_of,
)

Rows = list[list[str]]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job on disk."""
    return SITE.write(tmp_path_factory.mktemp("tables") / "job")


@pytest.fixture(scope="module")
def out(job: Path) -> Path:
    """Its response test."""
    made(job, job.parent / "out")
    return job.parent / "out"


@pytest.fixture(scope="module")
def right(out: Path) -> Rows:
    """The table filled in, all as called."""
    return rows_of(fill_csv(out / "response.csv", out.parent / "right.csv", answers(out)))


def read(rows: Rows, folder: Path, job: Path) -> Readback:
    """What a table comes to."""
    path = folder / "r.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return readback([path], job)


def told(result: Readback) -> list[tuple[str, str]]:
    """The problems' codes and messages."""
    return [(problem.code, problem.message) for problem in result.problems]


def unseen(result: Readback) -> set[str]:
    """What was not seen of the one system."""
    (system,) = result.responses
    return set(system.unseen)


# --- columns ------------------------------------------------------------------------------------------------


def test_a_round_without_a_column_was_not_seen(tmp_path: Path, job: Path, right: Rows) -> None:
    """The rounds after it keep their numbers: nothing is crossed."""
    at = right[0].index("round 3")
    result = read([row[:at] + row[at + 1 :] for row in right], tmp_path, job)
    assert told(result) == []
    assert {port.verdict for port in result.responses[0].judged.ports} == {"as called", "no answer"}


@pytest.mark.parametrize("name", ["round3", "round 03", "Round  3", "R3", ""])
def test_a_column_of_another_name_is_no_reading(name: str, tmp_path: Path, job: Path, right: Rows) -> None:
    """A round that is named otherwise is not left out."""
    head = [name if each == "round 3" else each for each in right[0]]
    result = read([head, *right[1:]], tmp_path, job)
    ((code, message),) = told(result)
    assert (code, "has a column" in message, result.responses) == ("return-unreadable", True, ())


def test_a_row_with_a_cell_too_many_is_refused(tmp_path: Path, job: Path, right: Rows) -> None:
    """A cell that was put in moves all readings after it."""
    result = read([right[0], [*right[1], "H"], *right[2:]], tmp_path, job)
    assert told(result) == [("return-unreadable", "r.csv has more cells than columns in row 2")]


def test_columns_in_another_order_are_read(tmp_path: Path, job: Path, right: Rows) -> None:
    """By their names."""
    result = read([[*row[5:], *row[:5]] for row in right], tmp_path, job)
    assert (told(result), result.is_wrong) == ([], False)


def test_rounds_that_the_test_has_not_are_of_another_test(tmp_path: Path, job: Path, right: Rows) -> None:
    """Nothing of such a row counts."""
    rows = [[*row, "H"] for row in right[1:]]
    result = read([[*right[0], "round 6"], *rows], tmp_path, job)
    ((code, message),) = told(result)
    assert (code, message.endswith("has more rounds than its test")) == ("return-contradiction", True)
    assert {"BB-1/A", "FC-1"} <= unseen(result)


# --- rows ---------------------------------------------------------------------------------------------------


def test_a_unit_column_sorted_by_itself_counts_for_nothing(tmp_path: Path, job: Path, right: Rows) -> None:
    """The units are beside other ports than the test's."""
    units = [row[4] for row in right[1:] if row[4]]
    moved = iter([*units[1:], units[0]])
    result = read(
        [right[0], *([*row[:4], next(moved) if row[4] else "", *row[5:]] for row in right[1:])], tmp_path, job
    )
    assert "the response test has no FC-2" in told(result)[0][1]
    assert {"FC-1", "FC-2", "AH-1"} <= unseen(result)


def test_a_unit_column_that_was_emptied_reads_no_stub(tmp_path: Path, job: Path, right: Rows) -> None:
    """Stubs that nobody read do not get the readings of their units."""
    count = len(right[0]) - 5
    rows = [[*row[:4], "", *(row[5:] if row[4] else [""] * count)] for row in right[1:]]
    result = read([right[0], *rows], tmp_path, job)
    assert {"BB-1/A", "BB-1/E+F", "BB-2/A"} <= unseen(result)
    assert "is given twice, with other readings" in told(result)[0][1]


def test_a_row_twice_is_no_contradiction(tmp_path: Path, job: Path, right: Rows) -> None:
    """If it is the same."""
    result = read([*right, right[1]], tmp_path, job)
    assert (told(result), result.is_wrong) == ([], False)


def test_a_row_twice_with_other_readings_counts_for_nothing(tmp_path: Path, job: Path, right: Rows) -> None:
    """Even where one of them was left blank."""
    result = read([*right, [*right[1][:5], "", *right[1][6:]]], tmp_path, job)
    assert told(result) == [("return-contradiction", "BB-1/A is given twice, with other readings")]
    assert unseen(result) == {"BB-1/A"}


def test_a_half_of_a_pair_that_was_not_read_is_not_seen(tmp_path: Path, job: Path, right: Rows) -> None:
    """The other half's verdict says nothing of its valve."""
    result = read([row for row in right if row[2:4] != ["BB-1", "F"]], tmp_path, job)
    assert (unseen(result), result.is_wrong) == ({"BB-1/F"}, True)


def test_a_system_of_which_nothing_was_read_is_not_seen(tmp_path: Path) -> None:
    """Its blank rows are in the table of the other one."""
    text = SITE.write(tmp_path / "job")
    path = text / "job.toml" if text.is_dir() else text
    first, second, third = path.read_text(encoding="utf-8").split("[[box]]")
    path.write_text(
        f'{first}[[box]]\nsystem = "HR-1"{second}[[box]]\nsystem = "HR-2"{third}', encoding="utf-8"
    )
    made(text, tmp_path / "out")
    table = fill_csv(
        tmp_path / "out" / "response.csv",
        tmp_path / "r.csv",
        answers(tmp_path / "out"),
        lambda row: row[1] == "HR-1",
    )
    result = readback([table], text)
    one, two = result.responses
    assert (one.unseen, two.judged.calls.system, result.is_wrong) == ((), "HR-2", True)
    assert "BB-2/A" in two.unseen


# --- forms --------------------------------------------------------------------------------------------------


def garble(note: Any) -> None:
    """The hidden text is something else."""
    note.V = pikepdf.String("x")


def rename(note: Any) -> None:
    """The hidden text is gone."""
    note.T = pikepdf.String("BB-1/response-note/x")


@pytest.mark.parametrize("change", [garble, rename])
def test_a_form_that_lost_its_hidden_text_is_reported(
    change: Callable[[Any], None], tmp_path: Path, job: Path, out: Path
) -> None:
    """Nothing of it counts, and somebody is told."""
    with pikepdf.open(io.BytesIO(response_form(out, exchange(answers(out), "BB-1", "A", "C")))) as document:
        notes = [note for page in document.pages for note in page.Annots]
        change(next(note for note in notes if str(note.T).endswith("/response-for")))
        document.save(tmp_path / "r.pdf")
    result = readback([tmp_path / "r.pdf"], job)
    ((code, message),) = told(result)
    assert (code, message.startswith("the hidden text")) == ("response-unknown", True)
    assert (result.responses, result.is_wrong) == ((), True)


def test_readings_of_a_box_of_which_nothing_is_called_count(tmp_path: Path, job: Path) -> None:
    """A cable may land on one of its stubs, as the form shows."""
    made(job, tmp_path / "out", Asked(without=("FC-5", "FC-6")))
    words = answers(tmp_path / "out")
    moved = words | {("BB-2", "A"): words["BB-1", "A"], ("BB-1", "A"): "0" * len(words["BB-1", "A"])}
    path = tmp_path / "back" / "r.pdf"
    path.parent.mkdir()
    path.write_bytes(response_form(tmp_path / "out", moved))
    (system,) = readback([path], job).responses
    at = {port.name: (port.verdict, port.cable_of) for port in system.judged.ports}
    assert (at["BB-1/A"][0], at["BB-2/A"]) == ("no answer", ("answers other", "BB-1/A"))


@pytest.mark.parametrize(
    "program", ["qpdf --empty --pages WALK TEST -- OUT", "pdftk WALK TEST cat output OUT"]
)
def test_a_walk_and_a_test_merged_into_one_file_are_refused(
    program: str, tmp_path: Path, job: Path, out: Path
) -> None:
    """The walk's wrong switch would be lost."""
    plan = plan_of(job)
    paths = {name: str(tmp_path / f"{name}.pdf") for name in ("WALK", "TEST", "OUT")}
    Path(paths["WALK"]).write_bytes(filled(form(plan), as_planned(plan) | {"BB-1/left/1/1": True}))
    Path(paths["TEST"]).write_bytes(response_form(out, answers(out)))
    subprocess.run([paths.get(part, part) for part in program.split()], check=True, capture_output=True)
    result = readback([Path(paths["OUT"])], job)
    ((code, message),) = told(result)
    assert (code, "holds sheets of two kinds of BB-1, BB-2" in message) == ("return-merged", True)
    assert [box.state for box in result.boxes] == ["not seen", "not seen"]
    assert (result.responses, result.is_wrong) == ((), True)

"""First days from the set to what stands out: the table and the form, filled in and handed back."""

import csv
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from tagmaker.tags.first_days import DAY_READINGS, day_field
from tagmaker.workflows.as_json import json_object
from tagmaker.workflows.handover import handover
from tagmaker.workflows.make import make
from tagmaker.workflows.readback import Readback, readback
from tests.site.days.readings import system_job

GOOD, WARM = ("C", "72", "75", "58"), ("C", "72", "75", "81")


@pytest.fixture
def made(tmp_path: Path) -> Path:
    """A job's set beside the job."""
    result = make(system_job(tmp_path / "job"), tmp_path / "out")
    assert {"first-days.pdf", "first-days.csv"} <= {name for name, _ in result.files}
    return tmp_path


def table_of(made: Path, readings: dict[str, tuple[str, ...]]) -> Path:
    """The table with readings of the first day, by unit."""
    text = (made / "out" / "first-days.csv").read_text(encoding="utf-8")
    head, *lines = csv.reader(text.splitlines())
    for line in lines:
        if line[6] == "1" and line[4] in readings:
            line[8:12] = readings[line[4]]
    path = made / "back.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *lines])
    return path


def form_of(made: Path, readings: dict[str, tuple[str, ...]]) -> Path:
    """The form with the same."""
    writer = PdfWriter(clone_from=PdfReader(made / "out" / "first-days.pdf"))
    values = {
        day_field("BB-1", unit, 1, what): text
        for unit, texts in readings.items()
        for what, text in zip(DAY_READINGS, texts, strict=True)
    }
    for page in writer.pages:
        writer.update_page_form_field_values(page, values)
    path = made / "back.pdf"
    writer.write(path)
    return path


def told(result: Readback) -> list[tuple[str, int, int, list[str], tuple[str, ...]]]:
    """Each system: how much was read, which units stand out, what was not read."""
    return [
        (each.system, each.read, each.of, [one.unit for one in each.findings], each.unread)
        for each in result.days
    ]


@pytest.mark.parametrize("handed_in", [table_of, form_of])
def test_what_stands_out_is_reported_from_table_and_form(made: Path, handed_in) -> None:  # type: ignore[no-untyped-def]
    """FC-2 is to cool and blows warm air: exit code 1, as of anything that is wrong."""
    result = readback([handed_in(made, {"FC-1": GOOD, "FC-2": WARM})], made / "job")
    assert result.problems == ()
    assert told(result) == [("HR-1", 2, 2, ["FC-2"], ())]
    assert result.is_wrong
    assert not result.is_walked


@pytest.mark.parametrize("handed_in", [table_of, form_of])
def test_good_readings_are_not_wrong_and_what_is_missing_is_named(made: Path, handed_in) -> None:  # type: ignore[no-untyped-def]
    """A unit that was not read is unknown."""
    result = readback([handed_in(made, {"FC-1": GOOD})], made / "job")
    assert told(result) == [("HR-1", 1, 2, [], ("FC-2 day 1",))]
    assert not result.is_wrong


def test_the_handover_names_units_that_were_off_whenever_they_were_read(made: Path) -> None:
    """Nothing is wrong with them, and nothing shows that they heat or cool."""
    record = handover(made / "job", [table_of(made, {"FC-1": GOOD, "FC-2": ("0", "", "", "")})]).record
    assert record
    text = "First days: off whenever it was read, so that nothing shows that it heats or cools: FC-2."
    assert text in record.not_covered


def test_the_handover_names_boxes_of_no_system(tmp_path: Path) -> None:
    """Their pressure test and charge are no system's: the record does not cover them."""
    job = system_job(tmp_path / "job")
    with (job / "job.toml").open("a", encoding="utf-8") as file:
        file.write('[[box]]\ntag = "BB-2"\nports = 4\nsystem = "HR-2"\n')
        file.write('[[unit]]\nunit = "FC-9"\nbox = "BB-2"\nport = "A"\ncapacity = "12 kBtu/h"\n')
    record = handover(job, []).record
    assert record
    text = "The job gives no figures of the systems of BB-2: "
    assert any(each.startswith(text) for each in record.not_covered)


def test_a_folder_with_both_counts_once(made: Path) -> None:
    """The table and the form that was typed from it."""
    folder = made / "returned"
    folder.mkdir()
    for file in (table_of(made, {"FC-1": GOOD}), form_of(made, {"FC-1": GOOD})):
        file.rename(folder / file.name)
    result = readback([folder], made / "job")
    assert result.problems == ()
    assert told(result) == [("HR-1", 1, 2, [], ("FC-2 day 1",))]


def test_a_table_that_cannot_be_read_counts_for_nothing(made: Path) -> None:
    """One wrong cell: an error that names its row."""
    result = readback([table_of(made, {"FC-1": ("C", "72", "warm", "58")})], made / "job")
    assert [each.code for each in result.problems] == ["return-unreadable"]
    assert "in row 2" in result.problems[0].message
    assert result.days == ()


def test_json_has_the_first_days(made: Path) -> None:
    """Beside boxes and response, with each finding's unit, port and day."""
    result = readback([table_of(made, {"FC-2": WARM})], made / "job")
    text = json_object(result.outline, result.problems)
    assert '"first_days"' in text
    (days,) = result.outline.first_days
    (finding,) = days.findings
    assert (finding.unit, finding.box, finding.port, finding.day) == ("FC-2", "BB-1", "B", 1)
    assert "warmer" in finding.text


def test_a_job_without_systems_has_no_sheet(tmp_path: Path) -> None:
    """Sets of such jobs stay as they are."""
    job = system_job(tmp_path / "job")
    text = (job / "job.toml").read_text(encoding="utf-8")
    bare = text.replace('[[system]]\ntag = "HR-1"\n', "")
    (job / "job.toml").write_text(bare, encoding="utf-8")
    assert not {name for name, _ in make(job, tmp_path / "out").files if name.startswith("first-days")}

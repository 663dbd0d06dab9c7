"""The records of a job: plain, frozen, keyed in capitals."""

from pathlib import Path

import msgspec
import pytest

from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.job.read import read_job
from tests.job_files import BOX, HEAD, UNIT, write_files


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """The smallest job, its tags written small."""
    text = (HEAD + BOX + UNIT).replace("BX-1", "bx-1").replace("FC-1", "fc-1")
    read, problems = read_job(write_files(tmp_path, {"job.toml": text}))
    assert problems == ()
    assert read
    return read


def test_tags_stay_as_written_and_keys_are_in_capitals(job: Job) -> None:
    """People read the tag; codes and comparisons have the key."""
    assert [(box.tag, box.key) for box in job.boxes] == [("bx-1", "BX-1")]
    assert [(unit.tag, unit.key) for unit in job.units] == [("fc-1", "FC-1")]


def test_records_cannot_be_changed(job: Job) -> None:
    """What a stage hands on, no later stage can alter."""
    records: tuple[Job | BoxRow | UnitRow, ...] = (job, job.boxes[0], job.units[0])
    for record in records:
        for field in msgspec.structs.fields(record):
            with pytest.raises(AttributeError):
                setattr(record, field.name, None)

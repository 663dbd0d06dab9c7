"""The shared jobs themselves: legal, and the same from disk as from records."""

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.plan.outline import outlines
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where, has_errors
from tests.records import replace
from tests.strategies import JobSketch, sketches


@given(sketches())
@settings(max_examples=50, deadline=None)
def test_a_random_job_has_no_errors(sketch: JobSketch) -> None:
    """Every sketched job is legal: warnings and notes at most."""
    plan, problems = plan_job(sketch.record())
    assert not has_errors(problems)
    assert len(plan.boxes) == len(sketch.boxes)


@given(sketches(), st.sampled_from(["", "ports.csv"]))
@settings(max_examples=40, deadline=None)
def test_disk_and_records_agree(sketch: JobSketch, schedule: str) -> None:
    """A sketch written as TOML, or as TOML and CSV, reads back as the job that `record` builds."""
    with TemporaryDirectory() as folder:
        job, problems = read_job(sketch.write(Path(folder), schedule=schedule))
    assert job is not None
    assert not problems
    assert _placeless(sketch.record()) == _placeless(job)
    assert outlines(plan_job(sketch.record())[0]) == outlines(plan_job(job)[0])


def _placeless(job: Job) -> Job:
    nowhere = Where("")
    return replace(
        job,
        boxes=tuple(replace(box, where=nowhere) for box in job.boxes),
        units=tuple(replace(unit, where=nowhere) for unit in job.units),
        folder=Path(),
        where=nowhere,
    )

"""Jobs kept by the digests of their files: what is answered is what the files say now."""

from pathlib import Path

from hypothesis import HealthCheck, given, settings

from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem
from tagmaker.workflows.kept_plan import KeptPlan, job_digests, kept_plan, kept_set
from tagmaker.workflows.make import make
from tagmaker.workflows.planning import plan
from tests.paths import EXAMPLES
from tests.records import replace
from tests.strategies import JobSketch, one_box, sketches
from tests.workflows.jobs import OLD


def kept(path: Path) -> KeptPlan:
    """The plan, as a value."""
    found = kept_plan(path)
    assert isinstance(found, KeptPlan)
    return found


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sketches())
def test_it_is_the_plan_and_the_problems_of_the_job(tmp_path: Path, sketch: JobSketch) -> None:
    """As every command reads and plans it."""
    path = sketch.write(tmp_path / "job")
    checked = plan(path)
    assert (kept(path).plan, kept(path).problems) == (checked.plan, checked.problems)


def test_examples_are_planned_as_by_a_command() -> None:
    """The one with every kind of mistake too."""
    for job in ("clinic", "full-of-mistakes"):
        checked = plan(EXAMPLES / job)
        assert (kept(EXAMPLES / job).plan, kept(EXAMPLES / job).problems) == (checked.plan, checked.problems)


def test_a_job_is_read_once_while_its_files_are_the_same(job: Path) -> None:
    """By its folder or its file, the same record."""
    assert kept_plan(job) is kept_plan(job)
    assert kept(job / "job.toml").digests == kept(job).digests
    assert set(kept(job).digests) == {"job.toml", "ports.csv"}


def test_every_file_that_counts_is_watched(job: Path) -> None:
    """The job file, its schedule, and families and stocks of its own, those that are new too."""
    states = [job_digests(job)]
    for name in ("job.toml", "ports.csv", "families/mine.toml", "stocks/mine.toml"):
        (job / name).parent.mkdir(exist_ok=True)
        with (job / name).open("a", encoding="utf-8") as file:
            file.write("\n")
        assert job_digests(job) not in states
        states.append(job_digests(job))
    (job / "notes.txt").write_text("nothing of the job's", encoding="utf-8")
    assert job_digests(job) == states[-1]


def test_line_ends_and_marks_of_a_job_file_hide_no_schedule(job: Path) -> None:
    """A file of an old editor, or with a byte order mark, names its schedule all the same."""
    path = job / "job.toml"
    text = path.read_text(encoding="utf-8")
    for end, mark in (("\r\n", "\ufeff"), ("\r", "")):
        path.write_bytes((mark + text.replace("\n", end)).encode())
        assert set(kept(job).digests) == {"job.toml", "ports.csv"}


def test_a_changed_schedule_is_read_again(job: Path) -> None:
    """A port that was written over is another port, whatever the file's time."""
    before = kept(job)
    path = job / "ports.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("FC-3,BB-2,A", "FC-3,BB-2,B"), encoding="utf-8")
    assert [unit.port for unit in kept(job).job.units if unit.tag == "FC-3"] == ["B"]
    assert [unit.port for unit in before.job.units if unit.tag == "FC-3"] == ["A"]


def test_a_file_outside_of_the_job_is_not_looked_at(job: Path) -> None:
    """It is refused by the reader."""
    path = job / "job.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"ports.csv"', '"../x.csv"'), encoding="utf-8")
    assert set(job_digests(job)) == {"job.toml"}


def test_a_job_that_cannot_be_read_gives_its_problems(tmp_path: Path) -> None:
    """None is kept of it, and a mended one is read."""
    found = kept_plan(tmp_path)
    assert not isinstance(found, KeptPlan)
    assert [problem.code for problem in found] == ["job-missing"]
    (tmp_path / "job.toml").write_text("[job", encoding="utf-8")
    found = kept_plan(tmp_path)
    assert not isinstance(found, KeptPlan)
    assert [problem.code for problem in found] == ["toml-syntax"]
    one_box(("FC-1", "A", "12 kBtu/h")).write(tmp_path)
    assert kept(tmp_path).problems == ()


def test_other_units_plan_their_own_boxes_alone(job: Path) -> None:
    """The others are the same records; the whole is what planning the job from the start gives."""
    before = kept(job)
    units = tuple(replace(unit, port="B") if unit.tag == "FC-3" else unit for unit in before.job.units)
    after = before.with_units(units)
    assert after.touched == ("BB-2",)
    assert after.boxes["BB-1"] is before.boxes["BB-1"]
    assert after.plan == plan_job(after.job)[0]
    assert before.touched == ()


def test_a_set_is_kept_by_its_digest(tmp_path: Path) -> None:
    """By its folder or plan.json; one that was made again is read again; one that is none is a problem."""
    out = tmp_path / "out"
    assert make(OLD.write(tmp_path / "job"), out).files
    first = kept_set(out)
    assert first is kept_set(out / "plan.json")
    assert make(replace(OLD, revision="2").write(tmp_path / "job"), out).files
    second = kept_set(out)
    assert not isinstance(first, Problem)
    assert not isinstance(second, Problem)
    assert [each.issued.job.revision for each in (first, second)] == ["1", "2"]
    assert isinstance(kept_set(tmp_path / "nothing"), Problem)

"""Units moved in memory: what follows is what planning, printing and comparing the changed job gives."""

import csv
import io
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tagmaker.revisions.selection import Selection
from tagmaker.workflows.changes import changes
from tagmaker.workflows.edit_kinds import Move
from tagmaker.workflows.kept_plan import KeptPlan, kept_plan
from tagmaker.workflows.make import make
from tagmaker.workflows.moves import Tried, UnitMoved, try_moves
from tests.job_files import write_files
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, sketches
from tests.workflows.jobs import OLD, contents

PORTS = ("A", "b", "D", "C+D", "d & c", " d + c ", "Port C", "Z", "A+C")


def kept(path: Path) -> KeptPlan:
    """The plan, as a value."""
    found = kept_plan(path)
    assert isinstance(found, KeptPlan)
    return found


def moved(path: Path, *moves: Move) -> None:
    """The job's schedule with these moves written into its cells."""
    schedule = path / "ports.csv"
    places = {move.unit.upper(): move for move in moves}
    rows = list(csv.DictReader(io.StringIO(schedule.read_text(encoding="utf-8"))))
    for row in rows:
        if move := places.get(row["unit"].upper()):
            row |= {"box": move.box, "port": move.port}
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, rows[0].keys(), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    schedule.write_text(out.getvalue(), encoding="utf-8")


@st.composite
def jobs_and_moves(draw: st.DrawFn) -> tuple[JobSketch, tuple[Move, ...]]:
    """A legal job, and moves of its units to ports that they may or may not have."""
    sketch = draw(sketches(sizes=(4, 6), most_units=2))
    units = [unit.tag for box in sketch.boxes for unit in box.units]
    boxes = [box.tag for box in sketch.boxes]
    one = st.builds(Move, st.sampled_from(units), st.sampled_from(boxes), st.sampled_from(PORTS))
    return sketch, tuple(draw(st.lists(one, min_size=1, max_size=3)))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(jobs_and_moves())
def test_moved_in_memory_is_moved_on_disk(
    tmp_path: Path, given_job: tuple[JobSketch, tuple[Move, ...]]
) -> None:
    """Plan, problems and all that is issued are those of the job with its schedule changed."""
    sketch, moves = given_job
    path = sketch.write(tmp_path / "job", schedule="ports.csv")
    before, found = kept(path), try_moves(path, moves)
    moved(path, *moves)
    after = kept(path)
    assert (found.wrong, found.after is not None) == ((), True)
    assert found.after
    assert (found.after.plan.boxes, found.after.problems) == (after.plan.boxes, after.problems)
    assert found.after.issued == after.issued
    assert set(found.new) == set(after.problems) - set(before.problems)
    assert set(found.gone) == set(before.problems) - set(after.problems)
    assert set(found.remaining) == set(before.problems) & set(after.problems)


def test_nothing_on_disk_changes(job: Path) -> None:
    """A try is in memory alone."""
    before = contents(job)
    assert try_moves(job, [Move("FC-3", "BB-2", "B")]).boxes == ("BB-2",)
    assert contents(job) == before


def test_switches_and_paper_of_a_move_within_a_box(job: Path) -> None:
    """FC-3 leaves FC-2 alone on A: B is in service, tags of both and the placard are printed again."""
    found = try_moves(job, [Move("fc-3", "bb-2", "b")])
    assert [each.box for each in found.switches] == ["BB-2"]
    assert [(s.board, s.bank, s.switch, s.before, s.after) for s in found.switches[0].switches] == [
        ("left", "Bank 1", 2, "on", "off")
    ]
    (printed,) = found.printed
    assert (printed.placard, printed.walk, printed.bands) == (True, True, False)
    assert "BB-2/B/LIQ" in printed.tags
    assert "BB-2/B/LIQ/FC-3" in printed.tags
    assert "BB-2/A/LIQ/FC-3" in printed.gone
    assert not [code for code in printed.tags if "/C/" in code]
    assert found.work is None


def test_a_move_to_another_box_touches_both(job: Path) -> None:
    """Each with its own switches and paper."""
    found = try_moves(job, [Move("FC-3", "BB-1", "D")])
    assert found.boxes == ("BB-1", "BB-2")
    assert [each.box for each in found.printed] == ["BB-1", "BB-2"]
    assert [code for code in found.printed[1].tags if "FC-3" in code] == []


def test_a_pair_can_be_moved_to_and_an_overload_is_new(job: Path) -> None:
    """What is wrong with a move is in the problems, with its hint."""
    pair = try_moves(job, [Move("AH-1", "BB-2", "C+D")])
    assert "pair-forbidden" not in {problem.code for problem in pair.new}
    over = try_moves(job, [Move("AH-1", "BB-1", "D")])
    assert [problem.code for problem in over.new if problem.severity == "error"] == ["port-overloaded"]
    forbidden = try_moves(job, [Move("AH-1", "BB-1", "B+C")])
    assert "pair-forbidden" in {problem.code for problem in forbidden.new}


def test_the_last_move_of_a_unit_counts_and_one_back_is_none(job: Path) -> None:
    """A draft that leads back to where a unit is differs in nothing."""
    moves = [Move("FC-3", "BB-1", "D"), Move("FC-3", "BB-2", "A")]
    found = try_moves(job, moves)
    assert (found.moves, found.boxes, found.new, found.gone, found.printed) == ((), (), (), (), ())


def test_units_and_boxes_that_are_not_there_are_problems(job: Path) -> None:
    """With the nearest name, and nothing is moved."""
    found = try_moves(job, [Move("FC-33", "BB-1", "D"), Move("FC-3", "BB-9", " ")])
    assert [problem.code for problem in found.wrong] == ["value-wrong", "box-unknown", "value-wrong"]
    assert "FC-3" in found.wrong[0].hint
    assert (found.after, found.boxes) == (None, ())


def test_a_unit_that_is_listed_twice_is_not_moved(tmp_path: Path) -> None:
    """Which of the two is meant is not known."""
    twice = (UnitSketch("FC-1", "A"), UnitSketch("FC-1", "B"))
    path = JobSketch((BoxSketch("BB-1", 4, twice),)).write(tmp_path / "job")
    assert [each.code for each in try_moves(path, [Move("FC-1", "BB-1", "D")]).wrong] == ["unit-twice"]
    second = kept(path).job.units[1]
    found = try_moves(path, [Move("FC-1", "BB-1", "D", second.where)])
    assert found.moves == (UnitMoved("FC-1", "BB-1", "B", "BB-1", "D"),)


def test_a_job_that_cannot_be_read_gives_its_problems(tmp_path: Path) -> None:
    """As every other stage does."""
    assert [each.code for each in try_moves(tmp_path, []).wrong] == ["job-missing"]


# --- a job of which a set was issued ------------------------------------------------------------------------


def issued(folder: Path) -> tuple[Path, Path]:
    """A job on disk and its set."""
    path = OLD.write(folder / "job", schedule="ports.csv")
    assert make(path, folder / "out", Selection(proof=False)).files
    return path, folder / "out"


def work_of(found: Tried) -> list[str]:
    """The steps of the work on site."""
    assert found.work
    return [step.step for step in found.work.steps]


def test_the_work_on_site_is_that_of_changes(tmp_path: Path) -> None:
    """Moved in memory and on disk, from the set that is installed: the same lines in the same order."""
    path, out = issued(tmp_path)
    move = Move("FC-2", "BB-1", "C")
    found = try_moves(path, [move], out)
    moved(path, move)
    outline = changes(out, path).outline
    assert outline
    assert found.work
    assert found.work.steps == outline.steps
    assert (found.work.revision, found.work.withheld, found.work.others) == ("1", (), ())
    assert "recover" in work_of(found)


def test_what_is_printed_is_what_an_update_prints(tmp_path: Path) -> None:
    """The codes of its tags, its placards and its walk sheets."""
    path, out = issued(tmp_path)
    move = Move("FC-3", "BB-1", "B")
    found = try_moves(path, [move], out)
    moved(path, move)
    update = tmp_path / "update"
    assert make(path, update, Selection(since=out, proof=False)).files
    register = csv.DictReader(io.StringIO((update / "register.csv").read_text(encoding="utf-8")))
    printed = [code for each in found.printed for code in each.tags]
    assert printed == [row["code"] for row in register]
    assert [(each.box, each.placard, each.walk) for each in found.printed] == [
        ("BB-1", True, True),
        ("BB-2", True, True),
    ]


def test_a_box_with_errors_has_no_work_and_the_others_are_named(tmp_path: Path) -> None:
    """First it is mended; a box that was changed since the set is another matter."""
    path, out = issued(tmp_path)
    moved(path, Move("FC-3", "BB-2", "D"))
    found = try_moves(path, [Move("FC-1", "BB-1", "Z")], out)
    assert found.work
    assert (found.work.steps, found.work.others) == ((), ("BB-2",))
    assert [problem.code for problem in found.work.withheld] == ["port-unknown"]
    good = try_moves(path, [Move("FC-1", "BB-1", "B")], out)
    assert good.work
    assert {step.box for step in good.work.steps} <= {"BB-1", ""}
    assert good.work.steps


def test_a_set_that_is_none_is_a_problem(tmp_path: Path) -> None:
    """Nothing is tried against a file of another kind."""
    path = OLD.write(tmp_path / "job")
    write_files(tmp_path / "out", {"plan.json": "{}"})
    found = try_moves(path, [Move("FC-1", "BB-1", "B")], tmp_path / "out")
    assert [problem.code for problem in found.wrong] == ["plan-unreadable"]


def test_work_goes_back_to_none_with_the_unit(tmp_path: Path) -> None:
    """Opened as installed: a draft that puts a unit back where the set has it asks for nothing."""
    path, out = issued(tmp_path)
    moved(path, Move("FC-3", "BB-2", "D"))
    found = try_moves(path, [Move("FC-3", "BB-2", "B")], out)
    assert found.work
    assert (found.work.steps, found.boxes) == ((), ("BB-2",))
    assert [(each.tags, each.gone, each.placard) for each in found.printed] == [((), (), False)]
    assert replace(found.printed[0], walk=False) == found.printed[0]

"""The first stages: a job as planned, limited to the selected boxes, its problems in order."""

import gc
from pathlib import Path

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import check, planning
from tests.job_files import HEAD, write_files
from tests.paths import EXAMPLES


def test_problems_stand_in_the_order_of_files_and_lines() -> None:
    """Whatever stage found them, as one reads the files."""
    for problems in (
        planning.plan(EXAMPLES / "full-of-mistakes").problems,
        check.check(EXAMPLES / "full-of-mistakes").problems,
    ):
        places = [(problem.where.file, problem.where.line) for problem in problems]
        assert places == sorted(places)
        assert len({file for file, _ in places}) > 1


def test_a_box_is_named_in_any_case_and_stands_in_the_jobs_order(bad: Path) -> None:
    """As tags are unique without regard to case."""
    plan = planning.plan(bad, Selection(("BB-2", "BB-1"))).plan
    assert plan is not None
    assert [box.row.tag for box in plan.boxes] == ["BB-1", "BB-2"]


def test_boxes_and_ports_that_the_job_does_not_have_are_errors(job: Path) -> None:
    """Each by its option, with the way to name one."""
    checked = planning.plan(job, Selection(("BB-22",), ("BB-1/Z",)))
    assert [(problem.where.file, problem.code) for problem in checked.problems] == [
        ("--box", "box-unknown"),
        ("--only", "port-unknown"),
    ]


def test_a_tag_that_the_job_does_not_have_is_an_error_that_names_the_nearest(job: Path) -> None:
    """A port that is not there is named as a port, whatever follows it."""
    found = planning.plan(job, Selection(only=("BB-1/C/GAS", "BB-1/C/LIQ/FC-77", "BB-1/Z/LIQ"))).problems
    assert [(problem.code, problem.message) for problem in found] == [
        ("tag-unknown", "the job has no tag 'BB-1/C/LIQ/FC-77'"),
        ("port-unknown", "the job has no port 'BB-1/Z/LIQ'"),
    ]
    assert "BB-1/C/LIQ" in found[0].hint
    assert found[1].hint.startswith("its ports are A to ")


def test_a_port_that_another_option_leaves_out_is_an_error(job: Path) -> None:
    """Nothing would be printed, without a sign."""
    for asked, message in (
        (Selection(("BB-2",), ("BB-1/C",)), "nothing of BB-1/C is printed with this --box"),
        (Selection(only=("BB-1/C/TRM",), kit="lines"), "nothing of BB-1/C/TRM is printed with this --kit"),
        (
            Selection(only=("BB-1/C/TRM",), stage="final"),
            "nothing of BB-1/C/TRM is printed with this --stage",
        ),
    ):
        (problem,) = planning.plan(job, asked).problems
        assert (str(problem.where), problem.code, problem.message) == ("--only", "tag-unknown", message)
        assert problem.hint == f"leave out --only {asked.only[0]}, or {message.rpartition(' ')[2]}"
    assert planning.plan(job, Selection(("BB-1",), ("BB-1/C",), kit="lines")).problems == ()


def test_a_port_of_a_box_that_the_job_does_not_have_names_its_boxes(job: Path) -> None:
    """The wrong word is the box, not the port."""
    (problem,) = planning.plan(job, Selection(only=("BB-9/A",))).problems
    assert problem.hint.startswith("known: BB-1, BB-2; ")


def test_an_error_of_another_box_is_left_out(bad: Path) -> None:
    """So that one wrong box does not stop the rest."""
    assert planning.plan(bad, Selection(("BB-1",))).problems == ()
    assert [problem.code for problem in planning.plan(bad).problems] == ["port-overloaded"]


def test_systems_are_those_of_the_selected_boxes(tmp_path: Path) -> None:
    """Each whole: its charge is that of all its boxes."""
    systems = "".join(f'[[system]]\ntag = "HR-{n}"\n' for n in (1, 2))
    boxes = "".join(
        f'[[box]]\ntag = "BX-{n}"\nports = 4\nsystem = "HR-{system}"\n'
        for n, system in ((1, 1), (2, 1), (3, 2))
    )
    write_files(tmp_path, {"job.toml": HEAD + systems + boxes})
    whole, part = (planning.plan(tmp_path, Selection(boxes)).plan for boxes in ((), ("BX-2",)))
    assert whole
    assert part
    assert [each.row.tag for each in whole.systems] == ["HR-1", "HR-2"]
    assert [each.row.tag for each in part.systems] == ["HR-1"]
    assert [box.tag for box in part.systems[0].boxes] == ["BX-1", "BX-2"]


def test_a_planned_job_leaves_nothing_behind_that_refers_to_itself() -> None:
    """Nothing is collected while a run lasts: a schedule's sheet in a cycle would take memory to its end."""
    left = set()
    for _ in range(2):  # the first time may load libraries
        gc.collect()
        gc.disable()
        try:
            planning.plan(EXAMPLES / "full-of-mistakes")
        finally:
            left.add(gc.collect())
            gc.enable()
    assert 0 in left

"""The amount of a sign from the system's sheet that came back: one that all sheets bear out, or no sign."""

from pathlib import Path

import pytest

from tagmaker.measures import Mass
from tagmaker.problems import Severity
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.sign import sign_pages, signed_systems
from tagmaker.workflows.planning import plan as planned
from tagmaker.workflows.weighed_in import plan_weighed
from tests.paths import ROOT
from tests.quantities import measure
from tests.site.systems import RUNS, WEIGHED, Sheet, job_with_sign, write_form
from tests.site.walks import plan_of
from tests.strategies import words


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of one system that asks for signs and does not say what was weighed in."""
    return job_with_sign(tmp_path_factory.mktemp("weighed") / "job")


def came_back(job: Path, folder: Path, *sheets: Sheet) -> tuple[Mass | None, list[str]]:
    """What is taken as weighed in of so many sheets, with the errors."""
    plan = plan_of(job)
    (system,) = plan.systems
    files = [
        write_form(folder / f"{number}.pdf", plan, [(system, sheet)])
        for number, sheet in enumerate(sheets, start=1)
    ]
    checked = plan_weighed(job, Selection(weighed_in=tuple(files)))
    assert checked.plan
    errors = [each.message for each in checked.problems if each.severity is Severity.ERROR]
    return checked.plan.systems[0].row.weighed_in, errors


def test_a_sign_has_the_amount_of_the_sheet_and_never_the_planned_one(job: Path, tmp_path: Path) -> None:
    """16.55 lb where 16.6 lb are planned; without a sheet there is no sign."""
    assert came_back(job, tmp_path, {**RUNS, WEIGHED: "16.55"}) == (measure(Mass, "16.55 lb"), [])
    checked = plan_weighed(job, Selection(weighed_in=(tmp_path / "1.pdf",)))
    assert checked.plan
    plan = checked.plan
    pages, _ = sign_pages(plan.job, plan.systems, plan.job.prints.stocks["sign"], words())
    assert len(pages) == 1
    bare = planned(job).plan
    assert bare
    assert signed_systems(bare.job, bare.systems) == []


@pytest.mark.parametrize(
    ("sheets", "why"),
    [
        (({**RUNS, WEIGHED: "16.6"}, {WEIGHED: "16.7"}), "sheets differ"),
        (({**RUNS, WEIGHED: "about 16"},), "'about 16' cannot be read"),
        (({**RUNS, WEIGHED: "19"},), "19 lb are in the system, 2.4 lb more than the charge as built"),
        (({WEIGHED: "300"},), "no length as built of main pipe of BX-1, FC-1 bears it out"),
        (({**RUNS, ("line", "BX-1", "FC-1", "run"): "?", WEIGHED: "300"},), "no length as built of FC-1"),
        (({**RUNS, WEIGHED: "6.6"},), "6.6 lb are written, 10 lb less than the charge as built, 16.6 lb"),
    ],
)
def test_what_is_in_doubt_is_an_error(sheets: tuple[Sheet, ...], why: str, job: Path, tmp_path: Path) -> None:
    """So the set is refused, with the reason."""
    _, errors = came_back(job, tmp_path, *sheets)
    assert any(why in each for each in errors)


def test_a_sheet_that_says_nothing_gives_no_sign(job: Path, tmp_path: Path) -> None:
    """The planned charge is not taken in its place, nor is a file of another job."""
    assert came_back(job, tmp_path, RUNS) == (None, [])
    only = plan_weighed(job, Selection(weighed_in=(tmp_path / "1.pdf",)))
    assert [each.message for each in only.problems if each.code == "sign-weighed"] == [
        "no amount weighed in came back"
    ]
    foreign = ROOT / "example_jobs" / "clinic" / "returned" / "systems.pdf"
    checked = plan_weighed(job, Selection(weighed_in=(foreign,)))
    assert {each.code for each in checked.problems if each.severity is Severity.ERROR} == {"return-foreign"}

"""Findings on the phone count for the plan that they were found for: by place, by job, in two tabs."""

import json
from pathlib import Path

import pytest
from selenium.webdriver.common.by import By

from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import readback
from tests.browser.phone import OPEN, Findings, Phone, as_planned, plan_of, write_page
from tests.paths import EXAMPLES
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch

NOTED: Findings = {"BB-1/port/A/pipe/ok": True, "BB-1/port/A/note": "wet joint"}


def sketch(*units: tuple[str, str], ports: int = 4, power: str = "", revision: str = "0") -> JobSketch:
    """A job of one box with units at ports."""
    rows = tuple(UnitSketch(unit, port, "18 kBtu/h") for unit, port in units)
    box = BoxSketch("BB-1", ports, rows, place="Grid 4", power=power)
    return JobSketch((box,), number="N-1", revision=revision)


ONE = sketch(("FC-1", "A"), ("FC-2", "B"))
SWAPPED = sketch(("FC-2", "A"), ("FC-1", "B"))


def page_of(job: JobSketch, folder: Path) -> tuple[Path, Plan]:
    """A job's folder and plan, its page written as `make` writes it, over the one before."""
    made = job.write(folder / "job")
    plan = plan_of(made)
    write_page(plan, folder)
    return made, plan


def at_places(findings: Findings, *places: str) -> dict[str, bool | str]:
    """The findings at some places of BB-1."""
    return {
        name: said
        for name, said in findings.items()
        if any(name.startswith(f"BB-1/{place}/") for place in places)
    }


def exported(phone: Phone) -> dict[str, bool | str]:
    """The fields of the box in hand as they would be handed in."""
    fields: dict[str, bool | str] = json.loads(phone.js("return exported([box])"))["boxes"][0]["fields"]
    return fields


NOTES = """
return [...document.querySelectorAll(".earlier")].map((part) => [
  part.getAttribute("aria-label"), [...part.querySelectorAll("p")].map((p) => p.textContent).join("\\n"),
]);
"""


def notes(phone: Phone) -> dict[str, str]:
    """What is shown as found for an earlier plan, by where it says that it belongs."""
    shown: list[tuple[str, str]] = phone.js(NOTES)
    where = [each[0].removesuffix(": Found for an earlier plan") for each in shown]
    assert len(set(where)) == len(where)
    return dict(zip(where, [each[1] for each in shown], strict=True))


def answer(phone: Phone, selector: str, *, yes: bool) -> None:
    """Press a button that asks first, and answer."""
    phone.tap(phone.find(selector))
    alert = phone.driver.switch_to.alert
    alert.accept() if yes else alert.dismiss()


# --- another plan -------------------------------------------------------------------------------------------


def test_two_swapped_units_are_walked_again(phone: Phone, tmp_path: Path) -> None:
    """The same revision made twice into a folder: nothing found for the first plan counts for the second."""
    _, plan = page_of(ONE, tmp_path)
    everything = as_planned(plan.job, plan.boxes[0])
    phone.open(tmp_path / "walk.html").enter(everything)
    job, _ = page_of(SWAPPED, tmp_path)
    phone.reload()
    assert at_places(phone.entered(), "port/A", "port/B") == {}
    returned = readback([phone.export("export-one", "walk-BB-1.json")], job)
    (box,) = returned.boxes
    assert at_places(exported(phone), "port/A", "port/B", "sign", "date") == {}
    assert box.state == "not seen"
    assert "2 of 4" in phone.text("#parts")


def test_what_was_found_for_another_plan_can_be_read_in_its_place(phone: Phone, tmp_path: Path) -> None:
    """Whose it was, every tick and every text; a mark on the closed card; all places named on top."""
    _, plan = page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html").enter(as_planned(plan.job, plan.boxes[0]))
    page_of(SWAPPED, tmp_path)
    phone.reload()
    assert "earlier plan" in phone.text("#letter-A summary")
    assert "earlier plan" not in phone.text("#letter-C summary")
    assert "not counted: Port A, Port B, Signatures" in phone.text("main")
    phone.open_letter("A")
    shown = phone.text("#letter-A .earlier")
    for text in (
        "Revision 0, planned: FC-1",
        "Pipe: Correct",
        "Cable: Correct",
        "Polarity, shield per manual",
        "Tags at both ends",
        "Proved: rung, A R.H.",
        'Note: "A" <dry> &',
    ):
        assert text in shown
    assert "Verifier: R. Hale, 2026-06-03" in notes(phone)["Signatures"]


def test_what_is_planned_as_before_is_kept_in_a_new_revision(phone: Phone, tmp_path: Path) -> None:
    """A unit on a spare letter sets apart that letter, its board and the signatures; nothing else."""
    _, plan = page_of(ONE, tmp_path)
    everything = as_planned(plan.job, plan.boxes[0])
    phone.open(tmp_path / "walk.html").enter(everything)
    page_of(sketch(("FC-1", "A"), ("FC-2", "B"), ("FC-3", "C"), revision="1"), tmp_path)
    phone.reload()
    kept = at_places(everything, "item", "port/A", "port/B", "port/D")
    assert kept == phone.entered() == exported(phone)
    assert set(notes(phone)) == {"only board", "Port C", "Signatures"}
    assert "planned: spare" in notes(phone)["Port C"]
    assert "Bank 1 switch 4 ON" in notes(phone)["only board"]


def test_a_revision_that_changes_nothing_here_keeps_all_of_it(phone: Phone, tmp_path: Path) -> None:
    """Signatures included."""
    _, plan = page_of(ONE, tmp_path)
    everything = as_planned(plan.job, plan.boxes[0])
    phone.open(tmp_path / "walk.html").enter(everything)
    page_of(replace(ONE, revision="1"), tmp_path)
    phone.reload()
    assert everything == phone.entered() == exported(phone)
    assert notes(phone) == {}


def test_a_plan_that_comes_back_has_its_findings_again(phone: Phone, tmp_path: Path) -> None:
    """Both plans' findings stay, each counted under its own plan and shown apart under the other."""
    page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html").enter(NOTED)
    page_of(SWAPPED, tmp_path)
    phone.reload()
    phone.enter({"BB-1/port/A/note": "dry"})
    page_of(ONE, tmp_path)
    phone.reload()
    assert exported(phone) == NOTED
    assert "Note: dry" in notes(phone)["Port A"]


def test_what_was_found_before_a_later_revision_is_walked_again(phone: Phone, tmp_path: Path) -> None:
    """Revision 2 swapped two units and was walked: by 3, which is as 1, nobody has seen port A since."""
    job, other = ({**NOTED, "BB-1/port/B/pipe/ok": True}, {"BB-1/port/A/pipe/ok": True})
    page_of(replace(ONE, revision="1"), tmp_path)
    phone.open(tmp_path / "walk.html").enter(job)
    page_of(replace(SWAPPED, revision="2"), tmp_path)
    phone.reload()
    phone.enter(other)
    page_of(replace(ONE, revision="3"), tmp_path)
    phone.reload()
    assert exported(phone) == {"BB-1/port/A/note": "wet joint", "BB-1/port/B/pipe/ok": True}
    shown = [(where.partition(":")[0], text.split("\n")[1]) for where, text in phone.js(NOTES)]
    assert shown == [("Port A", "Revision 1, planned: FC-1"), ("Port A", "Revision 2, planned: FC-2")]
    phone.enter({"BB-1/port/A/cable/ok": True})
    phone.reload()
    assert exported(phone) == {
        "BB-1/port/A/note": "wet joint",
        "BB-1/port/A/cable/ok": True,
        "BB-1/port/B/pipe/ok": True,
    }


def test_notes_of_every_earlier_plan_are_apart(phone: Phone, tmp_path: Path) -> None:
    """Three plans of a letter, a note for each: two are shown, each with its plan, and discarded alone."""
    plans = [sketch((unit, "A"), revision=str(at)) for at, unit in enumerate(("FC-1", "FC-2", "FC-3"))]
    for at, job in enumerate(plans):
        page_of(job, tmp_path)
        phone.open(tmp_path / "walk.html") if at == 0 else phone.reload()
        assert exported(phone) == {}
        phone.enter({"BB-1/port/A/note": f"note {at}"})
    assert exported(phone) == {"BB-1/port/A/note": "note 2"}
    shown = [text for _, text in phone.js(NOTES)]
    assert shown == [
        f"Found for an earlier plan\nRevision {at}, planned: FC-{at + 1}\nNote: note {at}" for at in (0, 1)
    ]
    phone.js(OPEN)
    first = phone.driver.find_elements(By.CSS_SELECTOR, "#letter-A .earlier button")[0]
    phone.tap(first)
    phone.driver.switch_to.alert.accept()
    assert [text for _, text in phone.js(NOTES)] == shown[1:]
    page_of(replace(plans[1], revision="3"), tmp_path)
    phone.reload()
    assert exported(phone) == {"BB-1/port/A/note": "note 1"}
    assert [text for _, text in phone.js(NOTES)] == [
        "Found for an earlier plan\nRevision 2, planned: FC-3\nNote: note 2"
    ]


def test_places_and_boxes_that_are_gone_stay_readable(phone: Phone, tmp_path: Path) -> None:
    """A letter and a board at the top of their box, a box at the end of the page; each can be discarded."""
    six = sketch(("FC-1", "A"), ports=6)
    both = replace(
        six, boxes=(*six.boxes, replace(six.boxes[0], tag="BB-2", units=(UnitSketch("FC-9", "A"),)))
    )
    page_of(both, tmp_path)
    phone.open(tmp_path / "walk.html")
    phone.enter({"BB-1/port/F/note": "stub bent", "BB-1/right/seen": True})
    phone.go("BB-2")
    phone.enter({"BB-2/port/A/note": "no room"})
    page_of(ONE, tmp_path)
    phone.reload()
    assert set(notes(phone)) == {"Port F", "right board", "BB-2, Port A"}
    assert "boxes that are not on this page: BB-2" in phone.text("footer")
    phone.tap(phone.find("#absent summary"))
    assert "BB-2, Port A: Found for an earlier plan\nRevision 0, planned: FC-9\nNote: no room" in phone.text(
        "#absent"
    )
    assert notes(phone)["Port F"].startswith("Port F: ")
    answer(phone, "#absent button", yes=True)
    assert phone.text("#absent") == ""
    assert phone.js("return document.activeElement.id") == "empty"
    assert exported(phone) == {}


# --- other jobs ---------------------------------------------------------------------------------------------

JOBS = (
    ("A", "B/C"),
    ("A/B", "C"),
    ("", "A/B/C"),
    ("A", 'B","C'),
    ('A","B', "C"),
    ("A\\", '","B'),
    ('A\\","', "B"),
    ("\0", ""),
    ("", "\0"),
    ("\0\0", ""),
    ("__proto__", "constructor"),
    ("constructor", "__proto__"),
    ("length", "key"),
    ("", ""),
    ("x" * 3000, "y"),
    ("x" * 2999, "xy"),
    ("é", "e"),
    ("e\u0301", "e"),
)
"""Numbers and names of jobs that joined text, careless quoting or objects as maps would confuse."""


def test_no_two_jobs_share_what_was_found(phone: Phone, tmp_path: Path) -> None:
    """Whatever their numbers and names are, each job shows its own findings and no trace of another's."""
    plan = plan_of(ONE.write(tmp_path / "job"))
    pages = [
        write_page(replace(plan, job=replace(plan.job, number=number, name=name)), tmp_path / str(at))
        for at, (number, name) in enumerate(JOBS)
    ]
    phone.open(pages[0])
    for at, path in enumerate(pages):
        phone.driver.get(path.as_uri())
        assert (exported(phone), notes(phone)) == ({}, {})
        phone.enter({"BB-1/port/A/note": f"job {at}"})
        kept = phone.js(
            "return Object.values(localStorage).join()"
        )  # nobody leaves a page within a millisecond
        assert f"job {at}" in kept
    for at, path in enumerate(pages):
        phone.driver.get(path.as_uri())
        assert (exported(phone), notes(phone)) == ({"BB-1/port/A/note": f"job {at}"}, {})


# --- pages of earlier versions ------------------------------------------------------------------------------

OLD_KEY = "tagmaker-walk/N-1/Marsh Lane Library/0/BB-1"


def test_what_an_earlier_page_kept_is_shown_and_never_counted(phone: Phone, tmp_path: Path) -> None:
    """Even where all of it is as planned today: nobody knows what it was found for."""
    _, plan = page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html")
    phone.put_old(OLD_KEY, as_planned(plan.job, plan.boxes[0]))
    phone.reload()
    assert (phone.entered(), exported(phone)) == ({}, {})
    assert set(notes(phone)) == {"At the box", "only board", *(f"Port {x}" for x in "ABCD"), "Signatures"}
    assert 'Note: "A" <dry> &' in notes(phone)["Port A"]
    assert "0 of 4" in phone.text("#parts")
    phone.enter({"BB-1/port/A/pipe/ok": True})
    assert exported(phone) == {"BB-1/port/A/pipe/ok": True}


def test_an_earlier_page_loses_only_what_is_discarded(phone: Phone, tmp_path: Path) -> None:
    """A place at a time, from what that page itself reads; the last one takes the whole key."""
    page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html")
    phone.put_old(OLD_KEY, {**NOTED, "BB-1/port/B/note": "dry"})
    phone.reload()
    phone.js(OPEN)
    answer(phone, "#letter-A .earlier button", yes=True)
    assert json.loads(phone.js("return localStorage.getItem(arguments[0])", OLD_KEY)) == {
        "BB-1/port/B/note": "dry"
    }
    answer(phone, "#letter-B .earlier button", yes=True)
    assert phone.js("return localStorage.getItem(arguments[0])", OLD_KEY) is None


def test_what_an_earlier_page_kept_of_another_job_is_not_shown(phone: Phone, tmp_path: Path) -> None:
    """Nor the marks that such a page kept beside its findings."""
    page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html")
    for key in (
        "N-1/Marsh Lane/0/BB-1",
        "N-2/Marsh Lane Library/0/BB-1",
        "N-1/Marsh Lane Library/0/BB-1/BB-1",
    ):
        phone.put_old(f"tagmaker-walk/{key}", NOTED)
    for key in ("0/", "0//at", ""):
        phone.js("localStorage.setItem(arguments[0], 'BB-1')", f"tagmaker-walk/N-1/Marsh Lane Library/{key}")
    phone.reload()
    assert notes(phone) == {}


# --- discard ------------------------------------------------------------------------------------------------


def test_notes_are_discarded_after_a_question_only(phone: Phone, tmp_path: Path) -> None:
    """One place at a time; today's findings there stay; the focus goes to the letter."""
    _, plan = page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html").enter(as_planned(plan.job, plan.boxes[0]))
    page_of(SWAPPED, tmp_path)
    phone.reload()
    phone.js(OPEN)
    phone.enter({"BB-1/port/A/note": "today"})
    answer(phone, "#letter-A .earlier button", yes=False)
    assert set(notes(phone)) == {"Port A", "Port B", "Signatures"}
    answer(phone, "#letter-A .earlier button", yes=True)
    assert set(notes(phone)) == {"Port B", "Signatures"}
    assert phone.js("return document.activeElement.matches('#letter-A summary')") is True
    assert "earlier plan" not in phone.text("#letter-A summary")
    assert "not counted: Port B, Signatures" in phone.text("main")
    phone.reload()
    assert set(notes(phone)) == {"Port B", "Signatures"}
    assert exported(phone)["BB-1/port/A/note"] == "today"


def test_a_box_that_is_emptied_keeps_what_was_found_for_another_plan(phone: Phone, tmp_path: Path) -> None:
    """It was never handed in for today's plan: only its own button discards it."""
    page_of(ONE, tmp_path)
    phone.open(tmp_path / "walk.html").enter(NOTED)
    page_of(SWAPPED, tmp_path)
    phone.reload()
    phone.enter({"BB-1/port/A/note": "today", "BB-1/item/power": True})
    answer(phone, "#empty", yes=True)
    assert (phone.entered(), list(notes(phone))) == ({}, ["Port A"])
    phone.reload()
    assert (phone.entered(), list(notes(phone))) == ({}, ["Port A"])


# --- signatures ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "signed"),
    [
        ({"sign": "R. Hale", "date": "2026-06-03"}, "1 of 3"),
        ({"sign": "R. Hale"}, "0 of 3"),
        ({"date": "2026-06-03"}, "0 of 3"),
    ],
)
def test_a_role_has_signed_with_name_and_date(
    phone: Phone, page: Path, said: dict[str, str], signed: str
) -> None:
    """As readback has it, which names the one that is missing."""
    phone.open(page).enter({f"BX-1/{what}/verifier": text for what, text in said.items()})
    assert phone.text("#parts a:last-child").split("\n") == ["Signed", signed]
    (box,) = readback([phone.export("export-one", "walk-BX-1.json")], EXAMPLES / "bakery").boxes
    assert {name for name in box.unsigned if name.endswith("/verifier")} == {
        f"BX-1/{what}/verifier" for what in ("sign", "date") if what not in said
    }

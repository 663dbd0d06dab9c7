"""A sign says all that it must, in letters as high as asked for, or it is not printed."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.draw.marks import Page, Text, flat
from tagmaker.job.model import Job, PressureTest, SystemRow
from tagmaker.measures import Mass, Pressure
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where
from tagmaker.sheets.sign import check_signs, sign_pages
from tests.measured import on_stocks
from tests.quantities import measure
from tests.records import replace
from tests.sheets.printed import faults
from tests.strategies import BoxSketch, JobSketch, UnitSketch, stock_named, words

FACTS = {
    "refrigerant": "R-32",
    "weighed_in": measure(Mass, "42.6 lb"),
    "installer": "Northgate Works",
    "lubricant": "2 qt of oil",
    "test": PressureTest(pressure=measure(Pressure, "550 psi")),
}
ABSENT = {"test": PressureTest(), "weighed_in": None}
NAMES = {"test": "test.pressure"}
LEAST = 13.0  # mm: UFGS, section on direct-expansion equipment, read in a copy


def job_with(stock: str = "letter", **facts: object) -> Job:
    """A job of one system with these facts, its signs on that stock."""
    job = JobSketch((BoxSketch("BB-1", 4, (UnitSketch("FC-1", "A", "12 kBtu/h"),)),)).record()
    row = replace(SystemRow("HR-1", Where("job.toml", 9)), **(FACTS | facts))
    boxes = tuple(replace(box, system="HR-1") for box in job.boxes)
    return replace(on_stocks(job, {"sign": stock_named(stock)}), boxes=boxes, systems=(row,))


def signs(job: Job) -> tuple[list[Page], list[Problem]]:
    """The signs of a job and what is reported of them."""
    plan, _ = plan_job(job)
    pages, problems = sign_pages(job, plan.systems, job.prints.stocks["sign"], words())
    return pages, [*problems, *check_signs(job, plan.systems)]


def said(page: Page) -> str:
    """All texts of a sign in one line, its foot aside."""
    high = [mark.text for mark in flat(page.marks) if isinstance(mark, Text) and mark.size > LEAST]
    return " ".join(high).replace("\u00a0", " ")


@pytest.mark.parametrize("stock", ["letter", "a4"])
def test_a_sign_has_all_facts_in_letters_of_13_mm(stock: str) -> None:
    """Refrigerant and amount, lubricant, pressure, installer, and the warning of a flammable refrigerant."""
    (page,), problems = signs(job_with(stock))
    assert problems == []
    for text in (
        "HR-1", "R-32, GROUP A2L", "42.6 lb (19.3 kg)", "LUBRICANT 2 qt of oil",
        "FIELD TEST PRESSURE 550 psi", "INSTALLED BY Northgate Works", "WARNING - Risk of Fire.",
    ):  # fmt: skip
        assert text in said(page)
    assert faults([page], margin_mm=3.0, least_mm=1.5) == []


@pytest.mark.parametrize("key", list(FACTS))
def test_a_sign_without_a_fact_is_not_printed(key: str) -> None:
    """It would hang there as if it was whole; the key that is missing is reported."""
    absent: Any = {key: ABSENT.get(key, "")}
    pages, problems = signs(job_with(**absent))
    assert pages == []
    assert [each.code for each in problems] == ["sign-incomplete"]
    assert problems[0].message.endswith(f"not given: {NAMES.get(key, key)}")


def test_the_jobs_refrigerant_serves_its_systems() -> None:
    """One that only [job] names."""
    (page,), _ = signs(replace(job_with(refrigerant=""), refrigerant="R-410A"))
    assert "R-410A, GROUP A1" in said(page)


def test_a_metric_amount_comes_first_where_it_was_given_so() -> None:
    """19.3 kg are 42.5 lb: 19300 / 453.59237 = 42.549 [by hand]."""
    (page,), _ = signs(job_with(weighed_in=measure(Mass, "19.3 kg")))
    assert "19.3 kg (42.5 lb)" in said(page)


def test_signs_on_labels_are_as_high_as_fits_and_reported() -> None:
    """A label is lower than the specification asks: a warning says by how much, and what to name instead."""
    (page,), problems = signs(job_with("letter-10-102x51"))
    assert [each.code for each in problems] == ["letters-small"]
    assert "13 mm are asked for" in problems[0].message
    stock = stock_named("letter-10-102x51")
    (group,) = page.marks
    assert (page.width, page.height) == stock.page
    assert all(0 < mark.y < stock.label[1] for mark in group.marks)  # type: ignore[union-attr]
    assert "INSTALLED BY Northgate Works" in " ".join(m.text for m in group.marks)  # type: ignore[union-attr]


def test_much_refrigerant_asks_for_more_signs() -> None:
    """Above 50 kg, as the specification says."""
    assert signs(job_with(weighed_in=measure(Mass, "50 kg")))[1] == []
    assert [each.code for each in signs(job_with(weighed_in=measure(Mass, "50.1 kg")))[1]] == ["sign-more"]


def test_a_drafts_sign_says_so() -> None:
    """On top."""
    (page,), _ = signs(replace(job_with(), is_draft=True))
    assert said(page).startswith("DRAFT")


@given(st.text("Wil- ", min_size=1, max_size=60), st.text("Mx1 ", min_size=1, max_size=60))
@settings(max_examples=30, deadline=None)
def test_no_text_is_cut_or_lost(installer: str, lubricant: str) -> None:
    """Any text of the job's length is printed whole, in lower letters with a warning, or is a problem."""
    pages, problems = signs(job_with(installer=installer, lubricant=lubricant))
    if any(each.code == "text-too-long" for each in problems):
        return
    if not problems:
        for text in (installer, lubricant):
            assert " ".join(text.split()) in " ".join(said(pages[0]).split())
    assert pages or problems

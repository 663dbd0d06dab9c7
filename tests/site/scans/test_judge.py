"""Whether a scanned text belongs to the job, and exactly how a placard differs from the job of today."""

import pytest
from hypothesis import given, settings

from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.judge import Judge, Verdict
from tagmaker.tags.placard_text import placard_text
from tests.paths import EXAMPLES
from tests.records import replace
from tests.site.papers import LIBRARY, changed, library, placards, plan_of, sealed, tags_by_code
from tests.site.walks import plan_of as example_plan
from tests.strategies import JobSketch, UnitSketch, sketches

SHOP, B1, B2, HALL = LIBRARY.boxes[0].units


def judged(text: str, plan: Plan | None = None) -> Verdict:
    """A text against the library's job, or another."""
    plan = plan or library()
    return Judge(plan, tags_by_code(plan)).verdict(scan_of(text, ""))


def differences(seen: JobSketch, today: JobSketch = LIBRARY) -> tuple[str, ...]:
    """How the first placard of one job differs from the other job."""
    return judged(placards(plan_of(seen))[0], plan_of(today)).differences


# --- tags and unknown codes ---------------------------------------------------------------------------------


def test_every_tag_of_the_job_belongs() -> None:
    """In small letters too."""
    codes = tags_by_code(library())
    assert {judged(code).belongs for code in codes} == {True}
    assert {judged(code.lower()).belongs for code in codes} == {True}


@pytest.mark.parametrize(
    ("code", "belongs"),
    [
        ("SYSTEM HR-2 1/3 ARC-7 2 3F2A91C2", True),
        ("SYSTEM HR-2 1/3 - 2 3F2A91C2", None),
        ("SYSTEM HR-3 1/3 ARC-7 2 3F2A91C2", False),
        ("SYSTEM HR-2 1/3 ARC-8 2 3F2A91C2", False),
        ("RESPONSE HR-1 3/8 ARC-7 2 3F2A91C2 5D20A1B7", True),
        ("RESPONSE - 3/8 - 2 3F2A91C2 5D20A1B7", None),
        ("RESPONSE HR-1 3/8 ARC-8 2 3F2A91C2 5D20A1B7", False),
    ],
)
def test_pages_of_systems_and_response_tests_belong_by_job_and_system(
    code: str, *, belongs: bool | None
) -> None:
    """Another revision's too: which one it is, the code shows."""
    verdict = judged(code, example_plan(EXAMPLES / "clinic"))
    assert (verdict.belongs, verdict.is_wrong) == (belongs, belongs is False)


@pytest.mark.parametrize(
    "code",
    [
        "ZZ-9/A/LIQ",
        "BB-1/A/LIQ/FC-99",
        "BB-1/C/COM",
        "BB-1/F/COM",
        "BB-1/I/TRM",
        "BB-1/LOC",
        "4006381333931",
        "https://example.org/",
    ],
)
def test_what_does_not_match_the_job_is_wrong(code: str) -> None:
    """A tag that the job does not have, and a code of anything else: it may be a tag that cannot be read."""
    verdict = judged(code)
    assert (verdict.belongs, verdict.differences, verdict.is_wrong) == (False, (), True)


def test_an_unknown_code_is_wrong_without_a_job_too() -> None:
    """Nobody knows what it should have been."""
    assert Judge(None, {}).verdict(scan_of("4006381333931", "")).is_wrong


@pytest.mark.parametrize("text", [*placards(library()), "BB-1/A/LIQ"])
def test_without_a_job_nothing_is_judged(text: str) -> None:
    """Neither of it nor not, and nothing wrong."""
    verdict = Judge(None, {}).verdict(scan_of(text, ""))
    assert (verdict.belongs, verdict.differences, verdict.is_wrong) == (None, (), False)


# --- placards -----------------------------------------------------------------------------------------------


def test_todays_placards_do_not_differ() -> None:
    """Every box of the job."""
    verdicts = [judged(text) for text in placards(library())]
    assert [(each.belongs, each.differences, each.is_wrong) for each in verdicts] == [(True, (), False)] * 2


def test_a_boxs_tag_is_known_in_any_case() -> None:
    """As tags are unique without regard to case."""
    seen = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], tag="bb-1"), LIBRARY.boxes[1]))
    assert differences(seen) == ()


def test_a_placard_of_no_box_of_the_job_is_wrong() -> None:
    """It hangs where it says nothing true."""
    verdict = judged(sealed("BOX ZZ-9 REV 2\nONLY A: BANK 1 ON none\nkW: A 1/2\n"))
    assert (verdict.belongs, verdict.is_wrong) == (False, True)
    assert verdict.differences == ("the job has no box ZZ-9",)


@pytest.mark.parametrize("plan", [None, library()])
def test_a_damaged_placard_is_wrong_with_or_without_a_job(plan: Plan | None) -> None:
    """It says so, and not what its settings might be."""
    verdict = Judge(plan, {}).verdict(scan_of(placards(library())[0].replace("ON 3 4", "ON 1 2"), ""))
    assert verdict.is_wrong
    assert verdict.differences == ("its CRC does not match: the text is damaged or was altered",)


def test_an_older_revision_is_named() -> None:
    """Both revisions; its settings may be the same."""
    assert differences(replace(LIBRARY, revision="1")) == (
        "the placard is of revision 1, the job of revision 2",
    )


def test_a_placard_of_another_number_is_of_another_job() -> None:
    """A box of the same tag there: it does not belong, and its settings are not compared."""
    seen = replace(changed(LIBRARY, SHOP), number="XX-1", revision="1")
    verdict = judged(placards(plan_of(seen))[0])
    assert (verdict.belongs, verdict.is_wrong, verdict.age) == (False, True, "")
    assert verdict.differences == ("the placard is of job XX-1, not ML-24",)


def test_a_number_that_is_missing_on_one_side_leaves_the_job_unknown() -> None:
    """On the placard or in the job: it differs, and whether it belongs is not known."""
    unnumbered = replace(LIBRARY, number="")
    for seen, today in ((LIBRARY, unnumbered), (unnumbered, LIBRARY)):
        verdict = judged(placards(plan_of(seen))[0], plan_of(today))
        assert (verdict.belongs, verdict.is_wrong) == (None, True)
    assert judged(placards(plan_of(unnumbered))[0], plan_of(unnumbered)).belongs
    assert differences(replace(LIBRARY, number="")) == ("the placard is of job without number, not ML-24",)
    assert differences(LIBRARY, replace(LIBRARY, number="")) == (
        "the placard is of job ML-24, not without number",
    )


def test_a_load_is_named_with_its_port() -> None:
    """The settings are the same, one unit has grown: nothing else is told."""
    seen = changed(LIBRARY, replace(SHOP, capacity="9.5 kBtu/h"), B1, B2, HALL)
    assert differences(seen) == ("port A: the placard has 9.5/54, the job 12/54",)


def test_a_switch_is_named_with_its_board_and_bank() -> None:
    """A port that came into use: its switch is no longer ON, and its load is told."""
    seen = changed(LIBRARY, SHOP, B1, B2, HALL, UnitSketch("FC-9", "C", "12 kBtu/h"))
    assert differences(seen) == (
        "left board, Bank 1: the placard has ON 4, the job ON 3 4",
        "port C: the placard has 12/54, the job spare",
    )


def test_a_joined_pair_is_named_by_all_that_it_changes() -> None:
    """Its switch, both single ports that are gone, the pair that is new."""
    seen = changed(LIBRARY, SHOP, B1, B2, replace(HALL, port="E", capacity="50 kBtu/h"))
    assert differences(seen) == (
        "right board, Bank 1: the placard has ON 2 3 4, the job ON 3 4",
        "right board, Bank 2: the placard has no switch ON, the job ON 1",
        "port E+F: the placard has no such port, the job 72/108",
        "port E: the placard has 50/54, the job no such port",
        "port F: the placard has spare, the job no such port",
    )


def test_a_boards_place_and_letters_are_named() -> None:
    """The placard of a box of another size: boards that stand elsewhere or are not there."""
    twelve = replace(LIBRARY, boxes=(replace(LIBRARY.boxes[0], ports=12), LIBRARY.boxes[1]))
    told = differences(twelve)
    assert "right board: the placard does not have it with ports E to H" in told
    assert "middle board: the job has none" in told
    assert "port L: the placard has spare, the job no such port" in told
    assert "left board" not in " ".join(told)


def test_a_bank_more_or_less_is_named() -> None:
    """A box with other banks is another box, though the banks that it shares agree."""
    body = placards(library())[1].rpartition("CRC ")[0]
    more = sealed(body.replace("BANK 2 ON none", "BANK 2 ON none; BANK 3 ON none"))
    less = sealed(body.replace("BANK 1 ON 2 3 4; BANK 2 ON none", "BANK 1 ON 2 3 4"))
    assert more != less != placards(library())[1]
    assert judged(more).differences == ("only board, bank 3: the job has none",)
    assert judged(less).differences == ("only board, Bank 2: the placard does not have it",)


def test_another_unit_of_capacity_is_named() -> None:
    """Numbers of two units are not compared."""
    seen = replace(LIBRARY, capacity_unit="kW")
    assert differences(seen) == ("loads are in kW on the placard, in kBtu/h in the job",)


def test_the_banks_are_named_as_the_board_in_hand_has_them() -> None:
    """By the job's own names of its banks."""
    plan = library()
    named = replace(plan.boxes[0].row, bank_names=("S1", "S2"))
    job = replace(plan.job, boxes=(named, plan.job.boxes[1]))
    seen = changed(LIBRARY, B1, B2, HALL)
    verdict = judged(placards(plan_of(seen))[0], plan_job(job)[0])
    assert verdict.differences == (
        "left board, S1: the placard has ON 1 3 4, the job ON 3 4",
        "port A: the placard has spare, the job 12/54",
    )


@given(sketches((4, 6), most_boxes=1, most_units=2), sketches((4, 6), most_boxes=1, most_units=2))
@settings(max_examples=60, deadline=None)
def test_a_placard_differs_exactly_when_its_text_does(seen: JobSketch, today: JobSketch) -> None:
    """Of any two jobs: no difference is overlooked, none is made up."""
    plans = plan_of(seen), plan_of(today)
    texts = [placard_text(plan.job, plan.boxes[0]) for plan in plans]
    assert (texts[0] != texts[1]) == bool(differences(seen, today))
    assert differences(today, today) == ()

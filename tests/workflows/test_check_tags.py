"""Tags checked by photo: what a terminal's pictures show, by whom, and what is kept of it."""

import datetime as dt
import threading
from itertools import count
from pathlib import Path

import pytest

from tagmaker.problems import Problem
from tagmaker.workflows.check_tags import CODES_AT_MOST, TagAnswer, TagCheck, Visit, codes_in, session_name
from tagmaker.workflows.phone_marks import Phone
from tagmaker.workflows.readback import readback
from tagmaker.workflows.scan import Against, scan
from tests.desk.tag_photos import tags_photo
from tests.workflows.response_site import SITE

NOON = dt.datetime(2026, 6, 3, 12, tzinfo=dt.UTC)
CLOCK = count(1)
"""Minutes: each picture of these tests comes a minute after the one before."""
HALE, MOSS = Phone("0000000a", "R. Hale"), Phone("0000000b", "T. Moss")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of two boxes."""
    return SITE.write(tmp_path / "job")


def at(letter: str, *kinds: str, box: str = "BB-1") -> tuple[str, ...]:
    """The codes of a letter's tags."""
    return tuple(f"{box}/{letter}/{kind}" for kind in kinds)


def answered(
    check: TagCheck,
    codes: tuple[str, ...],
    before: TagAnswer | None = None,
    by: Phone = HALE,
    waited: dt.timedelta = dt.timedelta(seconds=5),
) -> TagAnswer:
    """The answer to a picture with these codes, added to an earlier one's, that waited so long."""
    came = NOON + dt.timedelta(minutes=next(CLOCK))
    answer = check.check(Visit(by, came - waited, came, before.codes if before else ()), codes)
    assert isinstance(answer, TagAnswer), answer
    return answer


ALL = ("TRM", "COM", "LIQ", "GAS")


def test_a_terminal_with_all_its_tags_agrees(job: Path) -> None:
    """In one picture, whatever the order of its codes."""
    answer = answered(TagCheck(job), at("A", "GAS", "COM", "TRM", "LIQ"))
    assert (answer.state, answer.place, answer.who) == ("agrees", "BB-1 A", "R. Hale")


def test_several_pictures_of_a_terminal_belong_together(job: Path) -> None:
    """What is missing is listed until its picture comes; the terminal's own tag may come last."""
    check = TagCheck(job)
    first = answered(check, at("A", "COM"))
    assert (first.state, first.first) == ("no terminal", "Photograph the terminal's tag too.")
    second = answered(check, at("A", "TRM"), first)
    assert (second.state, second.message) == ("incomplete", "Not seen yet: liquid line, gas line.")
    assert answered(check, at("A", "LIQ", "GAS"), second).state == "agrees"


def test_a_crossing_names_both_ends_and_what_to_do_first(job: Path) -> None:
    """In one message: it may be the tags that are exchanged, not the cables."""
    answer = answered(TagCheck(job), (*at("B", "TRM", "LIQ", "GAS"), "BB-1/C/COM"))
    assert (answer.state, answer.place) == ("crossed", "BB-1 B")
    assert f"{answer.message}: {answer.first}" == (
        "tags disagree at B and C: isolate and prove dead, ring out both, then move the cable or the tag, "
        "whichever is wrong"
    )


def test_a_cable_on_a_spare_terminal_is_reported_in_its_own_words(job: Path) -> None:
    """There is no other end to name."""
    answer = answered(TagCheck(job), at("D", "TRM", "COM"))
    assert (answer.state, answer.message) == ("crossed", "cable tagged BB-1 D at terminal BB-1 D")
    assert answer.first.startswith("land no cable on a spare terminal: isolate power, prove it dead")


def test_a_crossing_of_two_boxes_names_both(job: Path) -> None:
    """Each end with its box."""
    answer = answered(TagCheck(job), (*at("B", "TRM"), "BB-2/A/COM"))
    assert answer.message == "tags disagree at BB-1 B and BB-2 A"


def test_a_crossed_pipe_is_traced_and_never_cut(job: Path) -> None:
    """No cable is named where none is crossed."""
    answer = answered(TagCheck(job), (*at("B", "TRM", "COM", "GAS"), "BB-1/C/LIQ"))
    assert answer.first == "trace the pipes to their units; never cut a pipe because of a tag"


@pytest.mark.parametrize("letter", ["B", "C"])
def test_both_ends_of_a_crossing_are_crossed_whoever_looks(job: Path, letter: str) -> None:
    """Two people at two terminals, each sees it with both ends."""
    check = TagCheck(job)
    other = "C" if letter == "B" else "B"
    answered(check, (*at(other, "TRM", "LIQ", "GAS"), f"BB-1/{letter}/COM"), by=MOSS)
    answer = answered(check, (*at(letter, "TRM", "LIQ", "GAS"), f"BB-1/{other}/COM"))
    assert (answer.state, answer.message) == ("crossed", f"tags disagree at {letter} and {other}")
    assert [(each.state, each.who) for each in check.last_ones(9)] == [
        ("crossed", "R. Hale"),
        ("crossed", "T. Moss"),
    ]


def test_a_corrected_crossing_agrees_only_when_all_is_seen_again(job: Path) -> None:
    """Half a look clears nothing."""
    check = TagCheck(job)
    answered(check, (*at("B", "TRM"), "BB-1/C/COM"))
    assert answered(check, at("B", "TRM", "COM")).state == "crossed"
    assert answered(check, at("B", *ALL)).state == "agrees"


CROSSED_B = (*at("B", "TRM", "LIQ", "GAS"), "BB-1/C/COM")
HOURS, MINUTES = dt.timedelta(hours=3), dt.timedelta(minutes=10)


@pytest.mark.parametrize("by", [HALE, MOSS])
def test_a_picture_from_before_a_crossing_was_found_does_not_clear_it(job: Path, by: Phone) -> None:
    """Taken ten minutes before, and sent after it: by the same phone or another one, today or read again."""
    check = TagCheck(job)
    answered(check, CROSSED_B, by=MOSS)
    assert answered(check, at("B", *ALL), by=by, waited=MINUTES).state == "crossed"
    assert answered(TagCheck(job), at("B", "TRM"), by=by).state == "crossed"
    assert answered(check, at("B", *ALL), by=by).state == "agrees"


def test_an_old_picture_makes_nothing_right(job: Path) -> None:
    """It is answered with its own time; the next picture begins a visit of its own."""
    check = TagCheck(job)
    answer = answered(check, at("A", *ALL), waited=HOURS)
    assert (answer.state, answer.place, answer.codes, answer.ends) == ("old picture", "", (), True)
    assert answer.message.startswith("Taken on 2026-06-03 at ")
    assert check.last_ones(9) == []
    results = readback([job / "returned"], job).scans.results
    assert [each.result for each in results][:2] == ["missing", "not scanned"]
    assert answered(check, at("A", *ALL), answer).state == "agrees"


def test_what_an_old_picture_shows_crossed_counts_until_a_later_one(job: Path) -> None:
    """Nobody knows whether the cable was moved since."""
    check = TagCheck(job)
    answer = answered(check, CROSSED_B, waited=HOURS)
    assert (answer.state, answer.place, answer.ends) == ("crossed", "BB-1 B", True)
    assert "this does not show how the terminal is now. Take new pictures" in answer.lines[-1]
    assert answered(check, at("B", *ALL), waited=2 * HOURS).state == "crossed"
    assert answered(check, at("B", *ALL)).state == "agrees"


def test_a_picture_from_before_any_clock_is_of_an_unknown_time(job: Path) -> None:
    """It counts as the oldest; what it shows crossed counts as the newest."""
    check = TagCheck(job)
    assert answered(check, at("B", *ALL)).state == "agrees"
    answer = answered(check, at("B", *ALL), waited=dt.timedelta(days=20_000))
    assert (answer.state, answer.message.partition(":")[0]) == ("old picture", "Taken at an unknown time")
    assert answered(check, CROSSED_B, waited=dt.timedelta(days=20_000)).state == "crossed"
    assert answered(TagCheck(job), at("B", "TRM")).state == "crossed"


def test_a_picture_from_the_future_is_of_the_time_at_which_it_came(job: Path) -> None:
    """A clock that is ahead clears nothing that is found later."""
    check = TagCheck(job)
    assert answered(check, at("B", *ALL), waited=-HOURS).state == "agrees"
    answered(check, CROSSED_B, by=MOSS)
    assert answered(TagCheck(job), at("B", "TRM")).state == "crossed"


def test_all_pictures_of_a_visit_are_as_old_as_its_oldest(job: Path) -> None:
    """The page sends that time with each: what was seen in the first may have been moved since."""
    check = TagCheck(job)
    first = answered(check, at("B", "TRM", "COM"), waited=dt.timedelta())
    answered(check, CROSSED_B, by=MOSS)
    assert answered(check, at("B", "LIQ", "GAS"), first, waited=MINUTES).state == "crossed"


def test_two_terminals_in_one_picture_count_for_nothing(job: Path) -> None:
    """Nobody knows what is connected to which."""
    check = TagCheck(job)
    answer = answered(check, (*at("A", *ALL), *at("B", "TRM", "COM")))
    assert (answer.state, answer.place) == ("several terminals", "")
    assert check.last_ones(9) == []


@pytest.mark.parametrize(("codes", "state"), [
    ((), "no code"), (("hello",), "unknown"), (("BB-9/A/TRM",), "unknown"), (("BB-1/LOC",), "unknown"),
])  # fmt: skip
def test_what_is_no_terminal_of_the_job_is_reported(job: Path, codes: tuple[str, ...], state: str) -> None:
    """And is no terminal's result."""
    answer = answered(TagCheck(job), codes)
    assert (answer.state, answer.place) == (state, "")


def test_a_job_with_errors_is_compared_with_nothing(tmp_path: Path) -> None:
    """What was seen is kept all the same."""
    job = SITE.write(tmp_path / "job")
    (job / "job.toml").write_text("[job]\n", "utf-8")
    assert answered(TagCheck(job), at("A", *ALL)).state == "not compared"
    assert "BB-1/A/COM" in (job / "returned" / session_name(HALE)).read_text("utf-8")


def test_who_saw_what_and_when_is_kept_as_a_session_that_scan_reads(job: Path) -> None:
    """Name and time are a remark: no code, and nothing of it counts."""
    check = TagCheck(job)
    answered(check, at("A", *ALL))
    answered(check, at("B", "COM"))
    file = job / "returned" / session_name(HALE)
    lines = file.read_text("utf-8").splitlines()
    assert lines[0].startswith("# 20")
    assert lines[0].endswith(" R. Hale")
    assert lines[1:5] == list(at("A", *ALL))
    assert lines[5].endswith(" R. Hale: not counted: BB-1/B/COM")
    found = scan([file], Against(job), None, (), lambda _answer: None)
    assert not found.is_wrong
    assert [each.result for each in found.results][:2] == ["agree", "not scanned"]


def test_the_desk_started_again_knows_what_was_seen(job: Path) -> None:
    """From the phones' files; a hand scanner's session counts too."""
    answered(TagCheck(job), (*at("B", "TRM"), "BB-1/C/COM"))
    (job / "returned" / "scans-2026-11-26-01.txt").write_text("BB-1/A/TRM\nBB-1/B/COM\n", "utf-8")
    check = TagCheck(job)
    assert answered(check, at("B", "TRM", "COM")).state == "crossed"
    assert answered(check, at("A", "TRM", "COM")).message == "tags disagree at A and B"


def test_readback_has_the_crossing_of_a_photo(job: Path) -> None:
    """As of any session of scanning."""
    answered(TagCheck(job), (*at("B", "TRM", "LIQ", "GAS"), "BB-1/C/COM"))
    found = readback([job / "returned"], job)
    assert [item.place for item in found.scans.crossed] == ["port B"]
    assert found.problems == ()


def test_a_photo_given_to_scan_clears_nothing_and_makes_nothing_right(job: Path) -> None:
    """Its codes have no order, whenever it was taken: no terminal is known for them."""
    answered(TagCheck(job), CROSSED_B)
    photo = job / "returned" / "photo.jpg"
    photo.write_bytes(tags_photo(*at("B", *ALL), *at("A", *ALL), size=(1800, 1100), plain=True))
    files = [job / "returned" / session_name(HALE), photo]
    found = scan(files, Against(job), None, (), lambda _answer: None)
    assert [verdict.scan.source for verdict in found.verdicts].count("photo.jpg") == len(2 * ALL)
    assert [each.result for each in found.results][:2] == ["not scanned", "crossed"]


def test_a_name_cannot_be_a_code_of_the_session(job: Path) -> None:
    """Whatever a person is called."""
    check = TagCheck(job)
    answered(check, at("A", *ALL), by=Phone("0000000c", "BB-1/B/TRM"))
    found = scan(
        [job / "returned" / "scans-phone-0000000c.txt"], Against(job), None, (), lambda _answer: None
    )
    assert [each.result for each in found.results].count("agree") == 1


def test_a_full_disk_is_a_problem_and_counts_for_nothing(job: Path) -> None:
    """A folder in the file's place stands for it."""
    (job / "returned" / session_name(HALE)).mkdir(parents=True)
    check = TagCheck(job)
    assert isinstance(check.check(Visit(HALE, NOON, NOON), at("A", *ALL)), Problem)
    assert check.last_ones(9) == []


def test_codes_of_a_visit_are_bounded(job: Path) -> None:
    """A wall of codes fills nothing up, and none of it counts: one that is left out might be crossed."""
    wall = tuple(f"X-{number}" for number in range(CODES_AT_MOST - 4))
    for more in (("BB-1/C/COM",), tuple(f"Y-{number}" for number in range(1_000))):
        answer = answered(TagCheck(job), (*at("A", *ALL), *wall, *more))
        assert (answer.state, answer.codes) == ("several terminals", ())
        assert answer.message == "More than 40 codes: those of one terminal are fewer. Nothing counts."
    assert not (job / "returned").exists()
    assert answered(TagCheck(job), (*at("A", *ALL), *wall)).state == "agrees"


def test_several_people_at_once_are_each_answered_for_their_own(job: Path) -> None:
    """Their codes never mix."""
    check = TagCheck(job)
    found: dict[str, str] = {}

    def person(letter: str, number: int) -> None:
        phone = Phone(f"{number:08x}", letter)
        answer = answered(check, at(letter, "TRM"), by=phone)
        found[letter] = answered(check, at(letter, "COM", "LIQ", "GAS"), answer, by=phone).state

    threads = [threading.Thread(target=person, args=(letter, at_)) for at_, letter in enumerate("ABC")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == dict.fromkeys("ABC", "agrees")


def test_the_codes_of_a_photo_are_all_read() -> None:
    """Four labels in perspective with noise; what is no picture is none."""
    codes = at("A", *ALL)
    assert sorted(codes_in(tags_photo(*codes)) or ()) == sorted(codes)
    assert codes_in(tags_photo()) == ()
    assert codes_in(b"%PDF-1.7") is None
    assert codes_in(tags_photo(*codes)[:5_000]) is None

"""What phones enter is written to files of their own; nothing that somebody else has there is lost."""

from pathlib import Path

import pytest

from tagmaker.plan.model import Plan
from tagmaker.tags.walk import printed_for
from tagmaker.workflows import phone_response
from tagmaker.workflows.phone_marks import Change, Marks, Phone
from tagmaker.workflows.phone_walk import walk_marks
from tests.records import replace
from tests.site.walks import SITE, plan_of

PHONE = Phone("0123abcd", "R. Hale")
NAME = "walk-phone-0123abcd.json"
NOW = 1_790_000_000_000


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of its own, in which phones write."""
    return SITE.write(tmp_path / "job")


def entered(marks: Marks, plan: Plan, field: str, *, value: bool | str = True) -> None:
    """One entry of the phone."""
    box = next(each for each in plan.boxes if field.startswith(f"{each.row.key}/"))
    change = Change(box.row.key, field, value, NOW, printed_for(plan.job, box))
    synced = marks.sync(PHONE, [change], "", 0)
    assert getattr(synced, "refused", None) == {}


def names(job: Path) -> list[str]:
    """The files that came back."""
    return sorted(path.name for path in (job / "returned").iterdir())


@pytest.mark.parametrize("damage", [b"", b"{", b'"device": {"id": "ffffffff"'])
def test_a_file_that_cannot_be_taken_up_is_kept_beside_the_new_one(job: Path, damage: bytes) -> None:
    """Cut off by a copy, or another phone's under this name: a day on site may still be in it."""
    plan = plan_of(job)
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/A/pipe/ok")
    file = job / "returned" / NAME
    content = file.read_bytes()
    broken = content.replace(b'"device": {\n  "id": "0123abcd"', damage) if damage else content[:-9]
    assert broken != content
    file.write_bytes(broken)
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/B/pipe/ok")
    assert names(job) == ["walk-phone-0123abcd-kept-1.json", NAME]
    assert (job / "returned" / "walk-phone-0123abcd-kept-1.json").read_bytes() == broken


def test_a_file_that_somebody_changed_meanwhile_is_kept_too(job: Path) -> None:
    """What the desk wrote or took up itself is replaced: the new file has all of it."""
    plan = plan_of(job)
    marks = Marks(job, walk_marks(plan))
    file = job / "returned" / NAME
    entered(marks, plan, "BB-1/port/A/pipe/ok")
    entered(marks, plan, "BB-1/port/B/pipe/ok")
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/E/pipe/ok")
    assert names(job) == [NAME]
    marks = Marks(job, walk_marks(plan))
    entered(marks, plan, "BB-1/sign/verifier", value="R. Hale")
    changed = file.read_bytes().replace(b"R. Hale", b"T. Moss")
    file.write_bytes(changed)
    entered(marks, plan, "BB-1/date/verifier", value="2026-06-03")
    assert (job / "returned" / "walk-phone-0123abcd-kept-1.json").read_bytes() == changed


def test_a_copy_of_an_earlier_day_does_not_take_the_place_of_the_file(job: Path) -> None:
    """Handed in beside it, it gets the next number, which is also the name of a phone's second file."""
    plan, returned = plan_of(job), job / "returned"
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/A/pipe/ok")
    early = (returned / NAME).read_bytes()
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/B/pipe/ok")
    second = returned / "walk-phone-0123abcd-2.json"
    second.write_bytes(early)
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/E/pipe/ok")
    assert all(f"BB-1/port/{letter}/pipe/ok".encode() in (returned / NAME).read_bytes() for letter in "ABE")
    assert second.read_bytes() == early


def test_a_copy_is_kept_where_a_phone_writes_a_file_of_its_name(job: Path) -> None:
    """A phone's second file is begun with the next revision: what only the copy has is not lost."""
    plan, returned = plan_of(job), job / "returned"
    entered(Marks(job, walk_marks(plan)), plan, "BB-1/port/A/pipe/ok")
    second = returned / "walk-phone-0123abcd-2.json"
    copy = (returned / NAME).read_bytes().replace(b"port/A/pipe/ok", b"port/B/pipe/ok")
    second.write_bytes(copy)
    revised = plan_of(replace(SITE, revision="3").write(job))
    entered(Marks(job, walk_marks(revised)), revised, "BB-1/port/E/pipe/ok")
    assert names(job) == ["walk-phone-0123abcd-2-kept-1.json", second.name, NAME]
    assert (returned / "walk-phone-0123abcd-2-kept-1.json").read_bytes() == copy


def test_two_desks_on_one_folder_lose_nothing(job: Path) -> None:
    """What the other desk wrote since this one read the folder is kept beside this one's file."""
    plan, returned = plan_of(job), job / "returned"
    one = Marks(job, walk_marks(plan))
    entered(one, plan, "BB-1/port/A/pipe/ok")
    two = Marks(job, walk_marks(plan))
    entered(one, plan, "BB-1/port/B/pipe/ok")
    both = (returned / NAME).read_bytes()
    entered(two, plan, "BB-1/port/E/pipe/ok")
    assert (returned / "walk-phone-0123abcd-kept-1.json").read_bytes() == both


def test_a_table_that_somebody_corrected_is_kept_beside_the_new_one(job: Path) -> None:
    """Its desk was started again: one that nobody touched is written again, as the hidden file has it all."""
    (test, *_), returned = phone_response.tests_of(plan_of(job), job / "returned"), job / "returned"
    for number, line in enumerate(test.lines[:3]):
        marks = Marks(job, phone_response.response_marks([test]))
        marks.sync(PHONE, [Change(test.plan, f"{line.field}1", "H", NOW)], "", 0)
        table = returned / f"response-phone-{PHONE.id}-{test.plan}.csv"
        assert len(names(job)) == (3 if number == 2 else 2)
        if number == 1:
            table.write_bytes(corrected := table.read_bytes().replace(b",H", b",C"))
    assert (returned / f"{table.stem}-kept-1.csv").read_bytes() == corrected

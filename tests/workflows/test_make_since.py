"""Sets that go on from an earlier one: what changed is printed, and each thing keeps its own revision."""

import csv
import datetime as dt
import json
from pathlib import Path

import pypdfium2
import pytest

from tagmaker.problems import Severity
from tagmaker.revisions.order import is_before
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import changes as comparing
from tagmaker.workflows import check, make
from tagmaker.workflows.make import Made
from tagmaker.workflows.scan import Against, Scanned, scan
from tests.files.sets import put
from tests.records import replace
from tests.strategies import JobSketch, UnitSketch
from tests.workflows.jobs import GOOD, JOB, OTHER, UNPROVED, codes, contents, rows

# --- since an earlier set -----------------------------------------------------------------------------------

GROWN = replace(
    JOB,
    revision="P03",
    boxes=(replace(GOOD, units=(*GOOD.units, UnitSketch("FC-9", "D"))), OTHER),
)
LATER = replace(GROWN, revision="P04", boxes=(GROWN.boxes[0], replace(OTHER, place="Roof")))

LABELS = "tags-letter-30-67x25.pdf"
MARGIN_MM = 12.7  # above the labels of that stock


def made(sketch: JobSketch, tmp_path: Path, name: str, since: str = "", **more: object) -> Made:
    """A job made into a folder of that name, on from the set in another."""
    earlier = tmp_path / since / "plan.json" if since else None
    part = more.get("part")
    selection = part if isinstance(part, Selection) else Selection()
    selection = replace(selection, proof=False, since=earlier, prints_all=bool(more.get("prints_all")))
    return make.make(
        sketch.write(tmp_path / "jobs" / name),
        tmp_path / name,
        selection,
    )


def codes_printed(out: Path) -> dict[str, str]:
    """The printed labels' codes with their revisions, by the register."""
    return {row[0]: row[8] for row in rows(out)}


def revisions(out: Path) -> dict[str, str]:
    """Every tag's revision, by plan.json."""
    return {tag["code"]: tag["revision"] for tag in json.loads((out / "plan.json").read_bytes())["tags"]}


def test_an_update_prints_only_what_changed_and_the_list_to_take_along(tmp_path: Path) -> None:
    """The register has exactly the tags to put on; sheets of the box that is as it was are not printed."""
    made(JOB, tmp_path, "one")
    update = made(GROWN, tmp_path, "two", "one")
    changes = comparing.changes(tmp_path / "one", tmp_path / "jobs" / "two").changes
    assert changes is not None
    on = [tag.code for box in changes.boxes for tag in box.tags_on]
    off = [tag.code for box in changes.boxes for tag in box.tags_off]
    assert sorted(codes_printed(tmp_path / "two")) == sorted(on) != []
    assert codes(update) == []
    hung = [code for code in codes_printed(tmp_path / "one") if code not in off]
    assert sorted([*hung, *on]) == sorted(revisions(tmp_path / "two"))
    pages = dict(update.files)
    assert (pages["placards.pdf"], pages["changes.pdf"], update.boxes) == (1, 2, 1)
    plan = json.loads((tmp_path / "two" / "plan.json").read_bytes())
    assert (plan["partial"], plan["part"]["since"]) == (True, "P02")


def test_a_set_that_was_changed_by_hand_starts_no_update(tmp_path: Path) -> None:
    """One revision in its plan.json: nothing is written, nothing compared, no placard judged by it."""
    made(JOB, tmp_path, "one")
    path = tmp_path / "one" / "plan.json"
    path.write_bytes(path.read_bytes().replace(b'"revision": "P02"', b'"revision": "P01"', 1))
    update = made(GROWN, tmp_path, "two", "one")
    assert (codes(update), (tmp_path / "two").exists()) == (["plan-unreadable"], False)
    assert comparing.changes(tmp_path / "one", tmp_path / "jobs" / "two").changes is None
    assert [each.code for each in scanned_since(tmp_path).problems] == ["plan-unreadable"]


def test_a_set_of_an_earlier_version_is_used_with_a_warning(tmp_path: Path) -> None:
    """It has no digests: whether it was changed cannot be known, and that is said wherever it is used."""
    made(JOB, tmp_path, "one")
    path = tmp_path / "one" / "plan.json"
    content = json.loads(path.read_bytes())
    del content["digests"], content["job"]["refrigerant"]
    path.write_text(json.dumps(content), encoding="utf-8")
    update = made(GROWN, tmp_path, "two", "one")
    assert (codes(update), update.files != ()) == (["plan-unproved"], True)
    compared = comparing.changes(tmp_path / "one", tmp_path / "jobs" / "two")
    assert [each.code for each in compared.problems] == ["plan-unproved"]
    checked = check.check(tmp_path / "jobs" / "two", Selection(since=path))
    assert [each.code for each in checked.problems] == ["plan-unproved"]
    assert [each.code for each in scanned_since(tmp_path).problems] == ["plan-unproved"]


def scanned_since(tmp_path: Path) -> Scanned:
    """Nothing scanned, against the second job and the first set."""
    against = Against(tmp_path / "jobs" / "two", tmp_path / "one" / "plan.json")
    return scan([Path("-")], against, None, [], lambda _answer: None)


def test_three_revisions_keep_each_tags_own(tmp_path: Path) -> None:
    """In plan.json from update to update, and in the register of the whole set printed anew."""
    made(JOB, tmp_path, "one")
    made(GROWN, tmp_path, "two", "one")
    made(LATER, tmp_path, "three", "two")
    whole = made(LATER, tmp_path, "whole", "two", prints_all=True)
    found = revisions(tmp_path / "three")
    assert found == revisions(tmp_path / "whole") == codes_printed(tmp_path / "whole")
    assert found["BB-1/A/TRM"] == found["BB-2/A/TRM"] == "P02"
    assert found["BB-1/D/TRM"] == found["BB-1/D/COM/FC-9"] == "P03"
    assert (codes_printed(tmp_path / "three"), codes(whole)) == ({}, [])
    assert "placards.pdf" in contents(tmp_path / "three")
    assert json.loads((tmp_path / "whole" / "plan.json").read_bytes())["partial"] is False


def test_the_whole_set_anew_has_each_placard_in_its_own_revision_and_date(tmp_path: Path) -> None:
    """A date that is not that revision's would be a lie."""
    first = replace(JOB, date=dt.date(2026, 5, 12))
    made(first, tmp_path, "one")
    made(replace(GROWN, date=dt.date(2026, 6, 9)), tmp_path, "whole", "one", prints_all=True)
    with pypdfium2.PdfDocument(tmp_path / "whole" / "placards.pdf") as document:
        texts = [page.get_textpage().get_text_range() for page in document]
    assert ["P03 · 2026-06-09" in text for text in texts] == [True, False]
    assert ["P02 · 2026-05-12" in text for text in texts] == [False, True]


def test_the_whole_set_anew_gives_the_first_sets_own_labels(tmp_path: Path) -> None:
    """Where nothing changed but the revision: in their sheets' margin alone is the new one printed."""
    made(JOB, tmp_path, "one")
    made(replace(JOB, revision="P09"), tmp_path, "whole", "one", prints_all=True)
    one, whole_ = contents(tmp_path / "one"), contents(tmp_path / "whole")
    assert {name for name in one if one[name] != whole_[name]} <= {
        "walk.pdf",
        "walk.html",
        "kits.pdf",
        "summary.pdf",
        "plan.json",
        LABELS,
    }
    first, second = (label_texts(tmp_path / name / LABELS) for name in ("one", "whole"))
    assert first == second
    assert len(first) > 0


def label_texts(pdf: Path) -> list[str]:
    """What is printed on the labels of a file, in order, the lines in the margins left out."""
    with pypdfium2.PdfDocument(pdf) as document:
        found = []
        for page in document:
            _, height = page.get_size()
            text_page = page.get_textpage()
            found.append(text_page.get_text_bounded(top=height - MARGIN_MM * 72 / 25.4))
    return found


def test_an_update_without_a_change_says_so(tmp_path: Path) -> None:
    """No labels, no sheets: the list, the register without a row, the plan."""
    made(JOB, tmp_path, "one")
    update = made(replace(JOB, revision="P03"), tmp_path, "two", "one")
    assert sorted(name for name, _ in update.files) == ["changes.pdf", "plan.json", "register.csv"]
    assert (update.tags, codes_printed(tmp_path / "two"), codes(update)) == (0, {}, [])


def test_a_strip_is_printed_whole_where_one_cell_of_it_changed(tmp_path: Path) -> None:
    """Its cells lie side by side in their places, unchanged ones in their own revision."""
    stocks = (("terminal", "tape-12-strip-300dpi"),)
    pitched = [replace(sketch, stocks=stocks) for sketch in (JOB, GROWN)]
    for name, since, sketch in (("one", "", pitched[0]), ("two", "one", pitched[1])):
        source = sketch.write(tmp_path / "jobs" / name)
        text = (source / "job.toml").read_text(encoding="utf-8")
        text = text.replace("[print]\n", '[print]\nterminal_pitch = "0.4 in"\n')
        (source / "job.toml").write_text(text, encoding="utf-8")
        earlier = tmp_path / since if since else None
        make.make(source, tmp_path / name, selection=Selection(proof=False, since=earlier))
    printed = {code: revision for code, revision in codes_printed(tmp_path / "two").items() if "/TRM" in code}
    assert printed == {
        "BB-1/A/TRM": "P02", "BB-1/B/TRM": "P02", "BB-1/C/TRM": "P02", "BB-1/D/TRM": "P03",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("part", "ports"),
    [
        (Selection(("BB-1",)), {"D"}),
        (Selection(("BB-2",)), set()),
        (Selection(only=("BB-1/D",)), {"D"}),
        (Selection(stage="final"), {"D"}),
        (Selection(kit="cables"), {"D"}),
        (Selection(skip=28), {"D"}),
        (Selection(blind=True), {"D"}),
    ],
)
def test_an_update_can_be_limited_further(part: Selection, ports: set[str], tmp_path: Path) -> None:
    """Each limit takes away of what changed; nothing is said of a revision that is not the same."""
    made(JOB, tmp_path, "one")
    update = made(GROWN, tmp_path, "two", "one", part=part)
    assert ports == ports_printed(tmp_path / "two")
    assert codes(update) == []
    assert ("changes.pdf" in contents(tmp_path / "two")) == part.has_sheets


def ports_printed(out: Path) -> set[str]:
    """The ports of the register."""
    with (out / "register.csv").open(encoding="utf-8", newline="") as file:
        return {row["port"] for row in csv.DictReader(file)}


def test_a_part_of_an_unchanged_job_is_no_change(tmp_path: Path) -> None:
    """The same revision, one box of two: nothing is to be done, and nothing is warned of."""
    made(JOB, tmp_path, "one")
    update = made(JOB, tmp_path, "two", "one", part=Selection(("BB-1",)))
    assert (codes(update), update.tags) == ([], 0)


def test_a_renamed_boxs_old_tags_come_off_in_a_part_too(tmp_path: Path) -> None:
    """On the list of that one box, though its old name is not in the job any more."""
    made(JOB, tmp_path, "one")
    renamed = replace(JOB, revision="P03", boxes=(replace(GOOD, tag="BB-9"), OTHER))
    made(renamed, tmp_path, "two", "one", part=Selection(("BB-9",)))
    with pypdfium2.PdfDocument(tmp_path / "two" / "changes.pdf") as document:
        text = "".join(page.get_textpage().get_text_range() for page in document)
    assert "BB-1 is now called BB-9" in text
    assert "every tag whose code begins with BB-1/" in text
    assert "BB-2" not in text


def test_a_plan_that_cannot_be_read_makes_nothing(tmp_path: Path) -> None:
    """For `check` it is an error too."""
    update = made(JOB, tmp_path, "two", "nowhere")
    assert (update.files, codes(update)) == ((), ["plan-unreadable"])
    assert not (tmp_path / "two").exists()
    source = JOB.write(tmp_path / "job")
    assert [each.code for each in check.check(source, Selection(since=tmp_path)).problems] == [
        "plan-unreadable"
    ]


def test_what_was_made_tells_what_is_left_of_the_last_sheet(tmp_path: Path) -> None:
    """And `skip` goes on there."""
    first = made(JOB, tmp_path, "one")
    (sheet,) = first.checked.part_used
    register = csv.DictReader(contents(tmp_path / "one")["register.csv"].decode().splitlines())
    pages = [int(row["page"]) for row in register]
    assert (sheet.stock, sheet.used) == ("letter-30-67x25", pages.count(max(pages)))
    assert len(pages) == first.tags
    assert sheet.used + sheet.left == 30
    on = made(GROWN, tmp_path, "two", "one", part=Selection(skip=sheet.used))
    (then,) = on.checked.part_used
    assert then.used == (sheet.used + on.tags) % 30


# --- the revision's discipline ------------------------------------------------------------------------------

SAID_OTHERWISE = replace(JOB, boxes=(replace(GOOD, place="Roof"), OTHER))


def test_a_job_that_says_something_else_in_the_same_revision_is_warned_of(tmp_path: Path) -> None:
    """By `check` with the set named or beside it, by `make` with the set named or replaced; never twice."""
    made(JOB, tmp_path, "one")
    source = SAID_OTHERWISE.write(tmp_path / "job")
    one = tmp_path / "one"
    for checked in (
        check.check(source, Selection(since=one)),
        check.check(source, beside=one),
        check.check(source, Selection(since=one), one),
        make.make(source, tmp_path / "two", selection=Selection(proof=False, since=one)).checked,
        make.make(source, one, selection=UNPROVED).checked,
    ):
        assert [(each.code, each.severity) for each in checked.problems] == [
            ("revision-unchanged", Severity.WARNING)
        ]


@pytest.mark.parametrize(
    "sketch", [JOB, replace(SAID_OTHERWISE, revision="P03"), replace(JOB, date=dt.date(2026, 6, 9))]
)
def test_the_same_job_or_another_revision_is_not(sketch: JobSketch, tmp_path: Path) -> None:
    """Rows inline or in a schedule, another date: the same job."""
    made(JOB, tmp_path, "one")
    source = sketch.write(tmp_path / "job", schedule="ports.csv")
    assert check.check(source, Selection(since=tmp_path / "one")).problems == ()
    assert check.check(source, beside=tmp_path / "one").problems == ()


def test_a_part_replaces_no_update(tmp_path: Path) -> None:
    """An update's plan.json is what the next one starts from; another update may replace it."""
    made(JOB, tmp_path, "one")
    made(GROWN, tmp_path, "update", "one")
    kept = (tmp_path / "update" / "plan.json").read_bytes()
    for part in (Selection(kit="lines"), Selection(("BB-1",)), Selection(only=("BB-1/A",))):
        for since in ("", "one"):
            refused = made(GROWN, tmp_path, "update", since, part=part)
            assert [each.code for each in refused.checked.problems] == ["output-whole"]
    assert (tmp_path / "update" / "plan.json").read_bytes() == kept
    assert made(LATER, tmp_path, "update", "one").files
    assert made(GROWN, tmp_path, "part", part=Selection(kit="lines")).files
    assert made(GROWN, tmp_path, "part", part=Selection(kit="box")).files


def test_a_set_of_another_job_in_the_folder_is_warned_of(tmp_path: Path) -> None:
    """It is replaced; its revision says nothing of this job's."""
    made(replace(JOB, number="X-1"), tmp_path, "one")
    (found,) = made(replace(JOB, number="X-2", revision="P01"), tmp_path, "one").checked.problems
    assert (found.code, found.severity) == ("plan-foreign", Severity.WARNING)
    assert found.message.startswith("the set in the output folder is of another job: X-1 ")


@pytest.mark.parametrize(
    ("revision", "day", "but"),
    [
        ("P02", 30, "its revision P02 is an earlier one"),
        ("P10", 1, "its date 2026-04-01 is before 2026-04-30"),
        ("C01", 30, ""),
    ],
)
def test_a_job_that_changed_is_no_earlier_revision(revision: str, day: int, but: str, tmp_path: Path) -> None:
    """Old and new sheets would be taken for each other."""
    made(replace(JOB, revision="P03", date=dt.date(2026, 4, 30)), tmp_path, "one")
    changed = replace(SAID_OTHERWISE, revision=revision, date=dt.date(2026, 4, day))
    found = check.check(changed.write(tmp_path / "job"), beside=tmp_path / "one").problems
    assert [each.code for each in found] == ["revision-unchanged"] * bool(but)
    assert not but or found[0].message == f"the job differs from the set of revision P03, but {but}"


def test_which_revision_is_before_another() -> None:
    """Numbers by their size, with the same letters before them; one letter by the alphabet; no two series."""
    for one, two in (("2", "10"), ("P01", "P03"), ("p1", "P02"), ("A", "B"), ("1", "002")):
        assert is_before(one, two)
        assert not is_before(two, one)
    for one, two in (("P03", "C01"), ("A", "1"), ("1", "01"), ("1.2", "1.10"), ("AB", "AC"), ("2", "P1")):
        assert not is_before(one, two)
        assert not is_before(two, one)


def test_a_box_of_the_job_is_not_compared_with_all_of_it(tmp_path: Path) -> None:
    """`--box` leaves the others out on purpose."""
    made(JOB, tmp_path, "one")
    for since, beside in ((tmp_path / "one", None), (None, tmp_path / "one")):
        assert (
            check.check(JOB.write(tmp_path / "job"), Selection(("BB-1",), since=since), beside).problems == ()
        )


def test_nothing_beside_the_job_is_nothing_to_compare_with(tmp_path: Path) -> None:
    """No set, a part of one, or something else by that name."""
    source = SAID_OTHERWISE.write(tmp_path / "job")
    made(JOB, tmp_path, "part", part=Selection(("BB-1",)))
    put(tmp_path / "other", {"plan.json": "{}"})
    for name in ("nowhere", "part", "other"):
        assert check.check(source, beside=tmp_path / name).problems == ()

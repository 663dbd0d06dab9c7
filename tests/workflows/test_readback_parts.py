"""What came back part by part: its result, and the files that it is in."""

from pathlib import Path

from tagmaker.plan.model import Plan
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.readback_parts import PartBack
from tests.site.walks import Values, filled, form, hand_in, only, phone, without


def parts(result: Readback, box: str) -> dict[tuple[str, str], PartBack]:
    """A box's parts by kind and place."""
    return {(each.kind, each.place): each for each in result.parts[box]}


def test_each_part_has_its_own_result(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """What is wrong is at its part alone; every board, and every letter's pipe, cable, tags and items."""
    result = readback(hand_in(tmp_path, site_plan, without(site_wrong, "BB-1/port/B/tags/ok")), site_job)
    found = parts(result, "BB-1")
    wrong = {part: each.result for part, each in found.items() if each.result != "as planned"}
    assert wrong == {
        ("switches", "left"): "differs",
        ("pipe", "A"): "differs",
        ("cable", "E"): "differs",
        ("tags", "B"): "not seen",
    }
    letters = [(kind, letter) for letter in "ABCDEF" for kind in ("pipe", "cable", "tags")]
    items = [("items", place) for place in ("", *"ABCE")]  # of a second letter and a spare none is asked
    assert list(found) == [("switches", "left"), ("switches", "right"), *letters, *items]


def test_parts_and_list_are_the_same_findings(site_plan: Plan, site_job: Path, tmp_path: Path) -> None:
    """Nothing came back: every part of every box is not seen, as the box is."""
    result = readback([tmp_path], site_job)
    for box in site_plan.boxes:
        assert {each.result for each in parts(result, box.row.key).values()} == {"not seen"}


def test_a_part_names_the_files_that_it_is_in(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Boards from one file, letters from another; a part that both have names both."""
    (tmp_path / "kim.json").write_text(
        phone(site_plan, only(site_right, ["BB-1/left/", "BB-1/port/A/"])), "utf-8"
    )
    (tmp_path / "max.json").write_text(phone(site_plan, only(site_right, ["BB-1/port/"])), "utf-8")
    found = parts(readback([tmp_path], site_job), "BB-1")
    names = {part: [Path(source).name for source in each.sources] for part, each in found.items()}
    assert names["switches", "left"] == ["kim.json"]
    assert names["switches", "right"] == []
    assert names["pipe", "A"] == ["kim.json", "max.json"]
    assert names["cable", "B"] == ["max.json"]


def test_a_contradiction_leaves_its_part_not_seen(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Of two files that differ neither counts, and the part must be looked at again."""
    (tmp_path / "kim.pdf").write_bytes(filled(form(site_plan), site_right))
    (tmp_path / "max.json").write_text(phone(site_plan, without(site_right, "BB-1/right/2/4")), "utf-8")
    found = parts(readback([tmp_path], site_job), "BB-1")
    assert found["switches", "right"].result == "not seen"
    assert len(found["switches", "right"].sources) == 2
    assert {each.result for part, each in found.items() if part != ("switches", "right")} == {"as planned"}

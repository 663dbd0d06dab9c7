"""Labels beside those of ports: of a box, of splitters on shared ports, of units and their controllers."""

import pytest

from tagmaker.job.model import Job, Mains
from tagmaker.revisions.issuing import tag_digest
from tagmaker.tags.builder import TagBuilder
from tagmaker.tags.extras import locator_tag, main_tags
from tagmaker.tags.model import Tag
from tests.measured import SMALL, all_tags, mains, on_stocks, sized
from tests.records import replace
from tests.strategies import first_box, stock_named, words

THREE = mains("3/4 in", "120 ft", liquid="3/4 in", suction="1-1/8 in", hot_gas="7/8 in")


def with_mains(given: Mains | None) -> Job:
    """The small job whose box has these mains."""
    job = SMALL.record()
    return replace(job, boxes=tuple(replace(box, mains=given, place="Corridor L2") for box in job.boxes))


def mains_of(given: Mains | None, *, is_rough_in: bool = False) -> list[Tag]:
    """The tags of those mains."""
    return main_tags(builder(with_mains(given), is_rough_in=is_rough_in))


def builder(job: Job, *, is_rough_in: bool = False) -> TagBuilder:
    """The builder of its box's tags."""
    return TagBuilder(job, first_box(job), words(), is_rough_in=is_rough_in)


def test_each_main_has_a_tag() -> None:
    """Liquid, suction and hot gas, each with its own code, kind and words, in the order of the job."""
    assert [(tag.code, tag.kind, tag.headline) for tag in mains_of(THREE)] == [
        ("BB-1/LIQ", "main-liquid", "MAIN LIQUID"),
        ("BB-1/SUC", "main-suction", "MAIN SUCTION"),
        ("BB-1/HOT", "main-hot-gas", "MAIN HOT GAS"),
    ]


def test_box_has_the_mains_that_it_gives() -> None:
    """A box that gives two mains has two tags; one that gives none has none."""
    assert [tag.code for tag in mains_of(mains(suction="1-1/8 in", liquid="3/4 in"))] == [
        "BB-1/SUC",
        "BB-1/LIQ",
    ]
    assert mains_of(None) == []


def test_mains_go_round_their_insulation() -> None:
    """1-1/8 in of tube in a wall of 3/4 in is 2.625 in; at the rough-in the tube is bare [by hand]."""
    said = [tag.outside.text for tag in mains_of(THREE) if tag.outside]
    assert said == ["2.25 in over insulation", "2.625 in over insulation", "2.375 in over insulation"]
    said = [tag.outside.text for tag in mains_of(THREE, is_rough_in=True) if tag.outside]
    assert said == ["3/4 in", "1-1/8 in", "7/8 in"]


def test_mains_without_a_wall_have_no_known_size() -> None:
    """Nobody assumes how thick the insulation is."""
    assert [tag.outside for tag in mains_of(mains(liquid="3/4 in"))] == [None]


@pytest.mark.parametrize(("is_rough_in", "use"), [(False, "pipe"), (True, "pipe_rough_in")])
def test_mains_take_the_stock_of_pipes(is_rough_in: bool, use: str) -> None:  # noqa: FBT001 — a case's column
    """Tie-on tags first, lasting tags over the insulation afterwards, as with every pipe."""
    assert {tag.stock_use for tag in mains_of(THREE, is_rough_in=is_rough_in)} == {use}


def test_mains_are_the_first_tags_of_their_box() -> None:
    """They are the largest pipes, and the first that hang there."""
    job = with_mains(THREE)
    codes = [tag.code for tag in all_tags(job)]
    assert codes[:4] == ["BB-1/LIQ", "BB-1/SUC", "BB-1/HOT", "BB-1/A/TRM"]
    assert [tag.code for tag in all_tags(job, "rough-in")][:3] == codes[:3]


def test_locator_says_which_box_is_above() -> None:
    """The box huge, "BOX ABOVE", where it hangs, and that this is for the ceiling."""
    job = with_mains(None)
    tag = locator_tag(builder(job))
    assert (tag.code, tag.kind, tag.big, tag.headline) == ("BB-1/LOC", "locator", "BB-1", "BOX ABOVE")
    assert (tag.remark, tag.end_text, tag.stock_use) == ("Corridor L2", "CEILING", "locator")


def test_locator_is_printed_only_where_a_stock_is_named_for_it() -> None:
    """A job that names none has no locator; one that does has one a box."""
    job = with_mains(None)
    asked = on_stocks(job, {"locator": stock_named("letter-30-67x25")})
    assert [tag.code for tag in all_tags(job) if tag.kind == "locator"] == []
    assert [tag.code for tag in all_tags(asked) if tag.kind == "locator"] == ["BB-1/LOC"]


def test_labels_of_a_box_have_no_port_and_no_unit() -> None:
    """They stand in the register without port and unit, at the box."""
    job = with_mains(THREE)
    tags = [*mains_of(THREE), locator_tag(builder(job))]
    assert {(tag.port, tag.units, tag.use, tag.end) for tag in tags} == {("", (), "", "box")}


def test_codes_of_a_job_are_unique_with_them() -> None:
    """No main's or locator's code is a port tag's."""
    job = on_stocks(with_mains(THREE), {"locator": stock_named("letter-30-67x25")})
    codes = [tag.code for tag in all_tags(job)]
    assert len(set(codes)) == len(codes)


def test_draft_is_told_on_them() -> None:
    """A draft's labels say so beside the revision."""
    job = replace(with_mains(THREE), is_draft=True, revision="P02")
    tags = main_tags(builder(job))
    tags += [locator_tag(builder(job))]
    assert {(tag.revision, tag.revision_text, tag.is_draft) for tag in tags} == {
        ("P02", "DRAFT REV P02", True)
    }


def test_labels_of_a_box_hang_at_it_warn_of_nothing_and_name_its_row() -> None:
    """A main's tag is at the box; none is a caution; what is wrong with one stands at the box's row."""
    job = with_mains(THREE)
    tags = [*mains_of(THREE), locator_tag(builder(job))]
    assert [tag.end_text for tag in tags] == ["AT THE BOX"] * 3 + ["CEILING"]
    assert [tag.remark for tag in tags] == ["main pipe to the box"] * 3 + ["Corridor L2"]
    assert {(tag.is_caution, tag.rooms, tag.where) for tag in tags} == {(False, (), job.boxes[0].where)}


# --- splitters, units, isolation points -------------------------------------------------------------------

LABELS = stock_named("letter-30-67x25")
MORE = frozenset({"splitter", "unit", "controller", "isolation"})


def more_tags(*uses: str, power: str = "Panel LP-1, circuit 6") -> list[Tag]:
    """The labels beside those of ports that the small job has where it names a stock for these uses."""
    job = on_stocks(SMALL.record(), dict.fromkeys(uses, LABELS))
    job = replace(job, boxes=tuple(replace(box, power=power) for box in job.boxes))
    return [tag for tag in all_tags(job) if tag.kind in MORE]


def test_nothing_more_is_printed_than_the_job_asks_for() -> None:
    """Without stocks for them no job has these labels: sets that were issued stay as they are."""
    assert more_tags() == []


def test_each_pipe_of_a_shared_port_is_labelled_at_its_splitter() -> None:
    """Both pipes of both units of A; C+D has one unit, and nothing divides there."""
    assert [(tag.code, tag.pipe, tag.headline, tag.units) for tag in more_tags("splitter")] == [
        ("BB-1/A/LIQ/FC-1/SPL", "liquid", "LIQUID", ("FC-1",)),
        ("BB-1/A/GAS/FC-1/SPL", "gas", "GAS", ("FC-1",)),
        ("BB-1/A/LIQ/FC-2/SPL", "liquid", "LIQUID", ("FC-2",)),
        ("BB-1/A/GAS/FC-2/SPL", "gas", "GAS", ("FC-2",)),
    ]
    assert {(tag.kind, tag.end_text, tag.stock_use) for tag in more_tags("splitter")} == {
        ("splitter", "AT SPLITTER", "splitter")
    }


def test_splitters_labels_go_round_the_units_own_pipe_over_its_insulation() -> None:
    """Also at the rough-in, when they are not printed: they are put on after the pressure test."""
    job = on_stocks(sized(SMALL, liquid="1/4 in", gas="1/2 in", insulation="3/4 in"), {"splitter": LABELS})
    for stage in ("", "rough-in"):
        tags = [tag for tag in all_tags(job, stage) if tag.kind == "splitter"]
        assert {(tag.pipe, tag.outside.text if tag.outside else "") for tag in tags} == {
            ("liquid", "1.75 in over insulation"),
            ("gas", "2 in over insulation"),
        }
        assert all(tag.is_late for tag in tags)


def test_units_and_their_controllers_have_a_label_each() -> None:
    """The unit is the huge text; box and the whole port are beside it."""
    assert [(tag.code, tag.big, tag.headline, tag.beside) for tag in more_tags("unit")][-2:] == [
        ("BB-1/C/UNT/AH-1", "AH-1", "INDOOR UNIT", "BB-1 · port C+D"),
        ("BB-1/C/CTL/AH-1", "AH-1", "CONTROLLER", "BB-1 · port C+D"),
    ]
    assert len(more_tags("unit")) == 2 * 3


def test_a_units_label_has_its_address_and_room() -> None:
    """As far as the job gives them."""
    job = on_stocks(SMALL.record(), {"unit": LABELS})
    given = replace(job, units=(replace(job.units[0], address="2-07", room="Library"), *job.units[1:]))
    first, *_ = [tag for tag in all_tags(given) if tag.kind == "unit"]
    assert (first.address, first.rooms) == ("address 2-07", ("Library",))


def test_an_isolation_point_is_labelled_with_its_box() -> None:
    """The box is the huge text, panel and circuit are beside it; and it is no lock."""
    (tag,) = more_tags("isolation")
    assert (tag.code, tag.big, tag.beside) == ("BB-1/ISO", "BB-1", "Panel LP-1, circuit 6")
    assert tag.remark.startswith("not a lock")
    assert not tag.is_caution


def test_an_isolation_point_that_is_not_given_has_no_label() -> None:
    """Nobody guesses where a box is isolated."""
    assert more_tags("isolation", power="") == []


def test_a_moved_isolation_point_changes_its_label() -> None:
    """The label at the old circuit must go: it says of a live box that it is isolated there."""
    (was,), (now,) = (more_tags("isolation", power=f"Panel LP-1, circuit {each}") for each in (6, 8))
    assert tag_digest(was) != tag_digest(now)

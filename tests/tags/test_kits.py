"""Which tags a box needs: what hangs at the box, on both ends of every cable, and at every unit."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.issuing import tag_digest
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tests.measured import all_tags, sized
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, jobs, one_box, sketches, tags, words
from tests.tables import table

SMALL = one_box(
    ("fc-1", "A", "12 kBtu/h"), ("FC-2", "A", "9 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"), tag="bb-1"
)
"""Four ports: two units share A, B is spare, C and D are joined."""


def tags_of(sketch: JobSketch) -> list[Tag]:
    """Every tag of every box of a job."""
    plan, _ = plan_job(sketch.record())
    return [tag for box in plan.boxes for tag in box_tags(plan.job, box, words())]


def plain(text: str) -> str:
    """A text with ordinary spaces: some words are kept together in print."""
    return text.replace("\u00a0", " ")


def tag_coded(code: str, sketch: JobSketch = SMALL) -> Tag:
    """The one tag of that code."""
    (tag,) = [tag for tag in tags_of(sketch) if tag.code == code]
    return tag


# --- which tags, in which order ----------------------------------------------------------------------------


def test_a_box_in_full() -> None:
    """Kits by letter, then each cable's two ends side by side, then the lines at the units."""
    assert [tag.code for tag in tags_of(SMALL)] == [
        *("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS"),
        *("BB-1/B/TRM", "BB-1/B/LIQ", "BB-1/B/GAS"),
        *("BB-1/C/TRM", "BB-1/C/LIQ", "BB-1/C/GAS"),
        *("BB-1/D/TRM", "BB-1/D/LIQ", "BB-1/D/GAS"),
        *("BB-1/A/COM", "BB-1/A/COM/FC-1"),  # terminal to the first unit
        *("BB-1/A/COM/FC-1/ON", "BB-1/A/COM/FC-2"),  # and on to the second
        *("BB-1/C/COM", "BB-1/C/COM/AH-1"),
        *("BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1", "BB-1/A/LIQ/FC-2", "BB-1/A/GAS/FC-2"),
        *("BB-1/C/LIQ/AH-1", "BB-1/C/GAS/AH-1"),
    ]


def test_kinds_ends_and_uses() -> None:
    """A tag's record says in words what its code says in letters."""
    what = {"LIQ": "liquid", "GAS": "gas", "COM": "cable", "TRM": "terminal"}
    use = {"A": "single", "B": "spare", "C": "joined", "D": "joined"}
    for tag in tags_of(SMALL):
        box, port, kind, *unit = tag.code.split("/")
        assert (box, port, what[kind], use[port]) == (tag.box.upper(), tag.port, tag.kind, tag.use)
        assert ("unit" if unit else "box") == tag.end


def expected_counts(box: BoxSketch) -> Counter[tuple[str, str]]:
    """How many tags of each kind and end a box needs, counted from its rows alone."""
    ports = {tuple(sorted(unit.port.upper().split("+"))) for unit in box.units}
    units, letters = len(box.units), box.ports
    return Counter(
        {
            ("terminal", "box"): letters,
            ("liquid", "box"): letters,
            ("gas", "box"): letters,
            ("cable", "box"): len(ports),
            ("cable", "unit"): 2 * units - len(ports),  # into every unit, and on from all but a port's last
            ("liquid", "unit"): units,
            ("gas", "unit"): units,
        }
    )


@given(sketches(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_every_end_has_its_tag(sketch: JobSketch) -> None:
    """Per letter a terminal and two stubs; per cable both ends; per unit two lines: none more or less."""
    counted = Counter((tag.kind, tag.end) for tag in tags_of(sketch))
    assert expected_counts(sketch.boxes[0]) == counted


@given(sketches(most_boxes=3), st.sampled_from(["ON", "COM", "LIQ", "A", "0"]))
@settings(max_examples=30, deadline=None)
def test_codes_are_unique_in_a_job(sketch: JobSketch, odd: str) -> None:
    """No two tags of a job have one code, even where a unit is named like a part of a code."""
    first, *others = sketch.boxes
    units = (replace(first.units[0], tag=odd), *first.units[1:])
    codes = [tag.code for tag in tags_of(replace(sketch, boxes=(replace(first, units=units), *others)))]
    assert len(set(codes)) == len(codes)


@given(tags(), tags())
@settings(max_examples=30, deadline=None)
def test_codes_stand_in_capitals(box: str, unit: str) -> None:
    """Codes are made of capitals, digits, hyphens and slashes; what people read keeps the job's own case."""
    for tag in tags_of(one_box((unit, "A", "12 kBtu/h"), tag=box)):
        assert tag.code == tag.code.upper()
        assert set(tag.code) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/")
        assert tag.box == box
        assert tag.units in ((unit,), ())


# --- cables ------------------------------------------------------------------------------------------------


def test_three_units_on_a_port_are_chained_in_row_order() -> None:
    """From the terminal to the first, on to the second, on to the third: three cables, six ends."""
    chain = one_box(*((tag, "B", "9 kBtu/h") for tag in ("Z-1", "M-1", "A-1")))
    cables = [tag for tag in tags_of(chain) if tag.kind == "cable"]
    assert [(tag.code, plain(tag.remark)) for tag in cables] == table(
        """
        BB-1/B/COM        | to Z-1, not power
        BB-1/B/COM/Z-1    | from terminal B, not power
        BB-1/B/COM/Z-1/ON | then to M-1, not power
        BB-1/B/COM/M-1    | from Z-1, not power
        BB-1/B/COM/M-1/ON | then to A-1, not power
        BB-1/B/COM/A-1    | from M-1, not power
        """
    )


@given(sketches(most_boxes=1))
@settings(max_examples=30, deadline=None)
def test_both_ends_of_a_cable_lie_side_by_side(sketch: JobSketch) -> None:
    """Cables come in pairs of tags, the second one at the unit that the first one names."""
    cables = [tag for tag in tags_of(sketch) if tag.kind == "cable"]
    for near, far in zip(cables[::2], cables[1::2], strict=True):
        assert (near.port, near.box) == (far.port, far.box)
        assert far.end == "unit"
        assert plain(near.remark).endswith(f"to {far.units[0]}, not power")
        source = near.units[0] if near.end == "unit" else f"terminal {near.port}"
        assert plain(far.remark) == f"from {source}, not power"


def test_every_cable_says_that_it_is_not_power() -> None:
    """A communication cable is told from a power cable on each of its tags."""
    for tag in tags_of(SMALL):
        assert ("not power" in plain(tag.remark)) == (tag.kind == "cable")


def test_units_addresses_are_on_the_tags_at_the_units_alone() -> None:
    """Tags at the box, and of units without an address, have none."""
    job = SMALL.record()
    given = replace(job, units=(replace(job.units[0], address="2-07"), *job.units[1:]))
    assert {tag.code: tag.address for tag in all_tags(given) if tag.address} == dict.fromkeys(
        ("BB-1/A/COM/FC-1", "BB-1/A/COM/FC-1/ON", "BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1"), "address 2-07"
    )


def test_an_address_given_changes_the_digests_of_its_tags_alone() -> None:
    """What hung before the address was known is printed again; nothing else is."""
    job = SMALL.record()
    given = replace(job, units=(*job.units[:2], replace(job.units[2], address="31")))
    before = {tag.code: tag_digest(tag) for tag in all_tags(job)}
    after = {tag.code: tag_digest(tag) for tag in all_tags(given)}
    assert [code for code in after if after[code] != before[code]] == [
        "BB-1/C/COM/AH-1",
        "BB-1/C/LIQ/AH-1",
        "BB-1/C/GAS/AH-1",
    ]


# --- spare and joined ports --------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["LIQ", "GAS"])
def test_spare_stubs_warn(kind: str) -> None:
    """The stubs of a port that nobody uses are capped, may hold pressure and are not to be cut."""
    tag = tag_coded(f"BB-1/B/{kind}")
    assert (tag.remark, tag.is_caution) == ("CAPPED – MAY HOLD PRESSURE – DO NOT CUT", True)
    assert (tag.units, tag.rooms) == ((), ())


def test_a_spare_terminal_stays_empty() -> None:
    """No cable lands on it."""
    tag = tag_coded("BB-1/B/TRM")
    assert (tag.remark, tag.is_caution) == ("SPARE – LAND NO CABLE HERE", True)


def test_the_second_terminal_of_a_pair_says_why_it_is_empty() -> None:
    """The pair's cable lands on the first letter (common practice); the second has a caution."""
    tag = tag_coded("BB-1/D/TRM")
    assert (tag.remark, tag.is_caution) == ("NO CABLE HERE – C+D ON C", True)
    assert tag.short == "CABLE ON C"
    assert tag.units == ("AH-1",)


@pytest.mark.parametrize("code", ["C/TRM", "C/LIQ", "C/GAS", "D/LIQ", "D/GAS", "C/LIQ/AH-1", "C/GAS/AH-1"])
def test_pipes_and_first_terminal_of_a_pair_name_the_pair(code: str) -> None:
    """Both letters' pipes belong to the one unit, and say so without alarm."""
    tag = tag_coded(f"BB-1/{code}")
    assert (tag.remark, tag.is_caution, tag.units) == ("C+D work as one", False, ("AH-1",))


def test_a_plain_port_needs_no_remark() -> None:
    """Its stubs, terminal and lines say what they are and whose; nothing else."""
    assert {tag_coded(f"BB-1/A/{what}").remark for what in ("TRM", "LIQ", "GAS", "LIQ/FC-2")} == {""}


@given(jobs())
@settings(max_examples=30, deadline=None)
def test_cautions_stand_on_spares_and_second_terminals_only(job: Job) -> None:
    """A caution that stood everywhere would be read nowhere."""
    plan, _ = plan_job(job)
    for box in plan.boxes:
        for tag in box_tags(plan.job, box, words()):
            port = box.port_of(tag.port)
            is_second = tag.kind == "terminal" and tag.port != port.letters[0]
            at_spare = port.use == "spare" and tag.end == "box"
            assert tag.is_caution == (at_spare or is_second)


# --- what is printed ---------------------------------------------------------------------------------------


def test_the_huge_thing_on_a_ports_tag_is_its_letter() -> None:
    """The letter that its code names, at either end; never the box."""
    assert {tag.code.split("/")[1]: tag.big for tag in tags_of(SMALL)} == {each: each for each in "ABCD"}


def test_the_box_end_names_all_units_of_its_port() -> None:
    """A stub that two units share names both; a unit's own tag only the one."""
    assert tag_coded("BB-1/A/LIQ").units == ("fc-1", "FC-2")
    assert tag_coded("BB-1/A/LIQ/FC-2").units == ("FC-2",)


def test_rooms_stand_once_each() -> None:
    """Two units in one room name it once; a unit without a room names none."""
    rows = [UnitSketch(f"FC-{number}", "A", room=room) for number, room in enumerate(("Hall", "", "Hall"))]
    sketch = JobSketch((BoxSketch("BB-1", 4, tuple(rows)),))
    assert tag_coded("BB-1/A/LIQ", sketch).rooms == ("Hall",)
    assert tag_coded("BB-1/A/LIQ/FC-1", sketch).rooms == ()


def test_what_people_read() -> None:
    """Headlines and ends in full words; a box that shows another name keeps its tag in the code."""
    shown = replace(SMALL, boxes=(replace(SMALL.boxes[0], shown="BB 1/L2"),), revision="P02")
    told = {(tag.headline, tag.end_text, tag.revision_text) for tag in tags_of(shown)}
    assert told == {
        *((what, "AT THE BOX", "REV P02") for what in ("TERMINAL", "LIQUID", "GAS", "COMM CABLE")),
        *((what, "AT THE UNIT", "REV P02") for what in ("LIQUID", "GAS", "COMM CABLE")),
    }
    assert {tag.box_shown for tag in tags_of(shown)} == {"BB 1/L2"}


def test_a_draft_says_so_on_every_tag() -> None:
    """A tag of a job that is not issued can be told from one that is."""
    drafted = replace(SMALL, is_draft=True, revision="3")
    assert {tag.revision_text for tag in tags_of(drafted)} == {"DRAFT REV 3"}


def test_no_tag_tells_a_capacity() -> None:
    """Capacity changes with a unit's replacement; a tag stays."""
    for tag in tags_of(SMALL):
        assert not any("Btu" in text for text in (tag.headline, tag.remark, tag.end_text, *tag.units))


def test_a_tag_at_the_box_is_for_that_sort_of_box() -> None:
    """With a box of another family or size it is hung anew; a tag at a unit is not."""
    for tag in tags_of(SMALL):
        assert tag.hardware == ("four-port-boards/4" if tag.end == "box" else "")


def test_a_tag_knows_the_board_that_serves_its_port() -> None:
    """A box of six has four ports on its left board and two on its right one."""
    boards = {
        tag.port: (tag.board, tag.board_ports) for tag in tags_of(one_box(("FC-1", "A", "9 kBtu/h"), ports=6))
    }
    left, right = ("left", 4), ("right", 2)
    assert boards == {**dict.fromkeys("ABCD", left), **dict.fromkeys("EF", right)}


def test_pipe_tags_hug_bare_tubes_at_the_rough_in() -> None:
    """Before brazing there is no insulation: 3/8 in of tube, later 1-7/8 in over walls of 3/4 in."""
    job = sized(SMALL, liquid="3/8 in", insulation="3/4 in")
    first, last = (
        {tag.outside.text for tag in tags if tag.kind == "liquid" and tag.outside}
        for tags in (all_tags(job, "rough-in"), all_tags(job))
    )
    assert (first, last) == ({"3/8 in"}, {"1.875 in over insulation"})


def test_a_tag_knows_its_row() -> None:
    """A tag's problem can be told at the unit's row, or at the box for a spare port."""
    assert str(tag_coded("BB-1/A/LIQ/FC-2").where) == "job.toml:101"
    assert str(tag_coded("BB-1/B/LIQ").where) == "job.toml:10"

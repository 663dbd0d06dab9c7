"""Files of several people merged: what counts, what contradicts, and what an old sheet still says."""

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.plan.model import Plan
from tagmaker.site.walk.gather import gather
from tagmaker.site.walk.left_blank import blanks_beside
from tagmaker.site.walk.returns import Return, sheets_of
from tagmaker.tags.walk import digests
from tests.records import replace
from tests.site.found import ALL, box_named, found_on, planned, sheets, site, walk
from tests.site.walks import SITE, Values, only, without
from tests.strategies import UnitSketch, words

# --- several files ------------------------------------------------------------------------------------------


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_parts_of_a_walk_add_up(data: st.DataObject) -> None:
    """Boards and letters divided over three people in any way, some done twice: as planned."""
    parts = ["BB-1/left", "BB-1/right", "BB-1/item", *(f"BB-1/port/{letter}" for letter in "ABCDEF")]
    doers = data.draw(
        st.lists(st.sets(st.integers(0, 2), min_size=1), min_size=len(parts), max_size=len(parts))
    )
    shares = [[part for part, who in zip(parts, doers, strict=True) if n in who] for n in range(3)]
    assert walk(*(only(ALL, share) for share in shares)).state == "as planned"


def test_a_file_that_saw_no_board_contradicts_nobody() -> None:
    """Its empty switches are unknown, not OFF."""
    assert walk(ALL, only(ALL, ["BB-1/port"])).state == "as planned"


@pytest.mark.parametrize("name", ["BB-1/left/2/2", "BB-1/left/1/1"])
def test_a_switch_found_otherwise_by_two_is_a_contradiction(name: str) -> None:
    """One found it ON, one OFF: told with both files, and it counts neither as right nor as wrong."""
    other = {**ALL, name: name not in ALL}
    found = found_on(ALL, other)
    (contradiction,) = found.contradictions
    said = ("ON", "OFF") if name in ALL else ("OFF", "ON")
    assert (contradiction.name, contradiction.values) == (name, (("a", said[0]), ("b", said[1])))
    result = walk(ALL, other)
    assert (result.state, result.punches) == ("not seen", [])
    assert result.unknown == [f"{name}: findings conflict (a: {said[0]}; b: {said[1]})"]


def test_a_switch_whose_mark_a_phone_took_back_is_not_known() -> None:
    """Another file has the mark, as that of the day before: neither counts until it is marked again."""
    name = "BB-1/left/1/1"
    first = without(ALL, "left/seen") | {f"{name}/off": True}
    for second, is_known in (
        ({f"{name}/off": False}, False),
        ({name: False}, False),
        ({name: False, f"{name}/off": True}, True),
    ):
        one, two = sheets(site(), "BB-1", first, dict(second))
        taken = tuple(each for each, value in second.items() if value is False)
        box = box_named(site(), "BB-1")
        back = gather([one, replace(two, taken_back=taken)], box, digests(site().job, box))
        assert (back.values.get(name) is False) == is_known, second
        assert [each.name for each in back.contradictions] == ([] if is_known else [name]), second


@pytest.mark.parametrize(
    ("name", "also", "is_known"),
    [
        ("sign/verifier", {}, False),
        ("port/A/proved", {}, False),
        ("port/F/pipe/found", {}, False),
        ("port/F/pipe/found", {"BB-1/port/F/pipe/ok": True}, True),
        ("port/A/note", {}, True),
    ],
)
def test_a_text_that_a_phone_took_back_is_not_known(name: str, also: Values, *, is_known: bool) -> None:
    """Another file has it. Notes are kept; who ticked a unit as right took back its name alone."""
    name, box = f"BB-1/{name}", box_named(site(), "BB-1")
    one, two = sheets(site(), "BB-1", {name: "none"}, {name: "", **also})
    back = gather([one, replace(two, taken_back=(name,))], box, digests(site().job, box))
    assert [each.name for each in back.contradictions] == ([] if is_known else [name])
    assert (name in back.values) == is_known


def test_what_else_is_wrong_is_told_beside_a_contradiction() -> None:
    """A switch of the same board that both found wrong is to be moved."""
    wrong = ALL | {"BB-1/left/1/4": True}
    result = walk(wrong, without(wrong, "BB-1/left/2/2"))
    assert [punch.wrong for punch in result.punches] == ["Bank 1 switch 4 is ON"]
    assert [text.partition(":")[0] for text in result.unknown] == ["BB-1/left/2/2"]


def test_right_and_another_unit_is_a_contradiction() -> None:
    """One ticked that the pipe is right, one wrote another unit: neither counts."""
    other = without(ALL, "A/pipe/ok") | {"BB-1/port/A/pipe/found": "FC-5"}
    for files in ([ALL, other], [other, ALL], [ALL | {"BB-1/port/A/pipe/found": "FC-5"}]):
        result = walk(*files)
        assert (result.state, result.punches) == ("not seen", [])
        assert [text.partition(" (")[0] for text in result.unknown] == [
            "BB-1/port/A/pipe/found: findings conflict",
            "port A: pipe not seen",
        ]


def test_two_other_units_are_a_contradiction() -> None:
    """Two people wrote two units: neither counts, and a third one's tick does not settle it."""
    one, two = ({**without(ALL, "A/pipe/ok"), "BB-1/port/A/pipe/found": unit} for unit in ("FC-5", "FC-2"))
    for files in ([one, two], [one, two, ALL]):
        assert [each.values for each in found_on(*files).contradictions] == [(("a", "FC-5"), ("b", "FC-2"))]
        assert walk(*files).state == "not seen"


def test_the_same_unit_written_otherwise_is_no_contradiction() -> None:
    """Small letters or capitals, or a tick beside the planned unit's name."""
    one, two = ({**without(ALL, "A/pipe/ok"), "BB-1/port/A/pipe/found": unit} for unit in ("FC-5", "fc-5"))
    assert len(walk(one, two).punches) == 1
    assert walk(ALL | {"BB-1/port/A/pipe/found": "FC-1"}).state == "as planned"


def test_several_may_sign_note_and_prove() -> None:
    """What two people wrote stands side by side; it is no contradiction."""
    names = ("port/A/note", "port/A/proved", "sign/installer", "date/installer")
    one, two = ({**ALL, **{f"BB-1/{name}": text for name in names}} for text in ("K.A.", "M.O."))
    assert [found_on(one, two).values[f"BB-1/{name}"] for name in names] == ["K.A. / M.O."] * 4
    assert walk(one, two).state == "as planned"


# --- printed for something else -----------------------------------------------------------------------------


def with_units(*units: UnitSketch) -> Plan:
    """The first box with other units."""
    return planned(replace(SITE, boxes=(replace(SITE.boxes[0], units=units), *SITE.boxes[1:]), revision="1"))


def moved(sketch: Sequence[UnitSketch], **ports: str) -> tuple[UnitSketch, ...]:
    """The same units, some on other ports."""
    return tuple(replace(unit, port=ports.get(unit.tag.replace("-", "_"), unit.port)) for unit in sketch)


UNITS = SITE.boxes[0].units
UNSEEN = ("pipe not seen", "cable not seen", "tags not seen at both ends")


def test_a_tick_counts_for_the_units_it_was_printed_for() -> None:
    """FC-1 and FC-5 of equal load have changed places since: the old ticks there say nothing of today."""
    old = with_units(*moved(UNITS, FC_1="E", FC_5="A"))
    result = walk(ALL, printed=old)
    assert (result.state, result.punches) == ("not seen", [])
    assert result.unknown[:6] == [f"port {letter}: {told}" for letter in "AE" for told in UNSEEN]
    assert {text.partition(":")[0] for text in result.unknown[6:]} == {"A", "E"}  # items of the letters


def test_a_new_revision_alone_takes_nothing_away() -> None:
    """The revision went up, the units stayed: the ticks count."""
    assert walk(ALL, printed=with_units(*UNITS)).state == "as planned"


OF_ONE = {"AH-4": "9 kBtu/h"}
"""What a single port can carry."""


def test_a_pair_made_since_takes_both_letters_away() -> None:
    """AH-4 hung on C alone when the sheet was printed: the ticks at C and D do not count."""
    old = with_units(
        *moved([replace(unit, capacity=OF_ONE.get(unit.tag, unit.capacity)) for unit in UNITS], AH_4="C")
    )
    assert {text.removeprefix("port ")[0] for text in walk(ALL, printed=old).unknown} == {"C", "D"}


def test_what_was_found_counts_whatever_it_was_printed_for() -> None:
    """Switches and units written out are facts of the site, not of the sheet."""
    old = with_units(*moved(UNITS, FC_1="E", FC_5="A"))
    written = {"A/pipe": "FC-1", "A/cable": "FC-1", "E/pipe": "FC-5", "E/cable": "FC-5"}
    values = ALL | {f"BB-1/port/{name}/found": unit for name, unit in written.items()}
    assert walk(values, printed=old).unknown[:2] == [f"port {letter}: {UNSEEN[2]}" for letter in "AE"]


def test_a_sheet_that_does_not_say_what_it_was_for_ticks_nothing() -> None:
    """Its hidden text is lost: nothing of it counts, neither ticks nor switches."""
    box = site().boxes[0]
    (sheet,) = sheets_of(Return("a", ALL, {}))
    assert gather([sheet], box, digests(site().job, box)).values == {}


# --- blank beside a mark ------------------------------------------------------------------------------------


def blanks(*values: Values) -> list[str]:
    """The lines about marks that a later file left blank."""
    plan = site()
    box, own = box_named(plan, "BB-1"), sheets(plan, "BB-1", *values)
    return list(blanks_beside(own, gather(own, box, digests(plan.job, box)), words()))


def test_a_mark_that_another_file_left_blank_is_named_with_both_dates() -> None:
    """It counts; whether the blank is a look that found it otherwise is for the reader to find out."""
    first = ALL | {"BB-1/date/verifier": "2026-06-02"}
    second: Values = {"BB-1/port/A/tags/ok": True, "BB-1/port/A/pipe/ok": False, "BB-1/date/verifier": "-"}
    (line,) = blanks(first, second)
    names = "port/A/pipe/ok, port/A/cable/ok, port/A/item/polarity"
    assert line == f"marked in a (2026-06-02), blank in b (without a date): {names}"


def test_a_place_of_which_another_file_has_nothing_is_not_blank() -> None:
    """Two people share a box; a board of which all was seen leaves no switch blank."""
    letter = {name: value for name, value in ALL.items() if "/port/A/" in name}
    rest = {name: value for name, value in ALL.items() if name not in letter}
    assert blanks(letter, rest | dict.fromkeys(letter, False)) == []
    assert blanks(ALL, {name: value for name, value in ALL.items() if name.endswith("/seen")}) == []
    assert blanks(ALL, ALL) == []


def test_what_a_later_revision_changed_is_not_seen_when_the_plan_comes_back() -> None:
    """Two units were swapped on site by revision 3; by 4 they are planned as by 2: nobody has seen that."""
    one, other = (f"BB-1/port/{letter}/pipe/ok" for letter in "AE")
    units = moved(UNITS, FC_1="E", FC_5="A")
    swapped = planned(replace(SITE, revision="3", boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1])))
    again, box = planned(replace(SITE, revision="4")), box_named(site(), "BB-1")
    signed = ALL | {"BB-1/sign/verifier": "R. Hale"}
    early, late = sheets(site(), "BB-1", signed), sheets(swapped, "BB-1", ALL)
    newest = sheets(again, "BB-1", ALL)
    for files, is_known in (([*early, *late], False), (early, True), ([*early, *late, *newest], True)):
        found = gather(files, box, digests(again.job, box))
        assert [name in found.values for name in (one, other)] == [is_known, is_known]
        assert "BB-1/port/B/pipe/ok" in found.values
    assert "BB-1/sign/verifier" not in gather([*early, *late], box, digests(again.job, box)).values
    found_then = sheets(site(), "BB-1", {"BB-1/port/A/pipe/found": "FC-5", "BB-1/port/E/pipe/found": "FC-5"})
    values = gather([*found_then, *late], box, digests(again.job, box)).values
    assert (values["BB-1/port/A/pipe/found"], "BB-1/port/E/pipe/found" in values) == ("FC-5", False)

"""Every fault that a response test shows, as it is found: the table of what is read and what it means."""

from collections.abc import Sequence

import pytest

from tagmaker.catalog.words import load_words
from tagmaker.plan.response import Call, SystemCalls
from tagmaker.site.response.findings import Finding, findings
from tagmaker.site.response.sentences import finding_item
from tagmaker.site.response.verdicts import judge
from tagmaker.tags.response import Line
from tests.records import replace
from tests.site.response.faults import LETTERS, Site, Table, site

ONE = site(8)
TWO = site(8, 8)
SHARED = site(6, shared=2)
TURN = {"H": "C", "C": "H", "0": "0", "": ""}


def right(of: Site) -> Table:
    """All as planned."""
    return of.read(range(len(of.calls.ports)), of.homes)


def exchanged(count: int, *places: int) -> list[int]:
    """Numbers of so many lines, those at these places exchanged along a cycle."""
    lines = list(range(count))
    for at, place in enumerate(places):
        lines[place] = places[(at + 1) % len(places)]
    return lines


def found(of: Site, table: Table) -> tuple[Finding, ...]:
    """What the readings show."""
    return findings(of.judge(table))


def heads(of: Site, table: Table) -> list[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """Kind, ports and units of each finding."""
    return [(each.kind, each.ports, each.units) for each in found(of, table)]


def changed(table: Table, keys: Sequence[tuple[str, str, str]], letters: dict[str, str]) -> Table:
    """The table with letters of some places changed."""
    return {
        key: [letters.get(each, each) for each in row] if key in keys else row for key, row in table.items()
    }


def test_nothing_is_found_where_all_is_as_planned() -> None:
    """No finding, every port as called, every unit as piped."""
    judged = TWO.judge(right(TWO))
    assert findings(judged) == ()
    assert {port.verdict for port in judged.ports} == {"as called", "no answer"}
    assert {unit.verdict for unit in judged.units} == {"as piped"}


def test_cables_crossed() -> None:
    """C's word at A's stub and at A's unit."""
    table = ONE.read(exchanged(8, 0, 2), range(8))
    assert found(ONE, table) == (
        Finding(
            "cables crossed",
            ("BB-1/A", "BB-1/C"),
            ("FC-1A", "FC-3A"),
            (("BB-1/C", "BB-1/A"), ("BB-1/A", "BB-1/C")),
        ),
    )


def test_pipes_crossed() -> None:
    """A's own word at its stub, C's word at its unit."""
    table = ONE.read(range(8), exchanged(8, 0, 2))
    assert found(ONE, table) == (
        Finding(
            "pipes crossed",
            ("BB-1/A", "BB-1/C"),
            ("FC-1A", "FC-3A"),
            (("FC-1A", "BB-1/C"), ("FC-3A", "BB-1/A")),
        ),
    )


def test_cable_and_pipe_moved() -> None:
    """C's word at A's stub, and the right word at A's unit, from the wrong port."""
    table = ONE.read(exchanged(8, 0, 2), exchanged(8, 0, 2))
    assert heads(ONE, table) == [("cable and pipe moved", ("BB-1/A", "BB-1/C"), ("FC-1A", "FC-3A"))]


def test_a_cycle_names_every_port() -> None:
    """Four cables of two boxes, one round."""
    table = TWO.read(exchanged(16, 0, 3, 9, 12), range(16))
    assert heads(TWO, table) == [
        (
            "cables crossed",
            ("BB-1/A", "BB-1/D", "BB-2/B", "BB-2/E"),
            ("FC-1A", "FC-4A", "FC-10A", "FC-13A"),
        )
    ]


def test_two_crossings_are_two_findings() -> None:
    """One of cables, one of pipes."""
    table = TWO.read(exchanged(16, 0, 1), exchanged(16, 9, 10))
    assert heads(TWO, table) == [
        ("cables crossed", ("BB-1/A", "BB-1/B"), ("FC-1A", "FC-2A")),
        ("pipes crossed", ("BB-2/B", "BB-2/C"), ("FC-10A", "FC-11A")),
    ]


@pytest.mark.parametrize("has_stubs", [True, False])
def test_mains_exchanged(has_stubs: bool) -> None:  # noqa: FBT001
    """The whole box turned round, stubs and units."""
    table = right(TWO)
    turned = [key for key in table if key[0] == "BB-2"]
    table = changed(table, turned, TURN)
    if not has_stubs:
        table = {key: row for key, row in table.items() if key[2]}
    kinds = heads(TWO, table)
    assert [(kind, len(ports)) for kind, ports, _ in kinds] == [("mains exchanged", 8)]
    assert {port[:4] for port in kinds[0][1]} == {"BB-2"}


def test_mains_exchanged_with_crossed_cables_behind_them() -> None:
    """Both are found."""
    table = TWO.read(exchanged(16, 8, 11), range(16))
    table = changed(table, [key for key in table if key[0] == "BB-2"], TURN)
    assert [kind for kind, _, _ in heads(TWO, table)] == ["mains exchanged", "cables crossed"]
    judged = TWO.judge(table)
    assert (judged.ports[8].verdict, judged.ports[8].cable_of) == ("answers other", "BB-2/D")
    assert judged.ports[9].verdict == "opposite"


@pytest.mark.parametrize(
    ("letters", "state"),
    [
        (TURN, "opposite"),
        ({"C": "H"}, "heat only"),
        ({"C": "0"}, "heat only"),
        ({"H": "C"}, "cool only"),
        ({"H": "0"}, "cool only"),
    ],
)
@pytest.mark.parametrize("has_stubs", [True, False])
def test_a_valve_stuck(letters: dict[str, str], state: str, has_stubs: bool) -> None:  # noqa: FBT001
    """One port turned round or in one mode alone, at its stub and its unit."""
    table = changed(right(ONE), [("BB-1", "C", ""), ("BB-1", "C", "FC-3A")], letters)
    if not has_stubs:
        table = {key: row for key, row in table.items() if key[2]}
    assert found(ONE, table) == (Finding("valve stuck", ("BB-1/C",), ("FC-3A",), states=(state,)),)


def test_a_spare_answers() -> None:
    """The cable of B is on the spare stub; B's own is still."""
    table = right(ONE)
    table["BB-1", "I", ""], table["BB-1", "B", ""] = table["BB-1", "B", ""], table["BB-1", "I", ""]
    table["BB-1", "B", "FC-2A"] = ["0"] * ONE.calls.rounds
    assert found(ONE, table) == (
        Finding("spare answers", ("BB-1/B", "BB-1/I"), ("FC-2A",), (("BB-1/B", "BB-1/I"),)),
    )
    judged = ONE.judge(table)
    assert judged.ports[1].verdict == judged.units[1].verdict == "no answer"


def test_a_spare_that_is_hot_all_the_time() -> None:
    """It answers, and nobody's word."""
    table = right(ONE) | {("BB-1", "I", ""): ["H"] * ONE.calls.rounds}
    assert found(ONE, table) == (Finding("spare answers", ("BB-1/I",), (), states=("heat only",)),)


def test_liquid_lines_alone_are_not_seen() -> None:
    """The gas is right: nothing is found, and nothing is claimed of them."""
    assert found(ONE, right(ONE)) == ()


def test_a_pipe_behind_a_splitter_moves_one_unit() -> None:
    """One of B's units and one of D's: the others of these ports are as piped."""
    homes = list(SHARED.homes)
    one, other = homes.index(1), homes.index(3)
    homes[one], homes[other] = homes[other], homes[one]
    (finding,) = found(SHARED, SHARED.read(range(6), homes))
    assert (finding.kind, finding.units, finding.is_behind) == ("pipes crossed", ("FC-2A", "FC-4A"), True)


def test_a_pipe_at_the_box_moves_all_units_of_a_port() -> None:
    """B, with two units, and C, with one."""
    swap = {1: 2, 2: 1}
    pipes = [swap.get(port, port) for port in SHARED.homes]
    (finding,) = found(SHARED, SHARED.read(range(6), pipes))
    assert (finding.kind, finding.is_behind) == ("pipes crossed", False)
    assert finding.units == ("FC-2A", "FC-2B", "FC-3A")


def test_a_terminal_moves_the_group() -> None:
    """Cables of B, with two units, and of C."""
    (finding,) = found(SHARED, SHARED.read(exchanged(6, 1, 2), SHARED.homes))
    assert (finding.kind, finding.units) == ("cables crossed", ("FC-2A", "FC-2B", "FC-3A"))


def test_units_alone_do_not_tell_cable_from_pipe() -> None:
    """Stubs that were not read: whose word a unit has, and no more."""
    table = {key: row for key, row in ONE.read(exchanged(8, 0, 2), range(8)).items() if key[2]}
    judged = ONE.judge(table)
    assert {port.verdict for port in judged.ports} == {"not seen"}
    assert [(unit.verdict, unit.piped_to, unit.candidates) for unit in judged.units[:3]] == [
        ("cable or pipe", "", ("BB-1/C",)),
        ("as piped", "BB-1/B", ()),
        ("cable or pipe", "", ("BB-1/A",)),
    ]
    assert findings(judged) == ()


def test_units_alone_do_not_show_what_moved_with_its_cable() -> None:
    """Cable and pipe of A and C moved together: the units read right, and none is known to be piped right."""
    both = exchanged(8, 0, 2)
    table = {key: row for key, row in ONE.read(both, both).items() if key[2]}
    assert {(unit.verdict, unit.stub_read) for unit in ONE.judge(table).units} == {("as piped", False)}
    assert {unit.stub_read for unit in ONE.judge(right(ONE)).units} == {True}


def test_a_unit_of_an_unclear_stub_is_not_known_to_be_piped_right() -> None:
    """Two wrong readings at A's stub; its unit reads A's word."""
    table = right(ONE)
    row = table["BB-1", "A", ""]
    row[0], row[1] = TURN[row[0]], TURN[row[1]]
    judged = ONE.judge(table)
    assert (judged.ports[0].verdict, judged.units[0].stub_read) == ("unclear", False)
    assert {unit.stub_read for unit in judged.units[1:]} == {True}


@pytest.mark.parametrize("has_units", [True, False])
@pytest.mark.parametrize("other", range(1, 8))
def test_exchanged_controllers_read_like_crossed_cables(other: int, has_units: bool) -> None:  # noqa: FBT001
    """The other's word at the stub; at the unit it counts only while the display shows the called mode.

    A cell is left blank where the display shows another mode: the units are then unclear, never wrong.
    """
    table = ONE.read(exchanged(8, 0, other), range(8))
    units = [("BB-1", call.port, call.units[0]) for call in ONE.calls.ports]
    if not has_units:
        for at in (0, other):
            called = ONE.calls.ports[at].calls
            table[units[at]] = [
                each if each == call else "" for each, call in zip(table[units[at]], called, strict=True)
            ]
    (finding,) = found(ONE, table)
    names = (units[0][2], units[other][2])
    assert (finding.kind, finding.ports) == ("cables crossed", ("BB-1/A", f"BB-1/{LETTERS[other]}"))
    (expect,) = finding_item(finding, load_words()).expect
    assert expect == (
        f"or the addresses or room controllers of {names[0]}, {names[1]} are exchanged: then each display "
        "shows the mode of another room"
    )
    verdicts = {unit.verdict for unit in ONE.judge(table).units}
    assert verdicts == ({"as piped"} if has_units else {"as piped", "unclear"})


def test_one_wrong_reading_is_corrected_and_named() -> None:
    """Round 3 at the stub, round 2 at the unit."""
    table = right(ONE)
    table["BB-1", "A", ""][2] = TURN[table["BB-1", "A", ""][2]]
    table["BB-1", "B", "FC-2A"][1] = "0"
    judged = ONE.judge(table)
    assert (judged.ports[0].verdict, judged.ports[0].misread) == ("as called", (3,))
    assert (judged.units[1].verdict, judged.units[1].misread) == ("as piped", (2,))


def test_a_tie_is_unclear_with_its_candidates() -> None:
    """Two stubs of which only the rounds were read in which their words are the same."""
    table = right(ONE)
    one, other = (ONE.calls.ports[at].calls for at in (0, 2))
    for letter in "AC":
        row = table["BB-1", letter, ""]
        table["BB-1", letter, ""] = [
            each if a == b else "" for each, a, b in zip(row, one, other, strict=True)
        ]
    judged = ONE.judge(table)
    assert [(judged.ports[at].verdict, judged.ports[at].candidates) for at in (0, 2)] == [
        ("unclear", ("BB-1/A", "BB-1/C")),
        ("unclear", ("BB-1/A", "BB-1/C")),
    ]


def test_two_wrong_readings_at_one_place_are_unclear() -> None:
    """One is corrected, two are not."""
    table = right(ONE)
    row = table["BB-1", "A", ""]
    row[0], row[1] = TURN[row[0]], TURN[row[1]]
    assert ONE.judge(table).ports[0].verdict == "unclear"


def test_what_was_not_read_is_not_seen() -> None:
    """Blank and unclear cells say nothing."""
    table = right(ONE) | {("BB-1", "A", ""): ["?"] * 7, ("BB-1", "B", "FC-2A"): [""] * 7}
    judged = ONE.judge(table)
    assert (judged.ports[0].verdict, judged.units[1].verdict) == ("not seen", "not seen")


# --- joined pairs -------------------------------------------------------------------------------------------


def paired() -> Site:
    """A box with a joined pair A+B, and ports C to F."""
    of = site(5, spares=0)
    letters = ["A+B", "C", "D", "E", "F"]
    calls = tuple(
        Call(each.box, letter, each.units, each.calls)
        for each, letter in zip(of.calls.ports, letters, strict=True)
    )
    lines = [
        Line(each.box, letter, "", each.calls, each.port) for each in calls for letter in each.port.split("+")
    ]
    lines += [Line(each.box, each.port, unit, each.calls, each.port) for each in calls for unit in each.units]
    return Site(replace(of.calls, ports=calls), tuple(lines))


def paired_right(of: Site) -> Table:
    """All as planned."""
    return {(line.box, line.port, line.unit): list(line.calls) for line in of.lines}


def test_a_pair_is_one_port() -> None:
    """Both halves and the unit have one word."""
    of = paired()
    judged = judge(of.calls, of.lines, paired_right(of))
    assert [(port.port, port.verdict) for port in judged.ports[:2]] == [
        ("A+B", "as called"),
        ("C", "as called"),
    ]
    assert findings(judged) == ()


@pytest.mark.parametrize(
    ("letters", "state"), [({"H": "0", "C": "0"}, "no answer"), ({"C": "H"}, "heat only"), (TURN, "opposite")]
)
def test_halves_of_a_pair_differ(letters: dict[str, str], state: str) -> None:
    """The second half is still, stuck or turned round."""
    of = paired()
    table = changed(paired_right(of), [("BB-1", "B", "")], letters)
    judged = judge(of.calls, of.lines, table)
    assert judged.ports[0].verdict == state
    assert findings(judged) == (Finding("pair halves differ", ("BB-1/A+B",), ("FC-1A",), states=("", state)),)


def test_a_pairs_cable_on_another_port() -> None:
    """Both halves have the other port's word."""
    of = paired()
    table = paired_right(of)
    pair, other = (list(of.calls.ports[at].calls) for at in (0, 2))
    table |= {("BB-1", half, ""): other for half in "AB"} | {("BB-1", "D", ""): pair}
    table |= {("BB-1", "A+B", "FC-1A"): other, ("BB-1", "D", "FC-3A"): pair}
    judged = judge(of.calls, of.lines, table)
    assert [(each.kind, each.ports) for each in findings(judged)] == [
        ("cables crossed", ("BB-1/A+B", "BB-1/D"))
    ]


def cooling(of: Site, *cool: int) -> Site:
    """The same system with ports that only cool."""
    calls = of.calls.ports
    ports = tuple(
        replace(each, calls="C" * of.calls.rounds) if at in cool else each for at, each in enumerate(calls)
    )
    words = {(each.box, each.port): each.calls for each in ports}
    lines = tuple(replace(line, calls=words.get((line.box, line.call), "")) for line in of.lines)
    return Site(SystemCalls("HR-1", of.calls.rounds, "X", of.calls.heat_share, ports), lines)


def test_a_port_that_only_cools_is_as_called() -> None:
    """Its word is all C, and its valve is not stuck."""
    of = cooling(site(4), 1)
    judged = of.judge(right(of))
    assert {port.verdict for port in judged.ports[:4]} == {"as called"}
    assert findings(judged) == ()


def test_two_ports_that_only_cool_are_not_told_apart() -> None:
    """A tie, never a guess."""
    of = cooling(site(4), 1, 3)
    judged = of.judge(right(of))
    assert [judged.ports[at].candidates for at in (1, 3)] == [("BB-1/B", "BB-1/D")] * 2


def test_one_wrong_reading_decides_nothing_where_few_rounds_were_read() -> None:
    """Two cables crossed; of the rounds read one alone tells their words apart, and it was misread."""
    few = site(4)
    table = {
        key: [each if at in {2, 4} else "" for at, each in enumerate(row)]
        for key, row in few.read(exchanged(4, 1, 3), range(4)).items()
    }
    table["BB-1", "D", ""][1] = few.calls.ports[3].calls[1]
    verdicts = {port.port: (port.verdict, port.candidates) for port in few.judge(table).ports}
    assert verdicts["B"] == ("unclear", ("BB-1/B", "BB-1/D"))
    assert verdicts["D"][0] == "unclear"


def test_a_round_that_was_left_out_leaves_every_verdict() -> None:
    """Words of a box differ in three rounds, so that two are left."""
    few = site(4)
    for without in range(few.calls.rounds):
        table = {
            key: ["" if at == without else each for at, each in enumerate(row)]
            for key, row in right(few).items()
        }
        judged = few.judge(table)
        assert {port.verdict for port in judged.ports} == {"as called", "no answer"}
        assert {unit.verdict for unit in judged.units} == {"as piped"}

"""What a row's port text names, and what each port then carries."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.family import Family
from tagmaker.job.model import BoxRow, UnitRow
from tagmaker.plan.model import Claim, Port
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.ports import claim, fitted_letters, pairs, plan_ports
from tests.plan.families import FOUR, three
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, box_row, capacity, sketches, unit_row

PAIRS = ["A+B", "C+D", "E+F", "G+H", "I+J", "K+L"]


def box(ports: int, family: Family = FOUR) -> BoxRow:
    """A box of that size."""
    return box_row(BoxSketch("BB-1", ports, ()), family)


def unit(port: str, load: str = "12 kBtu/h", tag: str = "FC-1") -> UnitRow:
    """A unit on that port."""
    return unit_row("BB-1", UnitSketch(tag, port, load))


def claims_of(row: BoxRow, *units: UnitRow) -> list[Claim]:
    """The claims of rows."""
    return [claim(each, row) for each in units]


# --- port texts --------------------------------------------------------------------------------------------


@given(
    letters=st.sampled_from([*"ABCDEFGHIJKL", *PAIRS]),
    is_lower=st.booleans(),
    is_turned=st.booleans(),
    gap=st.sampled_from(["", " ", "  ", "\t"]),
)
@settings(max_examples=100, deadline=None)
def test_a_port_is_read_in_any_spelling(letters: str, is_lower: bool, is_turned: bool, gap: str) -> None:  # noqa: FBT001
    """Case, order and spaces around the plus do not matter; the letters come in the alphabet's order."""
    parts = letters.split("+")
    written = f"{gap}+{gap}".join(reversed(parts) if is_turned else parts)
    found = claim(unit(written.lower() if is_lower else written), box(12))
    assert found.letters == tuple(parts)
    assert found.fault is None


@pytest.mark.parametrize(
    "text", ["", "1", "AB", "A-B", "A/B", "A+", "+B", "A&B", "port A", "Å", "Ａ", "M", "A+M"]
)
def test_a_text_that_names_no_port_of_the_box(text: str) -> None:
    """Anything but one letter, or letters joined with a plus, of this box is no port."""
    found = claim(unit(text), box(12))
    assert (found.letters, found.fault) == ((), "port-unknown")


@pytest.mark.parametrize("text", ["B+C", "D+E", "A+C", "A+D", "L+A", "A+A", "A+B+C", "A+B+A", "A+B+C+D"])
def test_other_letters_are_never_joined(text: str) -> None:
    """Only A+B, C+D, E+F, G+H, I+J, K+L (common practice): never B+C, one letter twice, or three."""
    found = claim(unit(text), box(12))
    assert (found.letters, found.fault) == ((), "pair-forbidden")
    assert found.hint == "pairs that this family allows here: A+B, C+D, E+F, G+H, I+J, K+L"


@pytest.mark.parametrize("ports", [4, 6, 8, 10, 12])
def test_every_port_and_pair_that_a_box_has(ports: int) -> None:
    """A box takes exactly its own letters and the pairs among them."""
    letters = "ABCDEFGHIJKL"
    texts = [*letters, *(f"{first}+{second}" for first in letters for second in letters if first < second)]
    good = [text for text in texts if claim(unit(text), box(ports)).letters]
    assert good == [*letters[:ports], *PAIRS[: ports // 2]]


def test_a_pair_that_is_forbidden_names_those_of_the_boxs_size() -> None:
    """A box of six has no G+H to offer."""
    assert pairs(FOUR, 6) == (("A", "B"), ("C", "D"), ("E", "F"))
    assert claim(unit("B+C"), box(6)).hint == "pairs that this family allows here: A+B, C+D, E+F"


def test_an_unreadable_port_keeps_its_unit_and_says_how_to_write_one() -> None:
    """The row is told with its own tag, and with both ways of naming a port."""
    row = unit("port A")
    hint = "write one letter, or two joined with a plus: C or G+H"
    assert claim(row, box(12)) == Claim(row, (), "port-unknown", hint)


def test_a_letter_beyond_the_box_is_named_with_its_ports() -> None:
    """On a 6-port box G is unknown, alone and in a pair."""
    for text in ("G", "G+H", "F+G"):
        found = claim(unit(text), box(6))
        assert (found.fault, found.hint) == ("port-unknown", "its ports are A to F")


def test_another_family_joins_other_pairs() -> None:
    """Three-port boards join neighbours on a board, and never over to the next board."""
    row = box(5, three())
    good = [text for text in ("A+B", "B+C", "C+D", "D+E") if claim(unit(text), row).letters]
    assert good == ["A+B", "B+C", "D+E"]


def test_a_family_without_joined_ports_says_so() -> None:
    """Where the rules can join nothing, the hint names no pair."""
    alone = replace(FOUR, rules=tuple(rule for rule in FOUR.rules if rule.when != "joined"))
    assert claim(unit("A+B"), box(4, alone)).hint == "pairs that this family allows here: none"


def test_fitted_letters_are_the_first_of_the_family() -> None:
    """A 6-port box has A to F."""
    assert fitted_letters(FOUR, 6) == tuple("ABCDEF")


# --- ports -------------------------------------------------------------------------------------------------


def test_unnamed_ports_are_spare() -> None:
    """A port that no row names is spare, carries nothing, and has a port's limit."""
    ports = plan_ports(box(4), claims_of(box(4), unit("B", "24 kBtu/h"), unit("C+D", "72 kBtu/h")))
    told = [
        (port.name, port.use, str(port.load and port.load.text("kBtu/h")), int(port.limit.btuh))
        for port in ports
    ]
    assert told == [
        ("A", "spare", "0 kBtu/h", 54000),
        ("B", "single", "24 kBtu/h", 54000),
        ("C+D", "joined", "72 kBtu/h", 108000),
    ]


def test_units_of_a_port_stand_in_row_order() -> None:
    """Several rows share a port in the order in which they stand in the job."""
    rows = [unit("A", tag="Z-9"), unit("B", tag="M-1"), unit("a", tag="A-1")]
    first = plan_ports(box(4), claims_of(box(4), *rows))[0]
    assert [each.tag for each in first.units] == ["Z-9", "A-1"]


def test_a_missing_capacity_leaves_the_load_unknown() -> None:
    """One unit without a capacity makes the whole port's load unknown, not smaller."""
    rows = [unit("A", "12 kBtu/h"), unit("A", "")]
    first = plan_ports(box(4), claims_of(box(4), *rows))[0]
    assert (first.use, first.load) == ("single", None)


def test_where_rows_conflict_the_first_pair_stands() -> None:
    """A letter alone and in a pair, or in two pairs: the plan keeps the pair named first, whole."""
    row = box(3, three())
    ports = plan_ports(row, claims_of(row, unit("A"), unit("B+C"), unit("A+B")))
    assert [(port.name, len(port.units)) for port in ports] == [("A", 2), ("B+C", 1)]


def test_a_pair_stands_though_a_row_before_it_uses_one_letter_alone() -> None:
    """Both units hang on the pair, so that neither's load is left out while the conflict is told."""
    ports = plan_ports(box(4), claims_of(box(4), unit("A"), unit("A+B")))
    assert [(port.name, len(port.units)) for port in ports] == [("A+B", 2), ("C", 0), ("D", 0)]


def test_unreadable_claims_hang_on_no_port() -> None:
    """A row whose port is wrong loads nothing."""
    assert {port.use for port in plan_ports(box(4), claims_of(box(4), unit("B+C"), unit("Q")))} == {"spare"}


# --- loads -------------------------------------------------------------------------------------------------


def loads(sketch: JobSketch) -> dict[str, Fraction]:
    """The load of every port of every box, by box and port."""
    plan, _ = plan_job(sketch.record())
    return {
        f"{box.row.tag} {port.name}": port.load.btuh for box in plan.boxes for port in box.ports if port.load
    }


@given(sketches())
@settings(max_examples=60, deadline=None)
def test_a_box_carries_exactly_the_sum_of_its_rows(sketch: JobSketch) -> None:
    """Totals are sums of fractions: a box's load is its rows', whatever units they are written in."""
    plan, _ = plan_job(sketch.record())
    for planned, box in zip(plan.boxes, sketch.boxes, strict=True):
        rows = [capacity(each.capacity).btuh for each in box.units]
        assert planned.load is not None
        assert sum(rows) == planned.load.btuh
        assert sum(port.load.btuh for port in planned.ports if port.load) == planned.load.btuh


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_the_order_of_rows_changes_no_load_and_no_switch(data: st.DataObject) -> None:
    """Shuffled rows plan the same loads and the same boards."""
    sketch = data.draw(sketches(most_boxes=2))
    shuffled = replace(
        sketch,
        boxes=tuple(replace(box, units=tuple(data.draw(st.permutations(box.units)))) for box in sketch.boxes),
    )
    assert loads(sketch) == loads(shuffled)
    before, after = plan_job(sketch.record())[0], plan_job(shuffled.record())[0]
    assert [box.boards for box in before.boxes] == [box.boards for box in after.boxes]


def test_thirds_of_a_ton_add_up_without_a_rest() -> None:
    """Exact sums: ten loads of 0.1 ton are one ton, which floating point sums miss."""
    ports = plan_ports(box(4), claims_of(box(4), *(unit("A", "0.1 ton") for _ in range(10))))
    assert ports[0].load is not None
    assert ports[0].load.btuh == 12000
    assert sum([0.1] * 10) != 1


def test_mixed_units_add_up() -> None:
    """1 ton + 12 kBtu/h + 6,000 Btu/h = 30,000 Btu/h."""
    rows = [unit("A", "1 ton"), unit("A", "12 kBtu/h"), unit("A", "6,000 Btu/h")]
    port = plan_ports(box(4), claims_of(box(4), *rows))[0]
    assert port.load is not None
    assert port.load.text("Btu/h") == "30000 Btu/h"


def test_a_pair_has_both_letters_in_its_name() -> None:
    """A pair is named with a plus, a port with its letter."""
    limit = FOUR.port_limit
    assert Port(("G", "H"), "joined", (), None, limit).name == "G+H"
    assert Port(("G",), "single", (), None, limit).name == "G"

"""Readings weighed together: every small crossing is named, and a wrong reading never names a wrong port."""

import random
from itertools import permutations, product

import pytest

from tests.bench.response_faults import trial
from tests.site.response.faults import Table, misread, outcome, seeded_fault, site

SMALL = {size: site(size) for size in (2, 3, 4, 5)}


def crossings(size: int) -> list[tuple[int, ...]]:
    """Every way in which so many lines can be exchanged, none included."""
    return list(permutations(range(size)))


@pytest.mark.parametrize("size", SMALL)
def test_every_exchange_of_cables_is_named(size: int) -> None:
    """Every permutation of up to five ports."""
    of, own = SMALL[size], tuple(range(size))
    wrong = [p for p in crossings(size) if outcome(of, of.judge(of.read(p, own)), p, own) != "exact"]
    assert wrong == []


@pytest.mark.parametrize("size", SMALL)
def test_every_exchange_of_pipes_is_named(size: int) -> None:
    """Every permutation of up to five ports."""
    of, own = SMALL[size], tuple(range(size))
    wrong = [p for p in crossings(size) if outcome(of, of.judge(of.read(own, p)), own, p) != "exact"]
    assert wrong == []


@pytest.mark.parametrize("size", [2, 3, 4])
def test_every_exchange_of_both_is_named(size: int) -> None:
    """Every permutation of cables with every one of pipes."""
    of = SMALL[size]
    both = product(crossings(size), repeat=2)
    wrong = [each for each in both if outcome(of, of.judge(of.read(*each)), *each) != "exact"]
    assert wrong == []


@pytest.mark.parametrize("first", range(5))
def test_every_exchange_of_both_is_named_for_five_ports(first: int) -> None:
    """The 14,400 pairs of permutations, in five parts: by which cable lands on the first stub."""
    of = SMALL[5]
    both = product((p for p in crossings(5) if p[0] == first), crossings(5))
    wrong = [each for each in both if outcome(of, of.judge(of.read(*each)), *each) != "exact"]
    assert wrong == []


def single_misreadings(table: Table) -> list[Table]:
    """Every table with one reading changed to each of the others."""
    return [
        {**table, key: [*row[:at], other, *row[at + 1 :]]}
        for key, row in table.items()
        for at, was in enumerate(row)
        for other in "HC0"
        if other != was
    ]


@pytest.mark.parametrize("size", [2, 3, 4])
@pytest.mark.parametrize("kind", ["cables", "pipes", "moved"])
def test_one_wrong_reading_never_names_a_wrong_port(size: int, kind: str) -> None:
    """Every permutation of up to four ports with every single wrong reading: exact or unclear."""
    of, own = SMALL[size], tuple(range(size))
    for each in crossings(size):
        pipes = tuple(each.index(at) for at in own) if kind == "moved" else each if kind == "pipes" else own
        cables = own if kind == "pipes" else each
        found = {
            outcome(of, of.judge(table), cables, pipes)
            for table in single_misreadings(of.read(cables, pipes))
        }
        assert "wrong" not in found


@pytest.mark.parametrize("seed", range(60))
def test_one_wrong_reading_in_every_box_never_names_a_wrong_port(seed: int) -> None:
    """Four boxes with one wrong reading each, lines exchanged or not."""
    of = MANY
    rng = random.Random(seed)  # noqa: S311 — a fault, nothing secret
    count = len(of.calls.ports)
    cables, pipes = list(range(count)), list(of.homes)
    if seed % 3:
        one, other = rng.sample(range(count), 2)
        lines = cables if seed % 3 == 1 else pipes
        lines[one], lines[other] = lines[other], lines[one]
    table = of.read(cables, pipes)
    boxes = sorted({key[0] for key in table})
    misread(table, [rng.choice(sorted(key for key in table if key[0] == box)) for box in boxes], rng)
    assert outcome(of, of.judge(table), cables, pipes) != "wrong"


MANY = site(4, 6, 7, 3)
SYSTEMS = {"three boxes of eight": site(8, 8, 8, shared=5), "boxes of twelve": site(12, 12, shared=4)}


@pytest.mark.parametrize("name", SYSTEMS)
@pytest.mark.parametrize(("misreadings", "allowed"), [(0, {"exact"}), (1, {"exact", "unclear"})])
def test_seeded_faults(name: str, misreadings: int, allowed: set[str]) -> None:
    """Two hundred faults each; the bench has ten thousand."""
    found = {trial(SYSTEMS[name], seed, misreadings) for seed in range(200)}
    assert found <= allowed


@pytest.mark.parametrize("name", SYSTEMS)
def test_seeded_faults_without_stubs(name: str) -> None:
    """Two hundred faults: whose word a unit has is named, not whether by cable or pipe."""
    assert {trial(SYSTEMS[name], seed, 0, stubs=False) for seed in range(200)} == {"exact"}


@pytest.mark.parametrize("name", [*SYSTEMS, "small"])
@pytest.mark.parametrize("blank", [0.1, 0.4, 0.8])
def test_what_was_not_read_never_makes_a_wrong_verdict(name: str, blank: float) -> None:
    """Cells left blank or unclear, here and there or nearly all: what is found is right, or unclear."""
    of = SYSTEMS.get(name, MANY)
    for seed in range(60):
        rng = random.Random(seed)  # noqa: S311 — a fault, nothing secret
        cables, pipes = seeded_fault(of, rng)
        table = {
            key: [each if rng.random() > blank else rng.choice(["", "?"]) for each in row]
            for key, row in of.read(cables, pipes).items()
        }
        assert outcome(of, of.judge(table), cables, pipes) != "wrong", seed


@pytest.mark.parametrize("seed", [3114, 6119, 9330])
def test_units_of_one_port_with_one_wrong_reading(seed: int) -> None:
    """Two units on a stub that was not read have one state; one may be moved, and look as if it was not."""
    of = site(8, 8, 8, shared=5)
    assert trial(of, seed, 1, stubs=False) != "wrong"


@pytest.mark.parametrize("seed", [1188, 4864, 6709])
def test_an_exchange_that_saves_one_reading_is_not_claimed(seed: int) -> None:
    """Two wrong readings at ports of two boxes whose words differ in one round: unclear, not exchanged."""
    of = site(8, 8, 8, shared=5)
    assert trial(of, seed, 2) == "unclear"

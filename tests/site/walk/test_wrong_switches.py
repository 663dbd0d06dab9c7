"""Any one or two switches that stand wrong are found, exactly, on every size of box."""

from collections.abc import Iterator
from itertools import combinations

import pytest

from tagmaker.plan.model import Board, BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.walk.findings import BoxFindings
from tests.site.found import walk_of
from tests.site.walks import Values, as_planned
from tests.strategies import SIZES, BoxSketch, JobSketch, UnitSketch, shipped_family

USES = ("single", "spare", "joined", "mixed")
"""What the ports of a box are: all used, all but the first spare, all joined, a bit of everything."""


def plan_of(ports: int, use: str) -> Plan:
    """A box of that size with its ports used so."""
    letters = shipped_family().port_names[:ports]
    pairs = [f"{one}+{two}" for one, two in zip(letters[::2], letters[1::2], strict=True)]
    names = {
        "single": list(letters),
        "spare": [letters[0]],
        "joined": pairs,
        "mixed": [pairs[0], *letters[2:-1]],
    }[use]
    units = tuple(UnitSketch(f"FC-{number}", name, "12 kBtu/h") for number, name in enumerate(names))
    return plan_job(JobSketch((BoxSketch("BB-1", ports, units),)).record())[0]


def ruled(box: BoxPlan) -> list[tuple[Board, int, int]]:
    """Every switch that a rule sets: its board, bank and number."""
    return [
        (board, bank.number, switch.number)
        for board in box.boards
        for bank in board.banks
        for switch in bank.switches
        if switch.state != "leave"
    ]


def flipped(values: Values, switches: tuple[tuple[Board, int, int], ...]) -> Values:
    """What is found where these switches stand the other way."""
    found = dict(values)
    for board, bank, switch in switches:
        name = f"BB-1/{board.place}/{bank}/{switch}"
        found[name] = not found.get(name, False)
    return found


def told(walk: BoxFindings) -> set[tuple[str, str]]:
    """Board and switch of every punch."""
    return {(punch.place, punch.wrong) for punch in walk.punches}


def expected(values: Values, switches: tuple[tuple[Board, int, int], ...]) -> set[tuple[str, str]]:
    """What must be told of these switches, found as the values say."""
    return {
        (
            f"{board.place} board",
            (
                f"{board.banks[bank - 1].name} switch {switch} is "
                f"{'ON' if values[f'BB-1/{board.place}/{bank}/{switch}'] else 'OFF'}"
            ),
        )
        for board, bank, switch in switches
    }


def choices(switches: list[tuple[Board, int, int]]) -> Iterator[tuple[tuple[Board, int, int], ...]]:
    """Every single switch, and every two."""
    yield from ((switch,) for switch in switches)
    yield from combinations(switches, 2)


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("ports", SIZES)
def test_one_or_two_wrong_switches_are_told_and_no_other(ports: int, use: str) -> None:
    """Each choice of them anywhere in the box, a board or two."""
    plan = plan_of(ports, use)
    box = plan.boxes[0]
    right = as_planned(plan)
    wrong: list[object] = []
    for switches in choices(ruled(box)):
        values = flipped(right, switches)
        walk = walk_of(plan, box.row.key, values)
        if told(walk) != expected(values, switches) or walk.state != "differs":
            wrong.append((switches, walk.punches))
    assert wrong == []


@pytest.mark.parametrize("ports", SIZES)
def test_a_switch_that_no_rule_knows_hides_no_other(ports: int) -> None:
    """One that is left as found stands either way, and the wrong one beside it is still told."""
    plan = plan_of(ports, "mixed")
    box = plan.boxes[0]
    for board in box.boards:
        left = (board, 2, 3)
        for switch in ruled(box):
            values = flipped(as_planned(plan), (left, switch))
            walk = walk_of(plan, box.row.key, values)
            assert told(walk) == expected(values, (switch,))

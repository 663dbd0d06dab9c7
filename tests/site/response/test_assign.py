"""Rows to columns at the least cost, against scipy and against every answer there is."""

import random
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from tagmaker.site.response.assign import NONE, assign

FAR = 10**6
Table = tuple[list[list[int]], list[int]]


def every_best(costs: list[list[int]], alone: list[int], margin: int = 0) -> tuple[int, list[frozenset[int]]]:
    """The least cost, and what each row takes in any answer that has it, by trying all.

    A row's own column counts in answers that cost at most the margin more.
    """
    columns = len(costs[0])
    totals: dict[tuple[int, ...], int] = {}
    for answer in product([NONE, *range(columns)], repeat=len(costs)):
        taken = [column for column in answer if column != NONE]
        if len(set(taken)) == len(taken):
            totals[answer] = sum(
                alone[row] if column == NONE else costs[row][column] for row, column in enumerate(answer)
            )
    best, options = min(totals.values()), [set[int]() for _ in costs]
    for answer, total in totals.items():
        for row, column in enumerate(answer):
            own = row if row < columns else NONE
            if total == best or (total <= best + margin and column == own):
                options[row].add(column)
    return best, list(map(frozenset, options))


@st.composite
def tables(draw: st.DrawFn, most: int = 4) -> Table:
    """Small tables whose costs are often the same."""
    rows, columns = draw(st.integers(1, most)), draw(st.integers(1, most))
    cost = st.integers(0, draw(st.sampled_from([1, 3, 8])))
    costs = draw(st.lists(st.lists(cost, min_size=columns, max_size=columns), min_size=rows, max_size=rows))
    return costs, draw(st.lists(cost, min_size=rows, max_size=rows))


@given(tables())
def test_options_are_those_of_every_best_answer(table: Table) -> None:
    """Neither one too many, which would be no answer where there is one, nor one too few: a guess."""
    found = assign(*table)
    total, options = every_best(*table)
    assert (found.total, list(found.options)) == (total, options)
    assert all(column in own for column, own in zip(found.chosen, options, strict=True))


@given(tables(), st.integers(1, 3))
def test_its_own_column_is_an_option_within_the_margin(table: Table, margin: int) -> None:
    """As trying all answers shows; no other column is."""
    found = assign(*table, margin)
    assert (found.total, list(found.options)) == every_best(*table, margin)


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize(("rows", "columns", "most"), [(30, 30, 8), (40, 25, 3), (20, 45, 6), (90, 80, 9)])
def test_the_total_is_scipys(rows: int, columns: int, most: int, seed: int) -> None:
    """`scipy.optimize.linear_sum_assignment`, with a column of its own for each row that takes none."""
    rng = random.Random(seed)  # noqa: S311 — a table, nothing secret
    costs = [[rng.randint(0, most) for _ in range(columns)] for _ in range(rows)]
    alone = [rng.randint(0, most + 3) for _ in range(rows)]
    square = np.full((rows, columns + rows), FAR)
    square[:, :columns] = costs
    np.fill_diagonal(square[:, columns:], alone)
    at = linear_sum_assignment(square)
    found = assign(costs, alone)
    assert found.total == square[at].sum()
    taken = [column for column in found.chosen if column != NONE]
    assert len(set(taken)) == len(taken)


def test_a_row_keeps_its_place_where_nothing_is_better() -> None:
    """Rows that all cost nothing anywhere stay as they are, and may be anywhere."""
    found = assign([[0] * 5] * 5, [9] * 5)
    assert found.chosen == (0, 1, 2, 3, 4)
    assert set(found.options) == {frozenset(range(5))}

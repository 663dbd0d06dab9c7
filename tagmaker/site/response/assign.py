"""Rows to columns at the least total cost, with every choice that some best answer makes.

Takes whole costs, a list a row, and what each row costs that takes no column. Shortest augmenting paths with
potentials (Jonker and Volgenant, Computing 38 (1987), from memory): the potentials show which other answers
cost the same, which scipy's `linear_sum_assignment` does not give. That is the reference of the tests alone:
it is 35 MB, and one whole answer says nothing of ties.
"""

from collections.abc import Sequence

from msgspec import Struct

__all__ = ["NONE", "Assigned", "assign"]

NONE = -1
"""The choice of a row that takes no column."""
FAR = 1 << 60


class Assigned(Struct, frozen=True):
    """The total cost, a best answer, and for each row all the columns that it takes in some best answer.

    A row's own column is one of them too where answers with it cost at most the margin more.
    """

    total: int
    chosen: tuple[int, ...]
    options: tuple[frozenset[int], ...]


def assign(costs: Sequence[Sequence[int]], alone: Sequence[int], margin: int = 0) -> Assigned:
    """A column or none for every row, a column once; `alone` is what a row without one costs.

    A row's own column has its number; a row beyond the columns has none. `margin` is what it must cost more
    to stay there before that is left out.
    """
    solver = _Solver(costs, alone)
    for row in range(len(costs)):
        solver.take_if_tight(row)
    for row in range(len(costs)):
        if solver.column_of[row] is None:
            solver.augment(row)
    chosen = tuple(NONE if column is None else column for column in solver.column_of)
    total = sum(alone[row] if column == NONE else costs[row][column] for row, column in enumerate(chosen))
    return Assigned(total, chosen, solver.options(margin))


class _Solver:
    """Rows being matched, with potentials of rows and columns; free columns have potential 0."""

    def __init__(self, costs: Sequence[Sequence[int]], alone: Sequence[int]) -> None:
        self.costs, self.alone = costs, alone
        self.columns = len(costs[0]) if costs else 0
        self.u = [min(min(row, default=FAR), own) for row, own in zip(costs, alone, strict=True)]
        self.v = [0] * self.columns
        self.column_of: list[int | None] = [None] * len(costs)
        self.row_of: list[int | None] = [None] * self.columns

    def take_if_tight(self, row: int) -> None:
        """Give a row a free column that costs the least, its own place first; or none where that does."""
        costs, least = self.costs[row], self.u[row]
        own = [row] if row < self.columns and costs[row] == least else []
        tight = [column for column, cost in enumerate(costs) if cost == least]
        for column in (*own, *tight):
            if self.row_of[column] is None:
                self.row_of[column], self.column_of[row] = row, column
                return
        if self.alone[row] == least:
            self.column_of[row] = NONE

    def augment(self, start: int) -> None:
        """Match one more row over the cheapest alternating path."""
        far = [FAR] * self.columns
        came = [start] * self.columns
        left = set(range(self.columns))
        scanned, visited = [(start, 0)], list[int]()
        row, walked, last, end = start, 0, FAR, start
        while True:
            base, costs = walked - self.u[row], self.costs[row]
            for column in left:
                reach = base + costs[column] - self.v[column]
                if reach < far[column]:
                    far[column], came[column] = reach, row
            if base + self.alone[row] < last:
                last, end = base + self.alone[row], row
            nearest = min(left, key=far.__getitem__, default=None)
            if nearest is None or last <= far[nearest]:
                self._move(scanned, visited, far, last)
                self._release(end, came, start)
                return
            owner = self.row_of[nearest]
            if owner is None:
                self._move(scanned, visited, far, far[nearest])
                self._along(nearest, came, start)
                return
            left.remove(nearest)
            visited.append(nearest)
            row, walked = owner, far[nearest]
            scanned.append((row, walked))

    def _move(self, scanned: list[tuple[int, int]], visited: list[int], far: list[int], reach: int) -> None:
        """Keep the potentials right for the path that was found."""
        for row, walked in scanned:
            self.u[row] += reach - walked
        for column in visited:
            self.v[column] -= reach - far[column]

    def _release(self, row: int, came: list[int], start: int) -> None:
        """Let a row go without a column, and pass its column on."""
        column, self.column_of[row] = self.column_of[row], NONE
        if row != start and column is not None:
            self._along(column, came, start)

    def _along(self, column: int, came: list[int], start: int) -> None:
        """Give a column to the row that it was reached from, that row's to the one before, and so on."""
        while True:
            row = came[column]
            before, self.column_of[row], self.row_of[column] = self.column_of[row], column, row
            if row == start or before is None:
                return
            column = before

    def options(self, margin: int) -> tuple[frozenset[int], ...]:
        """What each row takes in some best answer: what lies on a cycle of choices that cost nothing more.

        The rows are nodes, and one more stands for every column that is free: a row leads to the row whose
        column it could take.
        """
        tight = [self._tight(row) for row in range(len(self.costs))]
        edges = self._edges(0)
        part = _parts(edges)
        found = [
            frozenset(
                column
                for column in columns
                if column == self.column_of[row] or part[self._node(column)] == part[row]
            )
            for row, columns in enumerate(tight)
        ]
        moved = [row for row in range(len(found)) if self._own(row) not in found[row]]
        if moved and margin:
            by_cost = [edges, *(self._edges(more) for more in range(1, margin + 1))]
            for row in moved:
                more = self._more(row)
                if more <= margin and _leads(by_cost[: margin - more + 1], self._node(self._own(row)), row):
                    found[row] |= {self._own(row)}
        return tuple(found)

    def _own(self, row: int) -> int:
        return row if row < self.columns else NONE

    def _more(self, row: int) -> int:
        """What a row costs more at its own column by the potentials."""
        own = self._own(row)
        return (self.alone[row] if own == NONE else self.costs[row][own] - self.v[own]) - self.u[row]

    def _edges(self, more: int) -> list[list[int]]:
        """From each node the nodes whose columns it could take for so much more."""
        free = len(self.costs)
        edges = [[self._node(column) for column in self._tight(row, more)] for row in range(free)]
        return [*edges, [row for row in range(free) if self._may_release(row, more)]]

    def _tight(self, row: int, more: int = 0) -> list[int]:
        """The choices of a row that cost so much more by the potentials."""
        base = self.u[row] + more
        columns = [
            column
            for column, (cost, v) in enumerate(zip(self.costs[row], self.v, strict=True))
            if cost == base + v
        ]
        return [*columns, NONE] if self.alone[row] == base else columns

    def _node(self, column: int) -> int:
        owner = None if column == NONE else self.row_of[column]
        return len(self.costs) if owner is None else owner

    def _may_release(self, row: int, more: int) -> bool:
        """Whether what a row has may be left to nobody for so much more."""
        column = self.column_of[row]
        return (0 if column is None or column == NONE else -self.v[column]) == more


def _leads(by_cost: Sequence[Sequence[Sequence[int]]], start: int, end: int) -> bool:
    """Whether edges lead from a node to another for at most the highest cost; `by_cost` has them by cost."""
    reached = [{start}] + [set[int]() for _ in by_cost[1:]]
    for cost, found in enumerate(reached):
        work = list(found)
        while work:
            node = work.pop()
            for more, edges in enumerate(by_cost[: len(reached) - cost]):
                new = set(edges[node]) - reached[cost + more]
                reached[cost + more] |= new
                work += new if more == 0 else ()
    return any(end in found for found in reached)


def _parts(edges: Sequence[Sequence[int]]) -> list[int]:
    """The strongly connected part of each node, by a number (Kosaraju and Sharir: two passes)."""
    back: list[list[int]] = [[] for _ in edges]
    for node, others in enumerate(edges):
        for other in others:
            back[other].append(node)
    part = [-1] * len(edges)
    for number, root in enumerate(reversed(_finished(edges))):
        left = [root]
        while left:
            node = left.pop()
            if part[node] < 0:
                part[node] = number
                left += back[node]
    return part


def _finished(edges: Sequence[Sequence[int]]) -> list[int]:
    """The nodes in the order in which a walk along the edges is done with them."""
    order: list[int] = []
    seen = [False] * len(edges)
    for root in range(len(edges)):
        work = [] if seen[root] else [(root, iter(edges[root]))]
        seen[root] = True
        while work:
            node, others = work[-1]
            other = next((each for each in others if not seen[each]), None)
            if other is None:
                order.append(node)
                work.pop()
            else:
                seen[other] = True
                work.append((other, iter(edges[other])))
    return order

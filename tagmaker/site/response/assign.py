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
    """The total cost, a best answer, and for each row all the columns that it takes in some best answer."""

    total: int
    chosen: tuple[int, ...]
    options: tuple[frozenset[int], ...]


def assign(costs: Sequence[Sequence[int]], alone: Sequence[int]) -> Assigned:
    """A column or none for every row, a column once; `alone` is what a row without one costs."""
    solver = _Solver(costs, alone)
    for row in range(len(costs)):
        solver.take_if_tight(row)
    for row in range(len(costs)):
        if solver.column_of[row] is None:
            solver.augment(row)
    chosen = tuple(NONE if column is None else column for column in solver.column_of)
    total = sum(alone[row] if column == NONE else costs[row][column] for row, column in enumerate(chosen))
    return Assigned(total, chosen, solver.options())


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

    def options(self) -> tuple[frozenset[int], ...]:
        """What each row takes in some best answer: what lies on a cycle of choices that cost nothing more.

        The rows are nodes, and one more stands for every column that is free: a row leads to the row whose
        column it could take.
        """
        free = len(self.costs)
        tight = [self._tight(row) for row in range(free)]
        edges = [[self._node(column) for column in columns] for columns in tight]
        edges.append([row for row in range(free) if self._may_release(row)])
        part = _parts(edges)
        return tuple(
            frozenset(
                column
                for column in columns
                if column == self.column_of[row] or part[self._node(column)] == part[row]
            )
            for row, columns in enumerate(tight)
        )

    def _tight(self, row: int) -> list[int]:
        """The choices of a row that cost nothing more by the potentials."""
        base = self.u[row]
        columns = [
            column
            for column, (cost, v) in enumerate(zip(self.costs[row], self.v, strict=True))
            if cost == base + v
        ]
        return [*columns, NONE] if self.alone[row] == base else columns

    def _node(self, column: int) -> int:
        owner = None if column == NONE else self.row_of[column]
        return len(self.costs) if owner is None else owner

    def _may_release(self, row: int) -> bool:
        """Whether what a row has may be left to nobody."""
        column = self.column_of[row]
        return column is None or column == NONE or self.v[column] == 0


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

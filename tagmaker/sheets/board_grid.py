"""One grid for the pictures of all boards of a box: how many abreast, how large, over how many pages.

Takes boards and the room for them; gives a grid: the arrangement in which ON and OFF are largest, each thing
of one size on all boards. Boards that a page cannot hold at the least sizes go on overleaf, a bank never
divided.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.plan.model import BankPlan, Board
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.reasons import on_list, reason
from tagmaker.typeset.text import lines_needed, text_height, text_width

__all__ = [
    "BANKS_APART",
    "BETWEEN",
    "LABEL_SIZES",
    "LINE",
    "PAD",
    "PAGE_SIZES",
    "Grid",
    "Grids",
    "Part",
    "Sizes",
    "grid_of",
    "heading",
    "reasons_text",
]

PAD = 1.6  # mm between a board's frame and what is in it
BETWEEN = 1.5  # mm between boards
BANKS_APART = 5.0  # mm between banks side by side
BANK_GAP = 0.9  # mm below a bank
LINE = 1.52  # a line's height in capitals, with what reaches above and below them
CELL = 2.62  # a switch's width in capitals of ON and OFF: the wider word with a gap
CELL_MOST = 5.0
ENDS = 2.43  # the same of the column for the words at the ends of the slots, without its margins
ENDS_PAD = 1.8  # mm
NUMBER_HIGH = 1.3
SQUARE = 1.3  # a position's square in the heading, in the heading's capitals
SQUARE_GAP = 0.8
HEADING_LEAST = 2.6  # mm
LISTED_LEAST = 0.7  # of its usual size; a list that would be smaller has a line of its own
LARGEST = 2.2  # times the usual sizes
APART = "   "
SEARCHES = 40  # sizes tried
CLOSE = 1e-6


class Sizes(Struct, frozen=True):
    """Capitals in mm: the words ON and OFF, the list of what is ON, a board's heading.

    `slot` is the height of the slots, `block` that of the words below them.
    """

    word: float
    listed: float
    heading: float
    slot: float
    block: float

    @property
    def bank_name(self) -> float:
        """Capitals of a bank's name."""
        return max(PAGE_CAPS, self.word * 0.85)

    def times(self, scale: float) -> "Sizes":
        """All of them larger."""
        return Sizes(
            self.word * scale,
            self.listed * scale,
            self.heading * scale,
            self.slot * scale,
            self.block * scale,
        )


PAGE_SIZES = Sizes(word=4.0, listed=7.2, heading=4.6, slot=14.0, block=7.3)
"""On letter or A4 paper, read from 1.5 m: the list by NUREG-0700."""
LABEL_SIZES = Sizes(word=3.0, listed=3.6, heading=3.6, slot=9.0, block=4.8)
"""On smaller pages, read from 0.7 m."""


class Part(Struct, frozen=True):
    """A row of boards side by side (from 0), and their rows of banks from `first` to before `end`."""

    row: int
    first: int
    end: int


class Grid(Struct, frozen=True):
    """The arrangement: boards abreast, banks across in each, sizes, and the heights of parts in mm.

    `reason_lines` are those of each row of boards and of banks, so that boards side by side are alike;
    `is_stacked` is whether a bank's list is below its name; `squares_apart` how many lines of squares are
    below a board's name, none where they are beside it.
    """

    boards: tuple[Board, ...]
    width: float
    abreast: int
    across: int
    sizes: Sizes
    reason_lines: tuple[tuple[int, ...], ...]
    is_stacked: bool
    squares_apart: int

    @property
    def board_width(self) -> float:
        """Of one board's frame, in mm."""
        return (self.width - BETWEEN * (self.abreast - 1)) / self.abreast

    @property
    def bank_width(self) -> float:
        """Of one bank, in mm."""
        return (self.board_width - 2 * PAD - BANKS_APART * (self.across - 1)) / self.across

    @property
    def square(self) -> float:
        """The side of a position's square."""
        return self.sizes.heading * SQUARE

    @property
    def head_height(self) -> float:
        """A board's heading, with the squares of its positions."""
        return self.square + 0.8 + self.squares_apart * (self.square + SQUARE_GAP)

    @property
    def bank_head(self) -> float:
        """A bank's name and list."""
        name = self.sizes.bank_name * LINE if self.is_stacked else 0.0
        return self.sizes.listed * LINE + name

    @property
    def words_height(self) -> float:
        """The numbers and words below the slots."""
        return self.sizes.word * NUMBER_HIGH + self.sizes.block + 0.7

    def reasons_height(self, row: int, of_banks: int) -> float:
        """The reasons below a row of banks, in a row of boards (from 0)."""
        lines = self.reason_lines[row][of_banks]
        return text_height(PAGE_CAPS, lines) + 0.4 if lines else 0.0

    def bank_height(self, row: int, of_banks: int) -> float:
        """A row of banks in a row of boards (from 0), with all that belongs to it."""
        below = self.words_height + self.reasons_height(row, of_banks)
        return self.bank_head + self.sizes.slot + below + BANK_GAP

    @property
    def cell(self) -> float:
        """The width of a switch."""
        most = max(len(bank.switches) for bank in self.boards[0].banks)
        return min((self.bank_width - self.ends) / most, self.sizes.word * CELL_MOST)

    @property
    def ends(self) -> float:
        """The width of the words at the ends of the slots."""
        return self.sizes.word * ENDS + ENDS_PAD

    def body_width(self, bank: BankPlan) -> float:
        """The width of a bank's slots with the words at their ends."""
        return self.ends + self.cell * len(bank.switches)

    @property
    def rows(self) -> list[tuple[Board, ...]]:
        """The boards, row by row."""
        return [self.boards[at : at + self.abreast] for at in range(0, len(self.boards), self.abreast)]

    @property
    def bank_rows(self) -> int:
        """Rows of banks in a board."""
        return -(-len(self.boards[0].banks) // self.across)

    def part_height(self, part: Part) -> float:
        """A row of boards with some of their rows of banks."""
        banks = sum(self.bank_height(part.row, of_banks) for of_banks in range(part.first, part.end))
        return 2 * PAD + self.head_height + banks

    @property
    def height(self) -> float:
        """All boards on one page."""
        return self.height_of([Part(row, 0, self.bank_rows) for row in range(len(self.rows))])

    def taller(self, extra: float) -> "Grid":
        """The grid with longer slots where a page has height to spare, by at most half."""
        rows = len(self.rows) * self.bank_rows
        slot = min(self.sizes.slot * 1.5, self.sizes.slot + max(0.0, extra) / rows)
        return replace(self, sizes=replace(self.sizes, slot=slot))

    def height_of(self, parts: Sequence[Part]) -> float:
        """Some parts one below the other."""
        return sum(self.part_height(part) + BETWEEN for part in parts) - BETWEEN

    def pages(self, first: float, others: float) -> list[list[Part]]:
        """The parts of each page, where the first has so much height and the others have so much."""
        pages: list[list[Part]] = [[]]
        left = first
        for row in range(len(self.rows)):
            at = 0
            while at < self.bank_rows:
                end = self._banks_within(row, at, left, others)
                if end == at and left < others:
                    pages.append([])
                    left = others
                    continue
                pages[-1].append(Part(row, at, max(end, at + 1)))
                left -= self.part_height(pages[-1][-1]) + BETWEEN
                at = pages[-1][-1].end
        return pages

    def _banks_within(self, row: int, first: int, height: float, whole_page: float) -> int:
        """Up to which row of banks a height holds from one on; all or none where a page holds all."""
        is_whole = self.part_height(Part(row, 0, self.bank_rows)) <= whole_page + CLOSE
        ends = [self.bank_rows] if is_whole else range(self.bank_rows, first, -1)
        fitting = (end for end in ends if self.part_height(Part(row, first, end)) <= height + CLOSE)
        return next(fitting, first)


class Grids:
    """The ways to arrange the boards of a box on a width: found once, made as large as each height allows."""

    def __init__(self, boards: Sequence[Board], width: float, sizes: Sizes, words: Words) -> None:
        self.sizes, self.texts = sizes, _texts(boards, words)
        self.ways = [
            replace(grid, reason_lines=_reason_lines(grid, words))
            for grid in _arrangements(tuple(boards), width, sizes, self.texts)
        ]

    def within(self, first: float, others: float) -> Grid:
        """The lowest of the grids in which ON and OFF are largest; that of fewest pages where one holds none.

        The first page has so much height, and those that go on have so much.
        """
        grids = [_sized(grid, first, self.sizes, self.texts) for grid in self.ways]
        fitting = [grid for grid in grids if grid.height <= first + CLOSE]
        if fitting:
            usual = self.sizes.word
            return max(fitting, key=lambda grid: (round(grid.sizes.word / usual, 1), -round(grid.height)))
        return min(
            grids, key=lambda grid: (len(grid.pages(first, others)), round(grid.height, 1), -grid.abreast)
        )


class _Texts(Struct, frozen=True):
    """How wide texts are for each mm of their capitals: the widest heading; each bank's name and list."""

    heading: float
    banks: tuple[tuple[float, float], ...]


def _texts(boards: Sequence[Board], words: Words) -> _Texts:
    banks = [bank for board in boards for bank in board.banks]
    return _Texts(
        max(_width(heading(board, words)) for board in boards),
        tuple((_width(bank.name), _width(on_list(bank, words))) for bank in banks),
    )


def _width(text: str) -> float:
    return text_width(text, 1.0, bold=True)


def grid_of(
    boards: Sequence[Board], width: float, heights: tuple[float, float], sizes: Sizes, words: Words
) -> Grid:
    """The grid for the heights that the first page and those that go on have."""
    return Grids(boards, width, sizes, words).within(*heights)


def _arrangements(boards: tuple[Board, ...], width: float, sizes: Sizes, texts: _Texts) -> Iterator[Grid]:
    """Every way to divide the width in which all fits at these sizes; the narrowest where none does."""
    banks = len(boards[0].banks)
    found = False
    for abreast in _divisors(len(boards)):
        for across in _divisors(banks):
            grid = Grid(boards, width, abreast, across, sizes, (), is_stacked=False, squares_apart=0)
            if (abreast, across) == (1, 1) and not found:
                yield grid
            elif grid.bank_width >= _least_width(grid, texts) - CLOSE:
                found = True
                yield grid


def _divisors(count: int) -> list[int]:
    """How many may be side by side: each number of rows once, the most abreast first."""
    return sorted({-(-count // rows) for rows in range(1, count + 1)}, reverse=True)


def _least_width(grid: Grid, texts: _Texts) -> float:
    """What a bank needs at the grid's sizes: its switches, its name, its list."""
    most = max(len(bank.switches) for board in grid.boards for bank in board.banks)
    name = max(name for name, _ in texts.banks) * PAGE_CAPS
    listed = max(listed for _, listed in texts.banks) * HEADING_LEAST
    board = texts.heading * HEADING_LEAST
    share = (board - BANKS_APART * (grid.across - 1)) / grid.across
    return max(grid.ends + most * CELL * grid.sizes.word, name, listed, share)


def _sized(grid: Grid, height: float, sizes: Sizes, texts: _Texts) -> Grid:
    """The grid as large as its width and the height allow, never below its own sizes."""
    most = max(len(bank.switches) for bank in grid.boards[0].banks)
    wide = (grid.bank_width - ENDS_PAD) / (ENDS + most * CELL) / sizes.word
    scale = min(wide, LARGEST)
    for _ in range(SEARCHES):
        made = _headed(replace(grid, sizes=sizes.times(max(1.0, scale))), texts)
        if made.height <= height + CLOSE or scale <= 1:
            break
        scale = min(scale - 0.02, scale * height / made.height)
    return made


def _reason_lines(grid: Grid, words: Words) -> tuple[tuple[int, ...], ...]:
    """How many lines the reasons take, of each row of boards and of banks: on any of those side by side."""
    return tuple(
        tuple(_lines_of_row(grid, boards, row, words) for row in range(grid.bank_rows))
        for boards in grid.rows
    )


def _lines_of_row(grid: Grid, boards: tuple[Board, ...], of_banks: int, words: Words) -> int:
    """How many lines the reasons of a row of banks take, on any of the boards side by side."""
    rows = [board.banks[of_banks * grid.across : (of_banks + 1) * grid.across] for board in boards]
    texts = [reasons_text(bank, words, grid.bank_width) for banks in rows for bank in banks]
    return max(lines_needed(text, grid.bank_width, PAGE_CAPS) for text in texts)


def _headed(grid: Grid, texts: _Texts) -> Grid:
    """The grid with its headings and lists of one size each, as large as all of them fit."""
    inner = grid.board_width - 2 * PAD
    count = max(len(board.letters) + board.unfitted for board in grid.boards)
    beside = (inner - 1.5 - SQUARE_GAP * (count - 1)) / (texts.heading + SQUARE * count)
    largest = grid.sizes.heading
    caps, apart = min(largest, beside), 0
    if caps < HEADING_LEAST:
        caps = max(PAGE_CAPS, min(largest, inner / texts.heading))
        a_line = max(1, int((inner + SQUARE_GAP) / (caps * SQUARE + SQUARE_GAP)))
        apart = -(-count // a_line)
    listed, is_stacked = _listed(grid, texts)
    sizes = replace(grid.sizes, heading=caps, listed=listed)
    return replace(grid, sizes=sizes, squares_apart=apart, is_stacked=is_stacked)


def _listed(grid: Grid, texts: _Texts) -> tuple[float, bool]:
    """Capitals of the lists of what is ON, and whether they are below the banks' names."""
    width, name_caps = grid.bank_width, grid.sizes.bank_name
    beside = min((width - name * name_caps - 2.0) / max(listed, CLOSE) for name, listed in texts.banks)
    if beside >= grid.sizes.listed * LISTED_LEAST:
        return min(grid.sizes.listed, beside), False
    alone = min(width / max(listed, CLOSE) for _, listed in texts.banks)
    return max(PAGE_CAPS, min(grid.sizes.listed, alone)), True


def heading(board: Board, words: Words) -> str:
    """A board's heading."""
    return words("placard.board", place=board.place).upper()


def reasons_text(bank: BankPlan, words: Words, width: float) -> str:
    """The reasons of a bank's settings, switches with the same one together, each whole where it can be."""
    switches: dict[str, list[int]] = {}
    for switch in bank.switches:
        if why := reason(switch, words):
            switches.setdefault(why, []).append(switch.number)
    texts = [
        words("placard.reason", switch=" ".join(map(str, numbers)), reason=why)
        for why, numbers in switches.items()
    ]
    whole = [text.replace(" ", "\u00a0") if text_width(text, PAGE_CAPS) <= width else text for text in texts]
    return APART.join(whole)

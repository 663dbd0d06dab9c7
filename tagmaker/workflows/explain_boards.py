"""The boards of a box as found, drawn with each switch where somebody set it on the picture.

Takes what `explain` found of a box; gives the picture and the place of each switch on it, so that a page lays
its controls there. The picture has no plan: it shows no reasons.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.svg import svg
from tagmaker.plan.model import BankPlan, Board, SwitchPlan
from tagmaker.plan.ports import fitted_letters
from tagmaker.problems import Where
from tagmaker.sheets.board_grid import LABEL_SIZES, Part, grid_of
from tagmaker.sheets.board_pictures import BoardPictures
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.fonts import all_faces
from tagmaker.typeset.frame import Frame
from tagmaker.workflows.explain import FoundBox, Setting

__all__ = ["BoardsPicture", "FamilyKnown", "SwitchShown", "boards_picture", "families_known", "tapped"]

WIDTH = 150.0  # mm
EDGE = 0.5  # mm around all
ENDLESS = 1e6  # mm: a screen's page is as high as it needs to be
NUMBERS = 2.2  # heights of a switch's slot that it takes with its number and word


class FamilyKnown(Struct, frozen=True):
    """A family that a box can be of: its name, its title, its sizes."""

    name: str
    title: str
    port_counts: tuple[int, ...]


class SwitchShown(Struct, frozen=True):
    """A switch of a picture: its board, its bank with its name, its number, whether it is ON, its place."""

    board: str
    bank: int
    bank_name: str
    switch: int
    is_on: bool
    frame: Frame


class BoardsPicture(Struct, frozen=True):
    """Boards drawn, so many millimetres wide and high."""

    svg: str
    width: float
    height: float
    switches: tuple[SwitchShown, ...]


def families_known(job_folder: Path | None) -> tuple[FamilyKnown, ...]:
    """The families without faults that are shipped or in a job's folder, by name."""
    found = (load_family(name, job_folder, Where("--family"))[0] for name in names("families", job_folder))
    return tuple(FamilyKnown(each.name, each.title, each.port_counts) for each in found if each)


def tapped(switches: Iterable[str]) -> dict[str, Setting]:
    """Switches that are ON, each as a page names it ("left/1/3": board, bank, switch), by board.

    What is no switch is passed over: only a page of another box would name it.
    """
    found: dict[str, dict[tuple[int, int], bool]] = {}
    for each in switches:
        place, bank, number = each.rsplit("/", 2) if each.count("/") >= 2 else ("", "", "")
        if bank.isdecimal() and number.isdecimal() and bank.isascii() and number.isascii():
            found.setdefault(place, {})[int(bank[:9]), int(number[:9])] = True
    return dict(found)


def boards_picture(box: FoundBox) -> BoardsPicture:
    """The boards from left to right, every switch ON or OFF as found."""
    words = load_words()
    layout = Layout("boards as found", Where("FOUND"), "")
    boards = tuple(_boards(box.family, box.ports, box.found))
    inner = Frame(EDGE, EDGE, WIDTH - 2 * EDGE, ENDLESS)
    grid = grid_of(boards, inner.width, (0.0, ENDLESS), LABEL_SIZES, words)
    pictures = BoardPictures(layout, words, grid)
    pictures.draw([Part(row, 0, grid.bank_rows) for row in range(len(grid.rows))], inner)
    page = Page(WIDTH, grid.height + 2 * EDGE, tuple(layout.marks))
    return BoardsPicture(
        svg(page, all_faces(), "Boards as found"),
        page.width,
        page.height,
        tuple(_switches(boards, pictures.cells)),
    )


def _boards(family: Family, ports: int, found: Mapping[str, Setting]) -> Iterator[Board]:
    letters, step = fitted_letters(family, ports), family.ports_per_board
    for index, place in enumerate(family.places[family.board_count(ports) - 1]):
        own = letters[index * step : (index + 1) * step]
        banks = tuple(_banks(family, found.get(place, {})))
        yield Board(place, own, step - len(own), banks)


def _banks(family: Family, found: Setting) -> Iterator[BankPlan]:
    for number, bank in enumerate(family.banks, start=1):
        states = tuple(
            SwitchPlan(switch, "on" if found.get((number, switch), False) else "off")
            for switch in range(1, bank.switches + 1)
        )
        yield BankPlan(number, bank.name, bank.on_points, bank.numbered_from, states)


def _switches(boards: Iterable[Board], cells: Iterable[Frame]) -> Iterator[SwitchShown]:
    """Each switch with its place, in the order in which they are drawn."""
    places = iter(cells)
    for board in boards:
        for bank in board.banks:
            for switch in bank.in_order():
                cell = next(places)
                frame = Frame(cell.x, cell.y, cell.width, cell.height * NUMBERS)
                is_on = switch.state == "on"
                yield SwitchShown(board.place, bank.number, bank.name, switch.number, is_on, frame)

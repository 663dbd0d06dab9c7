"""The builder of tags: it fills in all that follows from a tag's kind, its port and its end."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.stock import Use
from tagmaker.catalog.words import Words
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import Board, BoxPlan, Port, PortUse
from tagmaker.problems import Where
from tagmaker.tags.codes import BOX_WHAT, PORT_WHAT, UNIT_WHAT, TagCode
from tagmaker.tags.model import PIPES, BoxKind, OutsideDiameter, PipeKind, PortKind, Tag, TagKind, UnitKind
from tagmaker.tags.outside_diameter import outside_diameter
from tagmaker.tags.revision import revision_text

__all__ = ["PLACES", "STOCK_USES", "Remark", "TagBuilder"]


STOCK_USES: Mapping[TagKind, Use] = MappingProxyType(
    {
        "cable": "cable",
        "terminal": "terminal",
        "locator": "locator",
        "isolation": "isolation",
        "splitter": "splitter",
        "unit": "unit",
        "controller": "unit",
    }
)  # fmt: skip
"""Tags that have stocks of their own; all others are on pipes."""
PLACES: Mapping[TagKind, str] = MappingProxyType(
    {"locator": "ceiling", "isolation": "isolation_end", "splitter": "splitter_end", "controller": "in_room"}
)
"""The words for where a label is put that is at no end of a line."""
LATE: frozenset[TagKind] = frozenset({"locator", "isolation", "splitter", "unit", "controller"})
"""What is put on only after the pressure test, over the insulation or when the rooms are done."""


class Remark(Struct, frozen=True):
    """The sentence on a tag beside its units; a caution is printed so that nobody overlooks it.

    `short` is what a cell of a terminal strip says instead.
    """

    text: str = ""
    is_caution: bool = False
    short: str = ""


class _Subject(Struct, frozen=True):
    """What a tag is put on: its port's use, the rows whose units it names, board, diameter, address, pipe."""

    where: Where
    use: Literal[PortUse, ""] = ""
    rows: tuple[UnitRow, ...] = ()
    board: Board | None = None
    outside: OutsideDiameter | None = None
    address: str = ""
    pipe: Literal[PipeKind, ""] = ""
    beside: str = ""


class TagBuilder(Struct, frozen=True):
    """Builds the tags of one box; before the pipes are insulated (`is_rough_in`) they wrap bare tubes."""

    job: Job
    box: BoxPlan
    words: Words
    is_rough_in: bool

    def of_port(
        self, kind: PortKind, port: Port, letter: str, remark: Remark, unit: UnitRow | None = None
    ) -> Tag:
        """A tag of a port's letter: at the box, where it names all the port's units, or at one unit."""
        code = TagCode(self.box.row.key, letter, PORT_WHAT[kind], unit.key if unit else "")
        return self._of_port(kind, code, port, remark, unit)

    def of_cable_on(self, port: Port, remark: Remark, unit: UnitRow) -> Tag:
        """The tag at a unit of the cable that leads to the next unit of the port."""
        code = TagCode(self.box.row.key, port.letters[0], PORT_WHAT["cable"], unit.key, goes_on=True)
        return self._of_port("cable", code, port, remark, unit)

    def at_splitter(self, pipe: PipeKind, port: Port, remark: Remark, unit: UnitRow) -> Tag:
        """The tag of a unit's pipe where the port's pipe divides; it goes over the insulation."""
        letter = port.letters[0]
        code = TagCode(self.box.row.key, letter, PORT_WHAT[pipe], unit.key, at_splitter=True)
        outside = outside_diameter(pipe, (unit,), bare=False)
        subject = _Subject(unit.where, port.use, (unit,), self._board(letter), outside, pipe=pipe)
        return self._tag("splitter", code, subject, remark)

    def of_unit(self, kind: UnitKind, port: Port, unit: UnitRow) -> Tag:
        """A label of a unit itself, or of its controller."""
        letter = port.letters[0]
        code = TagCode(self.box.row.key, letter, UNIT_WHAT[kind], unit.key)
        at = self.words("tag.box_and_port", box=self.box.row.shown, port=port.name)
        subject = _Subject(
            unit.where, port.use, (unit,), self._board(letter), address=unit.address, beside=at
        )
        return self._tag(kind, code, subject, Remark())

    def of_box(
        self, kind: BoxKind, remark: str, outside: OutsideDiameter | None = None, beside: str = ""
    ) -> Tag:
        """A label of the box itself."""
        row = self.box.row
        code = TagCode(row.key, "", BOX_WHAT[kind])
        return self._tag(kind, code, _Subject(row.where, outside=outside, beside=beside), Remark(remark))

    @property
    def _box_shown(self) -> str:
        """The box as printed; a single sign has the word before it: beside a letter it reads as a port."""
        shown = self.box.row.shown
        return self.words("tag.one_sign_box", box=shown) if len(shown) == 1 else shown

    def _board(self, letter: str) -> Board:
        """The board that serves a letter."""
        return next(board for board in self.box.boards if letter in board.letters)

    def _of_port(
        self, kind: PortKind, code: TagCode, port: Port, remark: Remark, unit: UnitRow | None
    ) -> Tag:
        rows = (unit,) if unit else port.units
        subject = _Subject(
            where=rows[0].where if rows else self.box.row.where,
            use=port.use,
            rows=rows,
            board=self._board(code.port),
            outside=outside_diameter(kind, rows, bare=self.is_rough_in),
            address=unit.address if unit else "",
            pipe=kind if kind in PIPES else "",
        )
        return self._tag(kind, code, subject, remark)

    def _tag(self, kind: TagKind, code: TagCode, subject: _Subject, remark: Remark) -> Tag:
        row, job, board = self.box.row, self.job, subject.board
        return Tag(
            code=code.text,
            kind=kind,
            use=subject.use,
            end=code.end,
            box=row.tag,
            box_shown=self._box_shown,
            port=code.port,
            units=tuple(unit.tag for unit in subject.rows),
            rooms=tuple(dict.fromkeys(unit.room for unit in subject.rows if unit.room)),
            headline=self.words(f"tag.{(subject.pipe or kind).replace('-', '_')}"),
            remark=remark.text,
            is_caution=remark.is_caution,
            end_text=self.words(f"tag.{PLACES.get(kind, f'{code.end}_end')}"),
            revision=job.revision,
            revision_text=revision_text(job.revision, self.words, is_draft=job.is_draft),
            is_draft=job.is_draft,
            hardware=row.hardware if board and code.end == "box" else "",
            where=subject.where,
            outside=subject.outside,
            board=board.place if board else "",
            board_ports=len(board.letters) if board else 1,
            stock_use=self._stock_use(kind),
            short=remark.short,
            address=self.words("tag.address", address=subject.address) if subject.address else "",
            is_late=kind in LATE,
            pipe=subject.pipe,
            beside=subject.beside,
        )

    def _stock_use(self, kind: TagKind) -> Use:
        """The key of [print] whose stock the tag takes."""
        pipe: Use = "pipe_rough_in" if self.is_rough_in else "pipe"
        return STOCK_USES.get(kind, pipe)

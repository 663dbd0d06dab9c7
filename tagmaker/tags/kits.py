"""Which tags a box needs, in print order: its kit, its cables (both ends side by side), its lines."""

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.tags.extras import locator_tag, main_tags
from tagmaker.tags.model import Tag
from tagmaker.tags.outside_diameter import outside_diameter
from tagmaker.tags.revision import revision_text

__all__ = ["box_tags"]

WHAT = {"liquid": "LIQ", "gas": "GAS", "cable": "COM", "terminal": "TRM"}


def box_tags(job: Job, box: BoxPlan, words: Words, stage: str = "") -> tuple[Tag, ...]:
    """Every tag of a box, at both ends, in print order; at the rough-in stage pipe tags hug bare tubes."""
    maker = _Maker(job, box, words, is_rough_in=stage == "rough-in")
    used = [port for port in box.ports if port.units]
    return (
        *main_tags(job, box, words, is_rough_in=maker.is_rough_in),
        *([locator_tag(job, box, words)] if "locator" in job.prints.stocks else []),
        *(tag for letter in _letters(box) for tag in maker.kit(letter)),
        *(tag for port in used for tag in maker.cables(port)),
        *(tag for port in used for unit in port.units for tag in maker.lines(port, unit)),
    )


def _letters(box: BoxPlan) -> list[str]:
    return sorted(letter for port in box.ports for letter in port.letters)


class _Maker(Struct, frozen=True):
    job: Job
    box: BoxPlan
    words: Words
    is_rough_in: bool

    def kit(self, letter: str) -> list[Tag]:
        """The terminal and the two pipe stubs of a letter, at the box."""
        port = self.box.port_of(letter)
        return [
            self._terminal(port, letter),
            self._stub(port, letter, "liquid"),
            self._stub(port, letter, "gas"),
        ]

    def cables(self, port: Port) -> list[Tag]:
        """The cable from the terminal to the first unit and on, both ends of each together."""
        first, *others = port.units
        word = self.words
        tags = [
            self._tag(port, "cable", "box", remark=word("tag.cable_to", unit=first.tag)),
            self._cable_in(port, first, word("tag.cable_from_terminal", port=port.letters[0])),
        ]
        for near, far in zip(port.units, others, strict=False):
            tags.append(self._cable_on(port, near, far))
            tags.append(self._cable_in(port, far, word("tag.cable_from_unit", unit=near.tag)))
        return tags

    def lines(self, port: Port, unit: UnitRow) -> list[Tag]:
        """The two pipes at a unit."""
        return [
            self._tag(port, kind, "unit", unit=unit, remark=self._joined(port)) for kind in ("liquid", "gas")
        ]

    def _terminal(self, port: Port, letter: str) -> Tag:
        if port.use == "spare":
            remark, caution = self.words("tag.spare_terminal"), True
        elif letter != port.letters[0]:
            remark = self.words("tag.second_terminal", ports=port.name, first=port.letters[0])
            caution = True
        else:
            remark, caution = self._joined(port), False
        return self._tag(port, "terminal", "box", letter=letter, remark=remark, is_caution=caution)

    def _stub(self, port: Port, letter: str, kind: str) -> Tag:
        if port.use == "spare":
            return self._tag(port, kind, "box", letter=letter, remark=self.words("tag.stub"), is_caution=True)
        return self._tag(port, kind, "box", letter=letter, remark=self._joined(port))

    def _cable_in(self, port: Port, unit: UnitRow, remark: str) -> Tag:
        return self._tag(port, "cable", "unit", unit=unit, remark=remark)

    def _cable_on(self, port: Port, unit: UnitRow, far: UnitRow) -> Tag:
        remark = self.words("tag.cable_on", unit=far.tag)
        return self._tag(port, "cable", "unit", unit=unit, remark=remark, tail="/ON")

    def _joined(self, port: Port) -> str:
        return self.words("tag.joined", ports=port.name) if port.use == "joined" else ""

    def _tag(  # noqa: PLR0913 — what varies between the ten sorts of tag, each by name
        self,
        port: Port,
        kind: str,
        end: str,
        *,
        letter: str = "",
        unit: UnitRow | None = None,
        remark: str = "",
        is_caution: bool = False,
        tail: str = "",
    ) -> Tag:
        letter = letter or port.letters[0]
        rows = (unit,) if unit else port.units
        code = f"{self.box.row.key}/{letter}/{WHAT[kind]}" + (f"/{unit.key}{tail}" if unit else "")
        headline = self.words(f"tag.{kind}")
        board = next(board for board in self.box.boards if letter in board.letters)
        if kind == "cable":
            remark = f"{remark}, {self.words('tag.not_power')}"
        return Tag(
            code=code,
            kind=kind,
            use=port.use,
            end=end,
            box=self.box.row.tag,
            box_shown=self.box.row.shown,
            port=letter,
            units=tuple(row.tag for row in rows),
            rooms=tuple(dict.fromkeys(row.room for row in rows if row.room)),
            headline=headline,
            remark=remark,
            is_caution=is_caution,
            end_text=self.words(f"tag.{end}_end"),
            revision=self.job.revision,
            revision_text=revision_text(self.job.revision, self.words, is_draft=self.job.is_draft),
            is_draft=self.job.is_draft,
            hardware=f"{self.box.row.family.name}/{self.box.row.ports}" if end == "box" else "",
            where=rows[0].where if rows else self.box.row.where,
            outside=outside_diameter(kind, rows, bare=self.is_rough_in),
            board=board.place,
            board_ports=len(board.letters),
            stock_use=self._stock_use(kind),
        )

    def _stock_use(self, kind: str) -> str:
        if kind in {"cable", "terminal"}:
            return kind
        return "pipe_rough_in" if self.is_rough_in else "pipe"

"""Which tags a box needs, in print order: its kit, its cables (both ends side by side), its lines.

A rough-in tag and a final tag of a pipe have the same code: it is the same pipe, and one is tied on, the
other stuck on later.
"""

from typing import Literal

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job, UnitRow
from tagmaker.plan.model import BoxPlan, Port
from tagmaker.tags.builder import Remark, TagBuilder
from tagmaker.tags.extras import isolation_tags, locator_tag, main_tags, splitter_tags, unit_tags
from tagmaker.tags.model import PipeKind, Stage, Tag

__all__ = ["box_tags"]


def box_tags(job: Job, box: BoxPlan, words: Words, stage: Literal[Stage, ""] = "") -> tuple[Tag, ...]:
    """Every tag of a box, at both ends, in print order; at the rough-in stage pipe tags wrap bare tubes.

    All tags are given at every stage; `Selection.takes` decides which of them are printed.
    """
    build = TagBuilder(job, box, words, is_rough_in=stage == "rough-in")
    tags = _PortTags(build)
    used = [port for port in box.ports if port.units]
    return (
        *main_tags(build),
        *([locator_tag(build)] if "locator" in job.prints.stocks else []),
        *isolation_tags(build),
        *(tag for letter in box.letters for tag in tags.kit(box.port_of(letter), letter)),
        *(tag for port in used for tag in tags.cables(port)),
        *(tag for port in used for unit in port.units for tag in tags.lines(port, unit)),
        *(tag for port in used for tag in splitter_tags(build, port)),
        *(tag for port in used for tag in unit_tags(build, port)),
    )


class _PortTags(Struct, frozen=True):
    """The tags of ports, with their remarks."""

    build: TagBuilder

    @property
    def words(self) -> Words:
        return self.build.words

    def kit(self, port: Port, letter: str) -> list[Tag]:
        """The terminal and the two pipe stubs of a letter, at the box."""
        return [
            self.build.of_port("terminal", port, letter, self._terminal_remark(port, letter)),
            self._stub(port, letter, "liquid"),
            self._stub(port, letter, "gas"),
        ]

    def cables(self, port: Port) -> list[Tag]:
        """The cable from the terminal to the first unit and on, both ends of each together."""
        first, *others = port.units
        words, letter = self.words, port.letters[0]
        at_box = self._cable_remark(words("tag.cable_to", unit=first.tag))
        tags = [
            self.build.of_port("cable", port, letter, at_box),
            self._cable_in(port, first, words("tag.cable_from_terminal", port=letter)),
        ]
        for near, far in zip(port.units, others, strict=False):
            tags.append(self._cable_on(port, near, far))
            tags.append(self._cable_in(port, far, words("tag.cable_from_unit", unit=near.tag)))
        return tags

    def lines(self, port: Port, unit: UnitRow) -> list[Tag]:
        """The two pipes at a unit."""
        remark, letter = Remark(self._joined(port)), port.letters[0]
        return [
            self.build.of_port("liquid", port, letter, remark, unit),
            self.build.of_port("gas", port, letter, remark, unit),
        ]

    def _terminal_remark(self, port: Port, letter: str) -> Remark:
        """Cautions are on terminals without a cable: a cable landed there is a fault at start-up."""
        if port.use == "spare":
            short = self.words("tag.spare")
            return Remark(self.words("tag.spare_terminal"), is_caution=True, short=short)
        if letter != port.letters[0]:
            text = self.words("tag.second_terminal", ports=port.name, first=port.letters[0])
            short = self.words("tag.second_cell", first=port.letters[0])
            return Remark(text, is_caution=True, short=short)
        return Remark(self._joined(port))

    def _stub(self, port: Port, letter: str, kind: PipeKind) -> Tag:
        """A pipe at the box; a spare stub may hold refrigerant under pressure, so it has a caution."""
        if port.use == "spare":
            remark = Remark(self.words("tag.stub"), is_caution=True)
        else:
            remark = Remark(self._joined(port))
        return self.build.of_port(kind, port, letter, remark)

    def _cable_in(self, port: Port, unit: UnitRow, text: str) -> Tag:
        return self.build.of_port("cable", port, port.letters[0], self._cable_remark(text), unit)

    def _cable_on(self, port: Port, unit: UnitRow, far: UnitRow) -> Tag:
        return self.build.of_cable_on(
            port, self._cable_remark(self.words("tag.cable_on", unit=far.tag)), unit
        )

    def _cable_remark(self, text: str) -> Remark:
        """Every cable's remark ends with the warning that it is no power cable."""
        return Remark(f"{text}, {self.words('tag.not_power')}")

    def _joined(self, port: Port) -> str:
        return self.words("tag.joined", ports=port.name) if port.use == "joined" else ""

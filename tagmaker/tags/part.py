"""What a run of `make` is limited to: boxes, single ports, a stage of the works, one kit."""

from dataclasses import dataclass

from tagmaker.tags.records import Tag

__all__ = ["KITS", "STAGES", "Part", "kit_of"]

STAGES = ("rough-in", "final")
KITS = ("box", "cables", "lines")


@dataclass(frozen=True, slots=True)
class Part:
    """The part of a set to print; empty fields limit nothing. Boxes and ports ("BB-1/C") in capitals."""

    boxes: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    stage: str = ""
    kit: str = ""
    skip: int = 0
    blind: bool = False

    @property
    def is_limited(self) -> bool:
        """Whether less than the whole set is printed; labels skipped at a sheet's start limit nothing.

        Neither do blind walk sheets, which leave out what is expected.
        """
        return bool(self.boxes or self.ports or self.stage or self.kit)

    @property
    def has_sheets(self) -> bool:
        """Whether placards and verification sheets belong to it, not tags alone."""
        return not self.ports and not self.kit and self.stage != "rough-in"

    def takes(self, tag: Tag) -> bool:
        """Whether a tag belongs to it. The rough-in stage has cables, terminals and tie-on pipe tags."""
        if self.ports and f"{tag.box.upper()}/{tag.port}" not in self.ports:
            return False
        if self.kit and kit_of(tag) != self.kit:
            return False
        at_rough_in = tag.kind in {"cable", "terminal"}
        return not (self.stage == "final" and at_rough_in) and not (self.stage == "rough-in" and tag.is_late)


def kit_of(tag: Tag) -> str:
    """The kit that a tag comes in: what sticks at the box, both ends of cables, the lines' unit ends."""
    if tag.kind == "cable":
        return "cables"
    return "lines" if tag.end == "unit" else "box"

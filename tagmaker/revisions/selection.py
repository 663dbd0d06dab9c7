"""What of a job is printed, and how: boxes, single ports, a stage of the works, one kit, what changed."""

from pathlib import Path

from msgspec import Struct

from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import IssuedBox
from tagmaker.tags.model import Tag

__all__ = ["KITS", "STAGES", "WHOLE", "Selection", "kit_of"]

STAGES = ("rough-in", "final")
KITS = ("box", "cables", "lines")


class Selection(Struct, frozen=True):
    """What of a job is printed; empty fields limit nothing. Boxes and ports ("BB-1/C") in capitals.

    `skip` labels of each stock's first sheet stay empty; `blind` leaves what is expected out of walk sheets;
    `proof` reads the printed codes back; `png` writes pages as pictures too. `since` is the plan.json of the
    set that hangs on site, `baseline` what it says once it is read: only what changed since is printed, or,
    with `prints_all`, everything in the revision in which it last changed.
    """

    boxes: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    stage: str = ""
    kit: str = ""
    skip: int = 0
    blind: bool = False
    proof: bool = True
    png: bool = False
    since: Path | None = None
    prints_all: bool = False
    baseline: Baseline | None = None

    @property
    def is_limited(self) -> bool:
        """Whether less than the whole set is printed; labels skipped at a sheet's start limit nothing.

        Neither do blind walk sheets, which leave out what is expected.
        """
        return bool(self.boxes or self.ports or self.stage or self.kit) or self.is_update

    @property
    def is_update(self) -> bool:
        """Whether only what changed since an earlier set is printed."""
        return self.baseline is not None and not self.prints_all

    @property
    def has_sheets(self) -> bool:
        """Whether placards and verification sheets belong to it, not tags alone."""
        return not self.ports and not self.kit and self.stage != "rough-in"

    def hanging(self, box: IssuedBox) -> frozenset[str]:
        """Codes of a box's tags that hang on site already and are not printed again."""
        return self._update.hanging(box) if self._update else frozenset()

    def prints_placard(self, box: IssuedBox) -> bool:
        """Whether a box's placard belongs to it."""
        return self.has_sheets and not (self._update and self._update.has_placard(box))

    def prints_walk(self, box: IssuedBox) -> bool:
        """Whether a box's verification sheet belongs to it: not where nothing is to be done on site."""
        return self.has_sheets and not (self._update and not self._update.touches(box))

    def prints_bands(self, box: IssuedBox) -> bool:
        """Whether a box's pipe identification bands belong to it."""
        return self.has_sheets and not (self._update and self._update.has_bands(box))

    @property
    def _update(self) -> Baseline | None:
        return self.baseline if self.is_update else None

    def takes(self, tag: Tag) -> bool:
        """Whether a tag belongs to it, whether or not it hangs already.

        The rough-in stage has cables, terminals and tie-on pipe tags.
        """
        if self.ports and f"{tag.box.upper()}/{tag.port}" not in self.ports:
            return False
        if self.kit and kit_of(tag) != self.kit:
            return False
        at_rough_in = tag.kind in {"cable", "terminal"}
        return not (self.stage == "final" and at_rough_in) and not (self.stage == "rough-in" and tag.is_late)


WHOLE = Selection()


def kit_of(tag: Tag) -> str:
    """The kit that a tag comes in: what sticks at the box, both ends of cables, the lines' unit ends."""
    if tag.kind == "cable":
        return "cables"
    return "lines" if tag.end == "unit" else "box"

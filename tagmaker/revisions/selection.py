"""What of a job is printed, and how: boxes, single ports and tags, a stage, one kit, what changed.

A selection never changes what a thing looks like or which code it has, only whether it is printed: what is
printed in parts is the same as what is printed at once.
"""

from pathlib import Path
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.job.prints import Prints
from tagmaker.revisions.baseline import Baseline
from tagmaker.revisions.issued import IssuedBox
from tagmaker.tags.model import AT_TERMINALS, Kit, Stage, Tag

__all__ = ["KITS", "STAGES", "WHOLE", "Selection", "kit_of"]

STAGES: tuple[Stage, ...] = get_args(Stage)
KITS: tuple[Kit, ...] = get_args(Kit)


class Selection(Struct, frozen=True):
    """What of a job is printed; empty fields limit nothing. Boxes and `only` in capitals.

    `only` names ports ("BB-1/C") and single tags by their codes ("BB-1/C/LIQ"): what any of them names.
    `skip` labels of each stock's first sheet stay empty; `blind` leaves what is expected out of walk sheets;
    `proof` reads the printed codes back; `png` writes pages as pictures too. `since` is the plan.json of the
    set that is on site, `baseline` that set once it was read: only what changed since is printed, or, with
    `prints_all`, everything in the revision in which it last changed. `weighed_in` are files that came back,
    with the amounts of refrigerant for signs. Without `has_marks` labels are fitted and left empty, where
    only problems and numbers of pages are asked for.
    """

    boxes: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    stage: Literal[Stage, ""] = ""
    kit: Literal[Kit, ""] = ""
    skip: int = 0
    blind: bool = False
    proof: bool = True
    png: bool = False
    since: Path | None = None
    prints_all: bool = False
    baseline: Baseline | None = None
    weighed_in: tuple[Path, ...] = ()
    has_marks: bool = True

    @property
    def is_limited(self) -> bool:
        """Whether less than the whole set is printed; labels skipped at a sheet's start limit nothing.

        Neither do blind walk sheets, which leave out what is expected.
        """
        return self.is_part or self.is_update

    @property
    def is_part(self) -> bool:
        """Whether it is about a part of the job only, whatever of that is printed."""
        return bool(self.boxes or self.only or self.stage or self.kit)

    @property
    def is_update(self) -> bool:
        """Whether only what changed since an earlier set is printed."""
        return self.baseline is not None and not self.prints_all

    @property
    def has_sheets(self) -> bool:
        """Whether placards and verification sheets belong to it, not tags alone."""
        return not self.only and not self.kit and self.stage != "rough-in"

    def on_site(self, box: IssuedBox) -> frozenset[str]:
        """Codes of a box's tags that are on site already and are not printed again."""
        return self._update.on_site(box) if self._update else frozenset()

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

    def takes(self, tag: Tag, prints: Prints) -> bool:
        """Whether a tag belongs to it, whether or not it is on site already.

        The rough-in stage has cables, terminals and tie-on pipe tags. The final one has what goes over the
        insulation: pipe tags again, unless they are the tie-on tags of the rough-in, and what is stuck on
        late. Since an earlier set it has tie-on tags too: those that changed must be replaced.
        """
        if self.only and f"{tag.box.upper()}/{tag.port}" not in self.only and tag.code not in self.only:
            return False
        if self.kit and kit_of(tag) != self.kit:
            return False
        if self.stage == "final":
            return tag.kind not in AT_TERMINALS and not (
                tag.stock_use == "pipe" and prints.keeps_tied_on and self.baseline is None
            )
        return not (self.stage == "rough-in" and tag.is_late)


WHOLE = Selection()
"""The whole job, each thing in the job's revision."""


def kit_of(tag: Tag) -> Kit:
    """The kit that a tag comes in: what is put on at the box, both ends of cables, the lines' unit ends.

    Both ends of a cable are one kit, so that whoever pulls a cable has both tags in hand.
    """
    if tag.kind == "cable":
        return "cables"
    return "lines" if tag.end == "unit" else "box"

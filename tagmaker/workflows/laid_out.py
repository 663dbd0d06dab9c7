"""A job as laid out: what memory keeps of each box and label is little, the rest waits until it is drawn.

Takes boxes as they are fitted; places their labels, counts what checks judge alike, and keeps of each box its
pages and records as bytes, wherever those wait.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, SupportsBytes

from msgspec import Struct

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.draw.ink import Put
from tagmaker.draw.marks import Page
from tagmaker.files.packed import Packed, pack, unpack
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem
from tagmaker.revisions.issued import Issued, IssuedBox
from tagmaker.revisions.issuing import issued, job_digest
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.band_sheets import Band
from tagmaker.sheets.checks import Alike
from tagmaker.sheets.kit_labels import KitLabel, kit_label
from tagmaker.sheets.place import Placed, Placing
from tagmaker.sheets.sheet_margin import label_page
from tagmaker.workflows.fitting import SentBox, Wanted

if TYPE_CHECKING:
    from tagmaker.workflows.documents import Document

__all__ = ["Apart", "LaidOut", "LaidOutBox", "Sheet", "Stack"]


Apart = tuple[int, list[SupportsBytes], Sequence[Problem]]
"""A document that was laid out apart: its row of the table, its pages as they wait, its problems."""


class Sheet(Struct, frozen=True):
    """A page of a document, and the labels on it."""

    page: Page
    labels: Sequence[Placed] = ()


class LaidOutBox(Struct, frozen=True):
    """A box: whether it has labels, its bands; its records, and the pages of its placard and walk, packed."""

    box: BoxPlan
    has_labels: bool
    bands: tuple[Band, ...]
    issued: SupportsBytes
    placard: list[SupportsBytes]
    walk: list[SupportsBytes]

    @property
    def is_printed(self) -> bool:
        """Whether the set has anything of it."""
        return self.has_labels or bool(self.placard) or bool(self.walk)


class Stack(Struct):
    """The labels of one stock as they are placed: whole sheets packed, those of the last one still open.

    `kits` are all of them, as slips list them.
    """

    first: Stock
    last: Placed
    whole: list[SupportsBytes] = []
    open: list[Placed] = []
    kits: list[KitLabel] = []

    def add(self, placed: Placed, put: Put) -> None:
        """One more label, in print order."""
        if placed.page != self.last.page:
            self.close(put)
        self.open.append(placed)
        self.kits.append(kit_label(placed))
        self.last = placed

    def close(self, put: Put) -> None:
        """No more labels are on the last sheet."""
        if self.open:
            self.whole.append(put(pack(self.open)))
            self.open = []


class LaidOut:
    """A job's boxes as they come, their labels placed; what is drawn of them waits where `put` has it.

    `stacks` are the labels by the name of their stock, in order of first use; `alike` and `placards` are
    what is checked of labels and placards; `wanted` is how pages are kept. Documents are added later;
    `apart` gives those that are laid out apart, once they are there.
    """

    def __init__(
        self,
        job: Job,
        selection: Selection,
        systems: Sequence[SystemPlan] = (),
        inks: Put | None = None,
    ) -> None:
        self.job, self.selection, self.systems = job, selection, systems
        self.wanted, self.put = Wanted(inks is not None, selection.has_marks), inks or bytes
        self.boxes: list[LaidOutBox] = []
        self.stacks: dict[str, Stack] = {}
        self.documents: list[Document] = []
        self.apart: Callable[[], list[Apart]] = list
        self.apart_problems: list[Problem] = []
        self.alike = Alike()
        self.placards: list[tuple[Page, ...]] = []
        self._placing = Placing(job, selection.skip)

    def add(self, box: BoxPlan, fitted: SentBox) -> None:
        """One more box, in the job's order."""
        records = self.put(fitted.issued)
        placard, walk = ([self.put(page) for page in pages] for pages in (fitted.placard, fitted.walk))
        self.boxes.append(LaidOutBox(box, bool(fitted.labels), fitted.bands, records, placard, walk))
        self.placards.append(fitted.checked)
        for label in fitted.labels:
            self.alike.add(label)
        for placed in self._placing.put(fitted.labels):
            stack = self.stacks.setdefault(placed.stock.name, Stack(placed.stock, placed))
            stack.add(placed, self.put)

    def close(self) -> None:
        """All boxes are there."""
        for stack in self.stacks.values():
            stack.close(self.put)

    @property
    def issued_boxes(self) -> Iterator[IssuedBox]:
        """The records of each box."""
        return (unpack(box.issued) for box in self.boxes)

    @property
    def digest(self) -> str:
        """The digest of the job's content."""
        return job_digest(self.job, self.issued_boxes)

    @property
    def issued(self) -> Issued:
        """What the set prints, as plan.json keeps it for the next revision; all of it in memory."""
        return issued(self.job, list(self.issued_boxes), self.systems)

    @property
    def placed(self) -> Iterator[Placed]:
        """Every label in its place, in print order."""
        return (each for stack in self.stacks.values() for sheet in stack.whole for each in unpack(sheet))

    @property
    def has_system_sheets(self) -> bool:
        """Whether the set has the sheets of systems: an update and a limited stage have none."""
        return bool(self.systems) and self.selection.has_sheets and not self.selection.is_update

    def label_sheets(self, stock: str, words: Words) -> Sequence[Sheet]:
        """The sheets of a stock's labels."""
        stack = self.stacks[stock]

        def made(labels: list[Placed]) -> Sheet:
            return Sheet(label_page(labels, stack.last.page, stack.first, self.job, words), labels)

        return Packed(stack.whole, made)

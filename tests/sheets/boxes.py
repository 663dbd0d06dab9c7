"""Boxes for whole pages: every size, every use, drafts, long names."""

import datetime as dt
from collections.abc import Sequence

from tests.records import replace
from tests.strategies import FAMILY, SIZES, BoxSketch, JobSketch, UnitSketch

PAIRS = ("A+B", "C+D", "E+F", "G+H", "I+J", "K+L")
LONG_PLACE = "Level 12, north wing, above the ceiling of the reading room"
LONG_POWER = "Distribution panel LP-12 beside the lift, circuit 14, way 3"
LONG_NAME = "Marsh Lane Library and Reading Rooms, second building phase"


def filled(ports: int) -> BoxSketch:
    """A box whose every port is used: singles, five units on B, and the last pair joined."""
    letters = "ABCDEFGHIJKL"[: ports - 2]
    rows = [UnitSketch(f"FC-{1 + at}01", letter, "24 kBtu/h", "Office") for at, letter in enumerate(letters)]
    rows += [UnitSketch(f"FC-20{number}", "B", "6 kBtu/h", "Open plan") for number in range(2, 6)]
    rows += [UnitSketch("AH-301", PAIRS[ports // 2 - 1], "96 kBtu/h", "Reading room")]
    return BoxSketch("BB-1", ports, tuple(rows), "Level 2 corridor, grid C4", "Panel LP-2, circuit 14")


def sparse(ports: int) -> BoxSketch:
    """A box of which only the first port is used."""
    return BoxSketch("BB-1", ports, (UnitSketch("FC-1", "A", "9 kBtu/h", "Shop"),), "Lobby", "Panel P1")


def paired(ports: int) -> BoxSketch:
    """A box of joined pairs only."""
    rows = [
        UnitSketch(f"AH-{at}", pair, "72 kBtu/h", "Hall")
        for at, pair in enumerate(PAIRS[: ports // 2], start=1)
    ]
    return BoxSketch("BB-1", ports, tuple(rows), "Plant room")


def wordy(ports: int) -> BoxSketch:
    """A filled box whose place and power are as long as a job file takes (60 characters), nearly."""
    return replace(filled(ports), place=LONG_PLACE, power=LONG_POWER, shown="BB 1/L12")


KINDS = {"filled": filled, "sparse": sparse, "paired": paired, "wordy": wordy}


def cases(pages: Sequence[str]) -> list[tuple[str, int, str]]:
    """Kinds, sizes and papers: full boxes of every size on every paper, the others at the ends of the range.

    Long words have the least room on a small label and on the lowest page.
    """
    full = [("filled", ports, page) for ports in SIZES for page in pages]
    ends = [
        (kind, ports, page) for kind in ("sparse", "paired", "wordy") for ports in (4, 12) for page in pages
    ]
    return full + [each for each in ends if each[2] != "a4"]


def job_of(box: BoxSketch, *, is_draft: bool = False, page: str = "letter") -> JobSketch:
    """A job of one box."""
    return JobSketch(
        (box,),
        family=FAMILY,
        number="ML-24",
        revision="2",
        date=dt.date(2026, 4, 30),
        is_draft=is_draft,
        stocks=(("placard", page),),
    )

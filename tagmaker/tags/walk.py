"""Which letters and items a walk goes through, and what its sheet was printed for.

The sheet, the phone's page and what comes back all ask here, so that they have the same fields. What a sheet
was printed for is a hidden text on it: the placard's text without its short line, then

    UNITS: port units | port units ...      in words, for people
    NAME: the job's name
    DIGEST: of all that the sheet says of its box
    PLACES: place digest | place digest ...

A place is a board ("left"), a letter ("port/A"), the items of the box ("item"), or its family and size
("hardware/box"). A tick is a statement about what was planned there: it counts today where the place has the
same digest. All have the family and size in them, so that nothing that was seen of a box counts for another
one in its place; a letter's has the capacity of each of its units too. Digests leave out the job's name,
number and revision, so a revision that does not change a box leaves its sheets as good as new.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Literal

from msgspec import Struct

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.tags.placard_text import PlacardFacts, long_text, read_placard

__all__ = [
    "BOX_ITEMS",
    "HARDWARE",
    "WALK_FORMAT",
    "Digests",
    "JobIdentity",
    "PrintedFor",
    "Relation",
    "digests",
    "items_of_box",
    "items_of_letter",
    "letter_place",
    "letters_of",
    "port_units",
    "printed_for",
    "rated",
    "read_printed_for",
    "relation",
]

WALK_FORMAT = "tagmaker walk 1"
"""The format of the phone's data and of the file that it exports; another shape has another number."""
UNITS, NAME, DIGEST, PLACES = "UNITS: ", "NAME: ", "DIGEST: ", "PLACES: "
BOX_ITEMS = "item"
"""The place of the items that are asked once a box."""
HARDWARE = "hardware/box"
"""The place of a box's family and size; no field is of it, and no board can have its name."""
DIGITS = 16  # of a digest: 64 bits, so that two plans never agree by chance


def letters_of(box: BoxPlan) -> list[tuple[str, Port]]:
    """Every fitted letter with its port, in the family's order."""
    port_of = {letter: port for port in box.ports for letter in port.letters}
    return [(letter, port_of[letter]) for letter in box.letters]


def items_of_box(job: Job) -> list[WalkItem]:
    """The items asked once a box."""
    return [item for item in job.items_asked if item.per == "box"]


def items_of_letter(job: Job, port: Port, letter: str) -> list[WalkItem]:
    """The items asked of a letter: of every letter, or of used, cabled, shared or spare ones.

    A cable, and the pipes to several units, are on the first letter of a pair alone.
    """
    is_used = port.use != "spare"
    asked = {"port", "used" if is_used else "spare"}
    if is_used and letter == port.letters[0]:
        asked |= {"cabled"} if len(port.units) == 1 else {"cabled", "shared"}
    return [item for item in job.items_asked if item.per in asked]


# --- which job ----------------------------------------------------------------------------------------------


class JobIdentity(Struct, frozen=True):
    """By what a job is known: its number, which is optional, and its name. Both empty: not known."""

    number: str
    name: str

    def __str__(self) -> str:
        return " ".join(part for part in (self.number, self.name) if part)


Relation = Literal["same", "renamed", "unnumbered", "another"]
"""How a sheet's job is related to a job: `renamed` has the same number and another name; `unnumbered` has
the same name, and two numbers to compare are missing: a second job of that name cannot be excluded."""


def relation(printed: JobIdentity, own: JobIdentity) -> Relation:
    """Two numbers decide; where one is missing, the names do, upper and lower case and spaces aside."""
    is_same_name = _folded(printed.name) == _folded(own.name)
    if printed.number and own.number:
        if printed.number != own.number:
            return "another"
        return "same" if is_same_name or not printed.name else "renamed"
    return "unnumbered" if is_same_name else "another"


def _folded(name: str) -> str:
    return "".join(name.split()).casefold()


# --- what a sheet is printed for ----------------------------------------------------------------------------


class Digests(Struct, frozen=True):
    """A digest of all that a box's sheet says, and one of each of its places."""

    whole: str
    places: Mapping[str, str]


def digests(job: Job, box: BoxPlan) -> Digests:
    """The digests of a box as it is planned."""
    contents: dict[str, list[object]] = {
        HARDWARE: [],
        BOX_ITEMS: [box.row.power, _asked(items_of_box(job))],
        **{board.place: _built(board) for board in box.boards},
        **{
            letter_place(letter): [port_units(port), rated(port), _asked(items_of_letter(job, port, letter))]
            for letter, port in letters_of(box)
        },
    }
    places = {place: _digest([box.row.hardware, *content]) for place, content in contents.items()}
    settings = [[bank.on(), bank.left()] for board in box.boards for bank in board.banks]
    loads = [str(port.load.btuh) if port.load else "" for port in box.ports]
    row = box.row
    return Digests(
        _digest([row.key, row.shown, row.place, row.power, list(places.items()), settings, loads]), places
    )


def letter_place(letter: str) -> str:
    """The place of a letter."""
    return f"port/{letter}"


def rated(port: Port) -> list[str]:
    """What each unit of a port is rated at: with another capacity it is another unit, whatever its tag."""
    return [str(unit.capacity.btuh) if unit.capacity else "" for unit in port.units]


def _asked(items: Iterable[WalkItem]) -> list[tuple[str, str]]:
    return [(item.key, item.text) for item in items]


def _built(board: Board) -> list[object]:
    """A board as it is built, whatever its settings: a switch is known by bank, number and direction."""
    banks = [
        (bank.number, bank.name, len(bank.switches), bank.on_points, bank.numbered_from)
        for bank in board.banks
    ]
    return [board.letters, board.unfitted, banks]


def _digest(content: object) -> str:
    return hashlib.sha256(json.dumps(content).encode()).hexdigest()[:DIGITS].upper()


def printed_for(job: Job, box: BoxPlan, known: Digests | None = None) -> str:
    """What a sheet is printed for, as a text; `known` are the box's digests where they were asked for."""
    planned = known or digests(job, box)
    lines = [
        f"{UNITS}{' | '.join(port_units(port) for port in box.ports)}",
        f"{NAME}{' '.join(job.name.split())}",
        f"{DIGEST}{planned.whole}",
        f"{PLACES}{' | '.join(f'{place} {digest}' for place, digest in planned.places.items())}",
    ]
    return long_text(job, box) + "".join(f"{line}\n" for line in lines)


def port_units(port: Port) -> str:
    """A port with its units; a tick on a sheet means these."""
    return f"{port.name} {', '.join(unit.tag for unit in port.units) or 'spare'}"


class PrintedFor(Struct, frozen=True):
    """What a sheet was printed for: the placard's facts, the job, the digests.

    A sheet of an earlier version has no name and no digests: both are then empty.
    """

    facts: PlacardFacts
    job: JobIdentity
    digests: Digests


def read_printed_for(text: str) -> PrintedFor | None:
    """What a sheet was printed for; None where its hidden text cannot be read: then nothing of it counts."""
    placard, found, rest = text.partition(f"\n{UNITS}")
    facts = read_placard(f"{placard}\n") if found else None
    if not isinstance(facts, PlacardFacts):
        return None
    lines = rest.splitlines()
    whole = _line(lines, DIGEST)
    places = [entry.rpartition(" ") for entry in _line(lines, PLACES).split(" | ")] if whole else []
    return PrintedFor(
        facts,
        JobIdentity(facts.number, _line(lines, NAME)),
        Digests(whole, {place: digest for place, _, digest in places if place}),
    )


def _line(lines: Iterable[str], key: str) -> str:
    """What follows a key at the start of a line; empty where no line has it."""
    return next((line.removeprefix(key) for line in lines if line.startswith(key)), "")

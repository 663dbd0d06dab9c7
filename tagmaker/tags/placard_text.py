"""The placard's text, written and read: the text in its code, which a person can read on any phone.

    text  = [short], first, board+, loads, crc, each ended by LF
    short = tag " R" revision " " count " ON:" (" " switches of a board)* " END"
    first = "BOX " tag " REV " revision [" JOB " number]
    board = PLACE " " (letter | letter "-" letter) ": " bank ("; " bank)*
    bank  = "BANK " number " ON " ("none" | number (" " number)*)
    loads = unit ": " port (" | " port)*
    port  = name " spare" | name " " (load | "?") "/" limit
    crc   = "CRC " eight hexadecimal digits, of every byte before its line

The short line has all ON switches by place and bank: `BB-1 R2 3 ON: LEFT 1:1 RIGHT 1:2 2:4 END` is bank 1
switch 1 of the left board, bank 1 switch 2 and bank 2 switch 4 of the right one. A camera shows about one
line before anything is opened; the count and END show whether it was cut. Texts printed earlier have no short
line.

The tag is written as in the job, not in capitals, since it is the key by which the office finds the box. A
text whose CRC or grammar is broken is refused whole: half of the settings of a board are worse than none.
"""

import re
import zlib
from collections.abc import Sequence

from msgspec import Struct

from tagmaker.files.patterns import Pattern
from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan, Port
from tagmaker.units import CapacityUnit

__all__ = [
    "BadPlacard",
    "PlacardFacts",
    "SeenBoard",
    "SeenPort",
    "begins_box_line",
    "begins_placard",
    "crc_line",
    "ends_placard",
    "long_text",
    "placard_text",
    "port_facts",
    "read_placard",
    "short_line",
]

BOX_LINE = Pattern(r"BOX \S+ REV ")
SHORT = Pattern(r"[A-Za-z0-9-]{1,24} R\S{1,8} \d{1,3} ON: ", re.ASCII)
FIRST = Pattern(r"BOX (\S+) REV (\S+)(?: JOB (.+))?")
BOARD = Pattern(r"([A-Z]+) ([A-Z])(?:-([A-Z]))?: (BANK .+)")
BANK = Pattern(r"BANK (\d{1,3}) ON (none|\d{1,3}(?: \d{1,3})*)", re.ASCII)
LOADS = Pattern(r"(kBtu/h|Btu/h|ton|kW): (.+)")
PORT = Pattern(
    r"([A-Z](?:\+[A-Z])*) (?:(spare)|(\?|\d{1,12}(?:\.\d{1,3})?)/(\d{1,12}(?:\.\d{1,3})?))", re.ASCII
)
CRC = Pattern(r"CRC ([0-9A-F]{8})")
NO_FORMAT = "a line is not in placard format"
END = Pattern(r"(?:^|\n)CRC [0-9A-F]{8}\s*$")


# --- facts --------------------------------------------------------------------------------------------------


class SeenBoard(Struct, frozen=True):
    """A board: its place in small letters, its first and last letter, the ON switches of each bank."""

    place: str
    first: str
    last: str
    banks: tuple[tuple[int, ...], ...]


class SeenPort(Struct, frozen=True):
    """A port on a placard; load and limit are the texts printed ("?" unknown), both empty for a spare."""

    name: str
    load: str
    limit: str


def port_facts(port: Port, unit: CapacityUnit) -> SeenPort:
    """A planned port as a placard in this unit has it."""
    if port.use == "spare":
        return SeenPort(port.name, "", "")
    load = port.load.number(unit) if port.load else "?"
    return SeenPort(port.name, load, port.limit.number(unit))


class PlacardFacts(Struct, frozen=True):
    """All facts of a placard's text.

    `unit` is that of its loads, `number` the job's or empty.
    """

    box: str
    revision: str
    number: str
    boards: tuple[SeenBoard, ...]
    unit: str
    ports: tuple[SeenPort, ...]


class BadPlacard(Struct, frozen=True):
    """Why a text that looks like a placard's cannot be read: `is_altered` when its CRC does not match."""

    message: str
    is_altered: bool = False


# --- written ------------------------------------------------------------------------------------------------


def placard_text(job: Job, box: BoxPlan) -> str:
    """The text of a box; lines ended by LF, the last one its CRC-32."""
    return _sealed(short_line(box.row.tag, job.revision, tuple(map(_seen, box.boards))), *_lines(job, box))


def long_text(job: Job, box: BoxPlan, revision: str | None = None) -> str:
    """The text without its short line, in the job's revision or another: it says as much.

    Digests of sets and texts printed earlier are of this one, so a placard that only lacks the short line is
    not printed again.
    """
    return _sealed(*_lines(job, box, revision))


def short_line(tag: str, revision: str, boards: Sequence[SeenBoard]) -> str:
    """Every ON switch on one line; the only board of a box has no name in it."""
    on = [(board, number, each) for board in boards for number, each in enumerate(board.banks, 1) if each]
    words = [tag, f"R{revision}", f"{sum(len(each) for _, _, each in on)}", "ON:"]
    for at, (board, number, switches) in enumerate(on):
        if len(boards) > 1 and (not at or on[at - 1][0] is not board):
            words.append(board.place.upper())
        words.append(f"{number}:{' '.join(map(str, switches))}")
    return " ".join((*words, "END"))


def _sealed(*lines: str) -> str:
    body = "".join(f"{line}\n" for line in lines)
    return f"{body}{crc_line(body)}\n"


def _lines(job: Job, box: BoxPlan, revision: str | None = None) -> list[str]:
    first = _first_line(job, box, job.revision if revision is None else revision)
    return [first, *(_board_line(_seen(board)) for board in box.boards), _load_line(job, box)]


def crc_line(body: str) -> str:
    """The last line of a text, without its end: the CRC-32 of every byte before it, in capitals."""
    return f"CRC {zlib.crc32(body.encode()):08X}"


def _first_line(job: Job, box: BoxPlan, revision: str) -> str:
    number = f" JOB {job.number}" if job.number else ""
    return f"BOX {box.row.tag} REV {revision}{number}"


def _seen(board: Board) -> SeenBoard:
    """A planned board as its placard has it."""
    banks = tuple(bank.on() for bank in board.banks)
    return SeenBoard(board.place.lower(), board.letters[0], board.letters[-1], banks)


def _board_line(board: SeenBoard) -> str:
    letters = board.first if board.first == board.last else f"{board.first}-{board.last}"
    banks = "; ".join(
        f"BANK {number} ON {' '.join(map(str, on)) or 'none'}" for number, on in enumerate(board.banks, 1)
    )
    return f"{board.place.upper()} {letters}: {banks}"


def _load_line(job: Job, box: BoxPlan) -> str:
    return f"{job.capacity_unit}: " + " | ".join(_port_text(port, job.capacity_unit) for port in box.ports)


def _port_text(port: Port, unit: CapacityUnit) -> str:
    facts = port_facts(port, unit)
    return f"{facts.name} {facts.load}/{facts.limit}" if facts.limit else f"{facts.name} spare"


# --- read ---------------------------------------------------------------------------------------------------


def begins_placard(text: str) -> bool:
    """Whether a text or line begins as a placard's does, with a short line or without one."""
    return begins_box_line(text) or SHORT.match(text) is not None


def begins_box_line(text: str) -> bool:
    """Whether a text or line begins with the line that names box, revision and job."""
    return BOX_LINE.match(text) is not None


def ends_placard(text: str) -> bool:
    """Whether a text or line ends with a placard's last line, be its CRC right or not."""
    return END.search(text) is not None


def read_placard(text: str) -> PlacardFacts | BadPlacard:
    """The facts of a placard's text, or why it cannot be read; the CRC is checked first.

    The grammar alone would let a changed digit through, the CRC alone any text to which somebody added one.
    """
    body, found, tail = text.rpartition("CRC ")
    fault = _damage(body, f"{found}{tail}".rstrip("\n"))
    if fault:
        return BadPlacard(fault, is_altered=True)
    lines = body.removesuffix("\n").split("\n")
    short = "" if begins_box_line(body) else lines.pop(0)
    facts = _facts(*lines) if lines else BadPlacard(NO_FORMAT)
    if isinstance(facts, PlacardFacts) and short not in {"", _short_line(facts)}:
        return BadPlacard("its first line and its boards differ", is_altered=True)
    return facts


def _short_line(facts: PlacardFacts) -> str:
    return short_line(facts.box, facts.revision, facts.boards)


def _facts(first: str, *lines: str) -> PlacardFacts | BadPlacard:
    """The facts of the lines from the box's on, without the CRC."""
    head = FIRST.fullmatch(first)
    boards = [board for line in lines if (board := _board(line))]
    loads = [match for line in lines if (match := LOADS.fullmatch(line))]
    if not head or len(boards) + len(loads) != len(lines):
        return BadPlacard(NO_FORMAT)
    ports = [_port(part) for load in loads for part in load[2].split(" | ")]
    known = [port for port in ports if port]
    if len(known) != len(ports) or len({load[1] for load in loads}) > 1:
        return BadPlacard("a port is not in placard format")
    letters = [letter for port in known for letter in port.name.split("+")]
    if not boards or any(each not in letters for board in boards for each in (board.first, board.last)):
        return BadPlacard("its boards or their ports are missing")
    return PlacardFacts(head[1], head[2], head[3] or "", tuple(boards), loads[0][1], tuple(known))


def _damage(body: str, last: str) -> str:
    """Damage to the lines before the last one, by its CRC; empty where they are whole."""
    crc = CRC.fullmatch(last)
    if crc and not body:
        return "its first lines are missing: the text is cut short"
    if not crc or not body.endswith("\n"):
        return "its last line is not a CRC: the text is cut short"
    if crc_line(body) != last:
        return "its CRC does not match: the text is damaged or was altered"
    return ""


def _board(line: str) -> SeenBoard | None:
    """A board's line with every bank by its number, from 1 and in order; None for any other line."""
    match = BOARD.fullmatch(line)
    banks = [BANK.fullmatch(part) for part in match[4].split("; ")] if match else []
    known = [bank for bank in banks if bank]
    if match is None or [bank[1] for bank in known] != [str(n) for n in range(1, len(banks) + 1)]:
        return None
    on = tuple(() if bank[2] == "none" else tuple(map(int, bank[2].split())) for bank in known)
    return SeenBoard(match[1].lower(), match[2], match[3] or match[2], on)


def _port(text: str) -> SeenPort | None:
    match = PORT.fullmatch(text)
    return SeenPort(match[1], match[3] or "", match[4] or "") if match else None

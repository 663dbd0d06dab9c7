"""What the commands show in a terminal: problems, summaries, boards as small pictures."""

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Self

from tagmaker.catalog.words import Words, load_words
from tagmaker.plan.model import BankPlan, Board, BoxPlan, Port, SwitchPlan
from tagmaker.problems import Problem, Severity, has_errors
from tagmaker.tags.reasons import on_list, reason
from tagmaker.units import Capacity, CapacityUnit
from tagmaker.workflows.make import Made
from tagmaker.workflows.planning import Checked

__all__ = ["Bar", "checked_lines", "made_json", "made_lines", "problem_lines", "switch_lines"]

BOLD, RED, YELLOW, PLAIN = "\x1b[1m", "\x1b[31m", "\x1b[33m", "\x1b[0m"
LONG_JOB = 12  # boxes from which a run takes long enough for a bar
BAR_WIDTH = 30
LOAD_BAR_WIDTH = 16
PICTURES = "png/"


class Bar:
    """A progress bar on standard error, where that is a terminal and the job is long; a context manager."""

    def __init__(self) -> None:
        self.shown = False

    def __enter__(self) -> Self:
        return self

    def move(self, done: int, of: int) -> None:
        """Show that so many boxes of so many are laid out."""
        if of < LONG_JOB or not sys.stderr.isatty():
            return
        filled = BAR_WIDTH * done // of
        sys.stderr.write(f"\r{'#' * filled}{'.' * (BAR_WIDTH - filled)} {done} of {of} boxes")
        sys.stderr.flush()
        self.shown = True

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None
    ) -> None:
        if self.shown:
            sys.stderr.write("\r\x1b[K")


def _is_coloured(stream: object) -> bool:
    """Whether a stream shows colours: a terminal, and NO_COLOR not set (no-color.org)."""
    return bool(getattr(stream, "isatty", bool)()) and not os.environ.get("NO_COLOR")


def _styled(text: str, style: str, stream: object) -> str:
    return f"{style}{text}{PLAIN}" if _is_coloured(stream) else text


def problem_lines(problems: Iterable[Problem]) -> list[str]:
    """Every problem, its severity coloured where standard error is a terminal."""
    styles = {Severity.ERROR: RED, Severity.WARNING: YELLOW, Severity.NOTE: BOLD}
    lines: list[str] = []
    for problem in problems:
        word = f"{problem.severity}:"
        lines.append(problem.as_text().replace(word, _styled(word, styles[problem.severity], sys.stderr), 1))
    return lines


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _tally(problems: tuple[Problem, ...]) -> str:
    counts = [_count(sum(p.severity is severity for p in problems), str(severity)) for severity in Severity]
    return ", ".join(counts)


def checked_lines(checked: Checked) -> list[str]:
    """What `check` says at the end."""
    lines = [_tally(checked.problems)]
    if has_errors(checked.problems):
        lines.append("make would write nothing until the errors are mended")
    elif checked.plan:
        lines.insert(
            0, f"{checked.plan.job.name}: {_count(len(checked.plan.boxes), 'box', 'boxes')} can be made"
        )
    return lines


def sheet_lines(checked: Checked) -> list[str]:
    """How much of each label stock the job needs."""
    return [
        f"  {stock}: " + (f"{_count(labels, 'label')}, " if labels else "") + _count(pages, "page")
        for stock, labels, pages in checked.sheets
    ]


def made_lines(made: Made, out: Path) -> list[str]:
    """What `make` wrote, a line a file and one for all pictures, what it needs, and what reads back."""
    if not made.files:
        return [f"{_tally(made.checked.problems)}: nothing was written"]
    lines = [f"{out}: {_count(made.tags, 'tag')} for {_count(made.boxes, 'box', 'boxes')}"]
    for name, pages in made.files:
        if not name.startswith(PICTURES):
            lines.append(f"  {name}" + (f"  {_count(pages, 'page')}" if pages else ""))
    if pictures := sum(name.startswith(PICTURES) for name, _ in made.files):
        lines.append(f"  {PICTURES}  {_count(pictures, 'picture')}")
    if made.checked.sheets:
        lines += ["needed:", *sheet_lines(made.checked)]
    lines += [
        f"{_count(left, 'label')} of the last sheet of {stock} left: --skip {used} goes on there"
        for stock, used, left in made.checked.part_used
    ]
    proof = f"{made.codes_read} of {made.codes_read} codes read back"
    return [*lines, proof if made.codes_read >= 0 else "the codes were not read back (--no-proof)"]


def made_json(made: Made, out: Path) -> dict[str, object]:
    """What `make` wrote as data; `part_used` are the last sheets that have labels left."""
    left = [{"stock": stock, "used": used, "left": rest} for stock, used, rest in made.checked.part_used]
    files = [name for name, _ in made.files]
    return {"out": str(out), "tags": made.tags, "boxes": made.boxes, "files": files, "part_used": left}


def switch_lines(checked: Checked) -> list[str]:
    """Every box: its boards as pictures, its ports with their loads."""
    if checked.plan is None:
        return []
    words = load_words()
    unit = checked.plan.job.capacity_unit
    return [line for box in checked.plan.boxes for line in _box_lines(box, unit, words)]


def _box_lines(box: BoxPlan, unit: CapacityUnit, words: Words) -> list[str]:
    load = box.load.text(unit) if box.load else f"{words('placard.unknown_load')} {unit}"
    head = _styled(box.row.shown, BOLD, sys.stdout)
    lines = [f"{head}  {box.row.ports} ports, {load}  {box.row.place}".rstrip()]
    for board in box.boards:
        lines += _board_lines(board, words)
    lines += [_port_line(port, unit, words) for port in box.ports]
    return [*lines, ""]


def _board_lines(board: Board, words: Words) -> list[str]:
    none = f" and {_count(board.unfitted, 'position')} without a port" if board.unfitted else ""
    lines = [f"  {words('placard.board', place=board.place)}, {' '.join(board.letters)}{none}"]
    for bank in board.banks:
        lines += _bank_lines(bank, words)
    return lines


def _bank_lines(bank: BankPlan, words: Words) -> list[str]:
    """A bank as one faces the board: a row for each end of the slots, sliders as solid squares."""
    order = bank.switches if bank.numbered_from == "left" else tuple(reversed(bank.switches))
    ends = ("on", "off") if bank.on_points == "up" else ("off", "on")
    wide = len(str(len(order)))
    rows = [
        f"{words(f'state.{end}'):<4}" + " ".join(f"{_end(switch, end):>{wide}}" for switch in order)
        for end in ends
    ]
    rows.append("    " + " ".join(f"{switch.number:>{wide}}" for switch in order))
    reasons = [
        words("placard.reason", switch=switch.number, reason=reason(switch, words))
        for switch in bank.switches
        if switch.state != "off"
    ]
    told = [_styled(on_list(bank, words), BOLD, sys.stdout), "; ".join(reasons)]
    name = [f"{bank.name:<10.24}", " " * max(10, len(bank.name)), " " * max(10, len(bank.name))]
    right = [told[0], told[1], ""]
    return [f"    {a} {b}   {c}".rstrip() for a, b, c in zip(name, rows, right, strict=True)]


def _end(switch: SwitchPlan, end: str) -> str:
    if switch.state == "leave":
        return "?"
    return "■" if switch.state == end else "·"


def _port_line(port: Port, unit: CapacityUnit, words: Words) -> str:
    if port.use == "spare":
        return f"    {port.name:<4} {words('use.spare')}"
    units = ", ".join(each.tag for each in port.units)
    number = port.load.number(unit) if port.load else words("placard.unknown_load")
    share = min(1.0, float(port.load.btuh / port.limit.btuh)) if port.load else 0.0
    filled = round(LOAD_BAR_WIDTH * share)
    bar = "█" * filled + "░" * (LOAD_BAR_WIDTH - filled)
    headroom = _headroom(port.load, port.limit, unit) if port.load else ""
    return f"    {port.name:<4} {bar} {number}/{port.limit.number(unit)} {unit}{headroom}  {units}"


def _headroom(load: Capacity, limit: Capacity, unit: CapacityUnit) -> str:
    left = Capacity(abs(limit.btuh - load.btuh)).number(unit)
    return f", {left} {'left' if load <= limit else 'over'}"

"""The command `switches`: every board's switches as a picture, every port with its load.

`--json` prints the same as boxes, boards, banks and ports; capacities in Btu/h.
"""

import sys
from typing import TYPE_CHECKING

from tagmaker.cli.options import AsJson, Boxes, JobPath, end, job_path, upper
from tagmaker.cli.show import BOLD, count, styled

if TYPE_CHECKING:
    from tagmaker.catalog.words import Words
    from tagmaker.plan.model import BankPlan, Board, BoxPlan, Port, SwitchPlan
    from tagmaker.units import Capacity, CapacityUnit
    from tagmaker.workflows.switches import Switches

__all__ = ["switch_lines", "switches"]

LOAD_BAR_WIDTH = 16
NAME_WIDTH = 10  # characters of a bank's name before its picture


def switches(job: JobPath = None, box: Boxes = None, as_json: AsJson = False) -> None:
    """Show every board's switches, with the reason for each that is ON, and the port loads."""
    from tagmaker.revisions.selection import Selection
    from tagmaker.workflows import switches as workflow

    shown = workflow.switches(job_path(job), Selection(upper(box)))
    end(shown.problems, shown.outline, switch_lines(shown), as_json=as_json)


def switch_lines(shown: "Switches") -> list[str]:
    """A head line a box, its boards as pictures, its ports with load, limit and units; then a blank line."""
    if shown.plan is None:
        return []
    from tagmaker.catalog.words import load_words

    words, unit = load_words(), shown.plan.job.capacity_unit
    return [line for box in shown.plan.boxes for line in _box_lines(box, unit, words)]


def _box_lines(box: "BoxPlan", unit: "CapacityUnit", words: "Words") -> list[str]:
    load = box.load.text(unit) if box.load else f"{words('placard.unknown_load')} {unit}"
    head = styled(box.row.shown, BOLD, sys.stdout)
    lines = [f"{head}  {box.row.ports} ports, {load}  {box.row.place}".rstrip()]
    for board in box.boards:
        lines += _board_lines(board, words)
    lines += [_port_line(port, unit, words) for port in box.ports]
    return [*lines, ""]


def _board_lines(board: "Board", words: "Words") -> list[str]:
    none = f" and {count(board.unfitted, 'position')} without a port" if board.unfitted else ""
    lines = [f"  {words('placard.board', place=board.place)}, {' '.join(board.letters)}{none}"]
    for bank in board.banks:
        lines += _bank_lines(bank, words)
    return lines


def _bank_lines(bank: "BankPlan", words: "Words") -> list[str]:
    """A bank as one faces the board: a row for each end of its slots, sliders as solid squares.

    Beside the rows: which switches are ON, and the reason for each. Columns are as wide as the largest
    switch number, so that a bank of ten or more keeps its sliders above their numbers.
    """
    from tagmaker.tags.reasons import on_list, reason

    order = bank.in_order()
    ends = ("on", "off") if bank.on_points == "up" else ("off", "on")
    wide = len(str(len(order)))
    rows = [
        f"{words(f'state.{end}'):<4}" + " ".join(f"{_slot(switch, end):>{wide}}" for switch in order)
        for end in ends
    ]
    rows.append("    " + " ".join(f"{switch.number:>{wide}}" for switch in order))
    reasons = [
        words("placard.reason", switch=switch.number, reason=reason(switch, words))
        for switch in bank.switches
        if switch.state != "off"
    ]
    blank = " " * max(NAME_WIDTH, len(bank.name))
    left = [f"{bank.name:<{NAME_WIDTH}.24}", blank, blank]
    right = [styled(on_list(bank, words), BOLD, sys.stdout), "; ".join(reasons), ""]
    return [f"    {name} {row}   {text}".rstrip() for name, row, text in zip(left, rows, right, strict=True)]


def _slot(switch: "SwitchPlan", end: str) -> str:
    """One end of a switch's slot: the slider is there, it is not, or the switch is left as found."""
    if switch.state == "leave":
        return "?"
    return "■" if switch.state == end else "·"


def _port_line(port: "Port", unit: "CapacityUnit", words: "Words") -> str:
    """A port's load as a bar of its limit and in numbers, what is left, and its units."""
    if port.use == "spare":
        return f"    {port.name:<4} {words('use.spare')}"
    units = ", ".join(each.tag for each in port.units)
    number = port.load.number(unit) if port.load else words("placard.unknown_load")
    share = min(1.0, float(port.load.btuh / port.limit.btuh)) if port.load else 0.0
    filled = round(LOAD_BAR_WIDTH * share)
    bar = "█" * filled + "░" * (LOAD_BAR_WIDTH - filled)
    headroom = _headroom(port.load, port.limit, unit) if port.load else ""
    return f"    {port.name:<4} {bar} {number}/{port.limit.number(unit)} {unit}{headroom}  {units}"


def _headroom(load: "Capacity", limit: "Capacity", unit: "CapacityUnit") -> str:
    """What the limit leaves, or by how much the load is over it."""
    from tagmaker.units import Capacity

    left = Capacity(abs(limit.btuh - load.btuh)).number(unit)
    return f", {left} {'left' if load <= limit else 'over'}"

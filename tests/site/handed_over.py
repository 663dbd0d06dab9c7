"""Walks that leave nothing open, and ways in which they can."""

from tagmaker.plan.model import Plan
from tests.site.walks import ROLES, Values, as_planned, letters

__all__ = ["all_right", "wrong_switches"]

PROOF = "rung out and traced, K.A."


def all_right(plan: Plan) -> Values:
    """Everything seen and as planned, each pipe and cable proved with how and by whom, all roles signed."""
    values = as_planned(plan)
    for box in plan.boxes:
        key = box.row.key
        for letter, port in letters(box):
            if port.units:
                lines = ("pipe", "cable") if letter == port.name[0] else ("pipe",)
                values |= {f"{key}/port/{letter}/{line}/proved": True for line in lines}
                values[f"{key}/port/{letter}/proved"] = PROOF
        values |= {f"{key}/sign/{role}": "K.A." for role in ROLES}
        values |= {f"{key}/date/{role}": "2026-06-03" for role in ROLES}
    return values


def wrong_switches(plan: Plan) -> list[str]:
    """The fields of switches that must be OFF."""
    return [
        f"{box.row.key}/{board.place}/{bank.number}/{switch.number}"
        for box in plan.boxes
        for board in box.boards
        for bank in board.banks
        for switch in bank.switches
        if switch.state == "off"
    ]

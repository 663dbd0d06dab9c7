"""The steps that each kind of change asks for on site: `layouts/steps.toml`, phases and steps in safe order.

Gives records. What a step's lines say of a job is made by `revisions.step_lines`, by the name in `lines`.
"""

from collections.abc import Collection
from functools import cache
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.catalog.walk_items import ROLES, Role
from tagmaker.files.toml import Table

__all__ = [
    "CHANGE_KINDS",
    "BoxLines",
    "ChangeKind",
    "Condition",
    "Per",
    "Phase",
    "Step",
    "Steps",
    "SystemLines",
    "change_steps",
]

ChangeKind = Literal[
    "pipe", "cable", "switch", "address", "capacity", "isolation", "refrigerant", "check", "name"
]
"""What a change is for whoever does it; `check` is a fact that was not given before, or is not now."""
CHANGE_KINDS: tuple[ChangeKind, ...] = get_args(ChangeKind)
Condition = Literal["", "valves", "recovered", "flammable"]
"""When a step is needed: ports with valves of their own, refrigerant to be recovered, one that may burn."""
Per = Literal["system", "box"]
SystemLines = Literal["system", "outdoor", "flammable", "refrigerant"]
BoxLines = Literal[
    "box", "power", "units", "hardware", "pipes", "identify", "cut", "braze", "cables", "land", "switches",
    "addresses", "renamed", "facts", "isolation", "tags-off", "tags-on", "placard", "bands", "check", "scan",
    "capacities", "cover", "response",
]  # fmt: skip
"""What the lines of a step are made from, once a system or once a box."""


class Step(Struct, frozen=True):
    """One step: the kinds of change that need it (empty: all), those that make it needless, and its words."""

    key: str
    per: Per
    kinds: frozenset[ChangeKind]
    unless: frozenset[ChangeKind]
    when: Condition
    lines: SystemLines | BoxLines
    role: Role
    text: str

    def is_for(self, kinds: Collection[ChangeKind]) -> bool:
        """Whether work of these kinds needs it."""
        return (not self.kinds or not self.kinds.isdisjoint(kinds)) and self.unless.isdisjoint(kinds)


class Phase(Struct, frozen=True):
    """Steps that are done for a whole system before the next phase, or box by box."""

    title: str
    by: Per
    steps: tuple[Step, ...]


class Steps(Struct, frozen=True):
    """All phases in order, and how they are known."""

    standing: str
    phases: tuple[Phase, ...]


@cache
def change_steps() -> Steps:
    """The steps as the data file gives them."""
    with shipped_table("steps.toml") as table:
        return Steps(
            table.text("standing", required=True), tuple(_phase(each) for each in table.tables("phase"))
        )


def _phase(table: Table) -> Phase:
    phase = Phase(
        title=table.text("title", required=True, at_most=40),
        by=table.choice("by", get_args(Per), "system"),
        steps=tuple(_step(each) for each in table.tables("step")),
    )
    table.close()
    return phase


def _step(table: Table) -> Step:
    per = table.choice("per", get_args(Per), "system")
    known = get_args(SystemLines if per == "system" else BoxLines)
    step = Step(
        key=table.text("key", required=True, at_most=20),
        per=per,
        kinds=_kinds(table, "kinds"),
        unless=_kinds(table, "unless"),
        when=table.choice("when", get_args(Condition), ""),
        lines=table.choice("lines", known, known[0]),
        role=table.choice("role", ROLES, "technician"),
        text=table.text("text", required=True, at_most=140),
    )
    table.close()
    return step


def _kinds(table: Table, key: str) -> frozenset[ChangeKind]:
    """Kinds by their names; a name that is none is reported."""
    names = table.texts(key)
    if unknown := sorted(set(names) - set(CHANGE_KINDS)):
        table.wrong("value-wrong", key, f"{key!r} cannot be {', '.join(unknown)}")
    return frozenset(kind for kind in CHANGE_KINDS if kind in names)

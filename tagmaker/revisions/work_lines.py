"""Changes as lines of work, each a step with what to do, for the terminal and the sheet that is taken along.

The order is that of `layouts/steps.toml`: phases, each done for a whole system or box by box, so that no old
tag comes off before the last pipe of its system is proved, and power is off from the first step to the last.
"""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.steps import Phase, Step, change_steps
from tagmaker.catalog.words import Words
from tagmaker.plan.outline import PortOutline
from tagmaker.revisions.box_lines import BOX_LINES
from tagmaker.revisions.groups import Group, groups_of
from tagmaker.revisions.lines import At, Line, at, facts_text, load_text
from tagmaker.revisions.model import (
    BoxChange,
    Changes,
    FactChange,
    PortChange,
    SystemChange,
    UnitChange,
    UnitsByBox,
)
from tagmaker.tags.work_list import BoxWork, WorkItem

__all__ = ["SYSTEM_LINES", "work_of_changes"]


SHOWN = 6  # figures in a line of work; the others are notes
SYSTEM_STEP = "system-figures"
"""The step of what follows from a system's figures, as `layouts/system-changes.toml` gives it."""


class _Together(Struct, frozen=True):
    """A group with its boxes, ready to be written about."""

    changes: Changes
    group: Group
    boxes: tuple[At, ...]
    words: Words

    @property
    def name(self) -> str:
        """The system's name; `system` where none is given."""
        return self.group.name or self.words("changes.one_system")

    def needs(self, step: Step) -> bool:
        """Whether a step that is done once a system is needed: for one box at least, by the kinds of all."""
        kinds = {kind for here in self.boxes for kind in here.box.kinds}
        return step.is_for(kinds) and any(_is_when(step, here) for here in self.boxes)


def work_of_changes(changes: Changes, words: Words) -> list[BoxWork]:
    """Systems' figures first; then every system's and box's lines, phase by phase, then each box's notes.

    Lines are numbered over the whole job.
    """
    units = UnitsByBox(changes.units)
    names = {unit.was.unit: unit.now.unit for unit in changes.units if unit.was and unit.now}
    work = [_of_system(each, words) for each in changes.systems]
    for group in groups_of(changes):
        boxes = tuple(
            At(changes, box, units.had(box.was), units.has(box.now), names, words) for box in group.boxes
        )
        together = _Together(changes, group, boxes, words)
        for phase in change_steps().phases:
            work += _phase(phase, together)
        for box in group.boxes:
            notes = tuple(_notes(changes, box, units, words))
            if notes:
                work.append(BoxWork(box.now or box.was, "", (), (), notes, group.name))
    return list(_numbered(work))


def _numbered(work: list[BoxWork]) -> Iterator[BoxWork]:
    number = 0
    for each in work:
        items = [replace(item, number=number + n) for n, item in enumerate(each.punches, start=1)]
        number += len(items)
        yield replace(each, punches=items)


def _phase(phase: Phase, together: _Together) -> Iterator[BoxWork]:
    """One list for a system's phase, a list a box for a box's; none where nothing is to be done."""
    if phase.by == "system":
        items = [item for step in phase.steps for item in _step(step, together)]
        if items:
            yield BoxWork(together.name, phase.title, items, (), (), together.group.name)
        return
    for here in together.boxes:
        items = [item for step in phase.steps for item in _of_box(step, here)]
        if items:
            where = " · ".join(filter(None, (here.box.place, phase.title)))
            yield BoxWork(here.box.now or here.box.was, where, items, (), (), together.group.name)


def _step(step: Step, together: _Together) -> Iterator[WorkItem]:
    """A step's lines in a phase of the whole system, once or box by box."""
    if step.per == "box":
        for here in together.boxes:
            yield from _of_box(step, here)
    elif together.needs(step):
        for line in SYSTEM_LINES[step.lines](together):
            yield replace(_item(step, together.name, line, together.words), is_system=True)


def _of_box(step: Step, here: At) -> Iterator[WorkItem]:
    box = here.box
    if step.is_for(box.kinds) and box.kinds and _is_when(step, here):
        for number, line in enumerate(BOX_LINES[step.lines](here)):
            yield _item(step, box.now or box.was, line, here.words, is_first=number == 0)


def _is_when(step: Step, here: At) -> bool:
    """Whether the step's condition is met at a box."""
    if step.when in {"valves", "recovered"}:
        return "pipe" in here.box.kinds and here.box.valves == (step.when == "valves")
    return step.when != "flammable" or _may_burn(here.changes)


def _item(step: Step, box: str, line: Line, words: Words, *, is_first: bool = True) -> WorkItem:
    """A line as it is printed: its own words where it has any, then the step's, once; else the step's."""
    how = " · ".join(filter(None, (line.how, step.text))) if line.what and is_first else line.how
    return WorkItem(
        box=box,
        place=line.place,
        wrong=line.what or step.text,
        to_do=how,
        step=step.key,
        role=words(f"walk.{step.role}"),
        ports=line.ports,
        codes=line.codes,
    )


def _of_system(change: SystemChange, words: Words) -> BoxWork:
    """A system's other figures with the work that follows; its other differences, and papers, as notes."""
    name = change.now or change.was

    def text(fact: FactChange) -> str:
        was, now = (each or words("changes.nothing") for each in (fact.was, fact.now))
        return words("changes.fact", what=_figure(fact.what, words), was=was, now=now)

    items = [
        WorkItem(
            box=name,
            place=words("changes.whole_system"),
            wrong="; ".join(map(text, work.facts[:SHOWN])),
            to_do=work.what,
            step=SYSTEM_STEP,
            role=words("walk.technician"),
            is_system=True,
        )
        for work in change.work
    ]
    done = {fact for work in change.work for fact in work.facts[:SHOWN]}
    notes = [text(fact) for fact in change.facts if fact not in done]
    if change.kind != "changed":
        notes.insert(0, words(f"changes.system_{change.kind}", was=change.was, now=change.now))
    if change.papers:
        files = ", ".join(f"{paper}.pdf" for paper in change.papers)
        notes.append(words("changes.papers", files=files))
    return BoxWork(name, words("changes.figures"), items, (), notes, name)


def _figure(key: str, words: Words) -> str:
    """A figure in words: its key without points, or what follows from boxes and units."""
    table, _, inner = key.partition(".")
    if table == "pipe":
        return words("changes.figure_pipe", tag=inner)
    if key in {"total", "connected", "heater_hours"}:
        return words(f"changes.figure_{key}")
    return key.replace(".", " ").replace("_", " ")


# --- once a system -----------------------------------------------------------------------------------------


def _system(together: _Together) -> Iterator[Line]:
    yield Line(together.words("changes.whole_system"))


def _outdoor(together: _Together) -> Iterator[Line]:
    sources = dict.fromkeys(source for here in together.boxes for source in here.box.sources)
    how = together.words("changes.sources", sources=", ".join(sources)) if sources else ""
    yield Line(together.words("changes.outdoor"), "", how)


def _flammable(together: _Together) -> Iterator[Line]:
    """Which refrigerant may burn, or that none is known not to."""
    words, groups = together.words, band_rules().groups
    for name in dict.fromkeys((together.changes.was.refrigerant, together.changes.now.refrigerant)):
        if _burns(name):
            how = words("changes.flammable_unknown")
            if name in groups:
                how = words("changes.flammable", name=name, group=groups[name])
            yield Line(words("changes.whole_system"), "", how)
            return


def _refrigerant(together: _Together) -> Iterator[Line]:
    facts = {fact.what: fact for here in together.boxes for fact in here.box.facts}
    if "refrigerant" in facts:
        fact, words = facts["refrigerant"], together.words
        what = words("changes.unit_fact", what=words("changes.refrigerant"), was=fact.was, now=fact.now)
        yield Line(words("changes.whole_system"), what)


def _may_burn(changes: Changes) -> bool:
    return _burns(changes.was.refrigerant) or _burns(changes.now.refrigerant)


def _burns(refrigerant: str) -> bool:
    """Whether a refrigerant is flammable or not known: only groups A1 and B1 are known not to be."""
    return band_rules().groups.get(refrigerant, "") not in {"A1", "B1"}


SYSTEM_LINES: Mapping[str, Callable[[_Together], Iterator[Line]]] = MappingProxyType(
    {"system": _system, "outdoor": _outdoor, "flammable": _flammable, "refrigerant": _refrigerant}
)
"""What writes the lines of a step, by the step's `lines`."""


# --- what differs on paper alone ---------------------------------------------------------------------------


def _notes(changes: Changes, box: BoxChange, units: UnitsByBox, words: Words) -> Iterator[str]:
    for unit in units.concerning(box.was, box.now):
        yield from _unit_notes(unit, words)
    for fact in box.facts:
        was, now = (text or words("changes.nothing") for text in (fact.was, fact.now))
        yield words("changes.fact", what=words(f"changes.{fact.what}"), was=was, now=now)
    ports = box.ports if box.was and box.now else ()
    yield from (_port_note(port, changes.now.capacity_unit, words) for port in ports if _is_used(port))


def _unit_notes(change: UnitChange, words: Words) -> Iterator[str]:
    """What became of a unit, and what of it differs on paper alone."""
    was, now = change.was, change.now
    either = now or was
    name = either.unit if either else ""
    if change.kind != "changed":
        old = was.unit if was and change.kind == "renamed" else name
        yield words(f"changes.unit_{change.kind}", unit=old, now=name, was_at=at(was), now_at=at(now))
    facts = [fact for fact in change.facts if fact not in change.on_site]
    if facts:
        yield words("changes.unit_facts", unit=name, at=at(now), facts=facts_text(facts, "", words))


def _is_used(port: PortChange) -> bool:
    return any(each and each.units for each in (port.was, port.now))


def _port_note(port: PortChange, unit: str, words: Words) -> str:
    was, now = (_port(each, unit, words, is_pair="+" in port.port) for each in (port.was, port.now))
    return words("changes.load", port=port.port, was=was, now=now, unit=unit)


def _port(port: PortOutline | None, unit: str, words: Words, *, is_pair: bool) -> str:
    if port is None:
        return words("changes.no_pair" if is_pair else "changes.no_port")
    if port.use == "spare":
        return words("changes.spare")
    return f"{', '.join(port.units)} {load_text(port.load_btuh, unit)}/{load_text(port.limit_btuh, unit)}"

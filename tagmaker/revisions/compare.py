"""Two sets compared: what is to be moved, taken off, put on and looked at again, box by box.

Takes two issued sets, gives `Changes`. The work listed is complete: done on a site that is as the old set, it
gives a site as the new one (a property test holds it for random pairs of jobs).
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct

from tagmaker.plan.model import Setting
from tagmaker.plan.outline import BankOutline, BoardOutline, BoxOutline, PortOutline
from tagmaker.revisions.issued import Issued, IssuedPlacard, IssuedTag, same_codes
from tagmaker.revisions.kinds import (
    BoxDifferences,
    Names,
    letters_of,
    renamed_systems,
    touched_cables,
    touched_pipes,
)
from tagmaker.revisions.model import (
    NEW_HARDWARE,
    BoxChange,
    BoxChangeKind,
    Changes,
    FactChange,
    PortChange,
    SwitchMove,
    UnitChange,
    UnitsByBox,
)
from tagmaker.revisions.renames import BoxPair, box_pairs, unit_changes
from tagmaker.revisions.system_changes import system_changes

__all__ = ["compare"]

FACTS = ("shown", "place", "power", "system", "level", "fed_from")


def compare(old: Issued, new: Issued) -> Changes:
    """All differences between the set on site and the job as it is now; boxes without any are left out."""
    pairs = box_pairs(old, new)
    units = unit_changes(old, new, pairs)
    sides = _Sides(_Set(old), _Set(new), UnitsByBox(units), _names(old, new, pairs, units))
    boxes = tuple(box for was, now in pairs if _differs(box := _box(sides, was, now), sides))
    systems = system_changes(old, new, boxes, sides.names.systems)
    return Changes(old.job, new.job, units, boxes, systems)


class _Set:
    """A set's tags and placards by box."""

    def __init__(self, issued: Issued) -> None:
        self.refrigerant = issued.job.refrigerant
        self.placards = {each.box.upper(): each for each in issued.placards}
        self.tags: dict[str, dict[str, IssuedTag]] = {}
        for tag in issued.tags:
            self.tags.setdefault(tag.box.upper(), {})[tag.code] = tag

    def of(self, box: BoxOutline | None) -> tuple[Mapping[str, IssuedTag], IssuedPlacard | None]:
        """A box's tags by code and its placard; nothing of a box that is not in the set."""
        if box is None:
            return {}, None
        return self.tags.get(box.tag.upper(), {}), self.placards.get(box.tag.upper())


class _Sides(Struct, frozen=True):
    """Both sets, the units that differ, and what only has another name."""

    before: _Set
    after: _Set
    units: UnitsByBox
    names: Names


def _names(old: Issued, new: Issued, pairs: Sequence[BoxPair], units: Sequence[UnitChange]) -> Names:
    before = {each.box.upper(): each for each in old.placards}
    after = {each.box.upper(): each for each in new.placards}
    tags = {was.tag.upper(): now.tag.upper() for was, now in pairs if was and now}
    both = [(before[was], after[now]) for was, now in tags.items()]
    stays = {*tags.values()}
    others = [each for key, each in before.items() if key not in tags]
    others += [each for key, each in after.items() if key not in stays]
    unit_names = {unit.was.unit: unit.now.unit for unit in units if unit.was and unit.now}
    return Names(tags, renamed_systems(both, others), unit_names)


def _differs(box: BoxChange, sides: _Sides) -> bool:
    """Whether there is anything to list of a box, work or not."""
    is_other = bool(box.kinds or box.facts or box.ports) or box.kind != "changed"
    return is_other or bool(sides.units.concerning(box.was, box.now))


def _box(sides: _Sides, was: BoxOutline | None, now: BoxOutline | None) -> BoxChange:
    kind = _kind(was, now)
    is_new = kind in NEW_HARDWARE
    old_tags, old_placard = sides.before.of(was)
    new_tags, new_placard = sides.after.of(now)
    same = same_codes(old_tags, new_tags)
    differs = (old_placard.says if old_placard else "") != (new_placard.says if new_placard else "")
    bands = (old_placard.bands if old_placard else "") != (new_placard.bands if new_placard else "")
    off = tuple(tag for code, tag in old_tags.items() if code not in same)
    on = tuple(tag for code, tag in new_tags.items() if code not in same)
    found = BoxDifferences(
        kind=kind,
        letters=letters_of(was, now),
        facts=(*_facts(old_placard, new_placard), *(_refrigerant(sides) if was and now else ())),
        switches=tuple(_switches(None if is_new else was, now)),
        ports=tuple(_ports(was, now)),
        tags_off=off,
        tags_on=on,
        is_reprinted=bool(off or on or bands or differs),
        had=sides.units.had(was.tag) if was else (),
        has=sides.units.has(now.tag) if now else (),
    )
    shown = new_placard or old_placard
    placards = [each for each in (old_placard, new_placard) if each]
    mains = found.opens_mains(sides.names)
    return BoxChange(
        kind=kind,
        was=was.tag if was else "",
        now=now.tag if now else "",
        place=shown.place if shown else "",
        power=shown.power if shown else "",
        boards=tuple(board.place for board in now.boards) if now and is_new else (),
        facts=tuple(found.facts),
        switches=tuple(found.switches),
        ports=tuple(found.ports),
        tags_off=off,
        tags_on=on,
        placard_off=old_placard if differs else None,
        placard_on=new_placard if differs else None,
        bands=bands,
        check=_letters_to_check(now, found),
        kinds=found.kinds(sides.names),
        pipes=touched_pipes(found),
        cables=touched_cables(found, sides.names),
        mains=mains,
        valves=not mains and all(each.port_valves for each in placards),
        systems=tuple(dict.fromkeys(each.system for each in placards if each.system)),
        sources=tuple(dict.fromkeys(each.fed_from for each in placards if each.fed_from)),
        letters=found.letters,
    )


def _refrigerant(sides: _Sides) -> Iterator[FactChange]:
    """Another refrigerant than the one that was given: a fact of every box."""
    was, now = sides.before.refrigerant, sides.after.refrigerant
    if was and now and was != now:
        yield FactChange("refrigerant", was, now)


def _kind(was: BoxOutline | None, now: BoxOutline | None) -> BoxChangeKind:
    if was is None or now is None:
        return "new" if was is None else "gone"
    if _hardware(was) != _hardware(now):
        return "replaced"
    return "changed" if was.tag.upper() == now.tag.upper() else "renamed"


def _hardware(box: BoxOutline) -> object:
    """What cannot be changed without another box: its family, its size, how its boards are made."""
    boards = [(board.place, board.ports, board.unfitted, len(board.banks)) for board in box.boards]
    return box.family, box.port_count, boards


def _facts(was: IssuedPlacard | None, now: IssuedPlacard | None) -> Iterator[FactChange]:
    """What differs of a box that stays; how its tag is shown follows from a rename and is no fact then."""
    if was and now:
        for what in FACTS:
            old, new = str(getattr(was, what)), str(getattr(now, what))
            if old != new and (what != "shown" or was.box == now.box):
                yield FactChange(what, old, new)


def _ports(was: BoxOutline | None, now: BoxOutline | None) -> Iterator[PortChange]:
    """Ports and pairs that differ, by their first letter in the family's order, a port before its pair."""
    old: dict[str, PortOutline] = {port.port: port for port in was.ports} if was else {}
    new: dict[str, PortOutline] = {port.port: port for port in now.ports} if now else {}
    rank = {letter: number for number, letter in enumerate(letters_of(was, now))}

    def order(name: str) -> tuple[int, int]:
        return rank.get(name.partition("+")[0], len(rank)), len(name)

    for name in sorted(old.keys() | new.keys(), key=order):
        if old.get(name) != new.get(name):
            yield PortChange(name, old.get(name), new.get(name))


def _switches(was: BoxOutline | None, now: BoxOutline | None) -> Iterator[SwitchMove]:
    """Every switch with another setting; on a board that is new there, those that are not OFF."""
    old = {board.place: board for board in was.boards} if was else {}
    for board in now.boards if now else ():
        there = old.get(board.place)
        for number, bank in enumerate(board.banks, start=1):
            states = _states(bank)
            earlier = _states(_bank(there, number)) if there else {}
            for switch in sorted(states.keys() | earlier.keys()):
                before: Literal[Setting, ""] = earlier.get(switch, "off") if there else ""
                after: Setting = states.get(switch, "off")
                if before != after:
                    yield SwitchMove(board.place, number, bank.name, switch, before, after, bank.on)


def _bank(board: BoardOutline, number: int) -> BankOutline:
    """A bank by its number from 1; one without switches where the board has fewer."""
    return board.banks[number - 1] if number <= len(board.banks) else BankOutline("", (), (), ())


def _states(bank: BankOutline) -> dict[int, Setting]:
    """The switches that are not OFF."""
    on: dict[int, Setting] = dict.fromkeys(bank.on, "on")
    left: dict[int, Setting] = dict.fromkeys(bank.leave, "leave")
    return on | left


def _letters_to_check(now: BoxOutline | None, found: BoxDifferences) -> tuple[str, ...]:
    """Letters at which pipes and cables are looked at again: wherever somebody has worked.

    These are ports that differ, ports at which a tag is taken off or put on, and ports of other units or
    pipes.
    """
    if now is None:
        return ()
    letters = {tag.port for tag in (*found.tags_off, *found.tags_on)}
    letters |= {letter for port in found.ports for letter in port.port.split("+")}
    for unit in found.has:
        if unit.now and unit.is_work:
            letters |= set(unit.now.port.split("+"))
    return tuple(letter for letter in letters_of(None, now) if letter in letters)

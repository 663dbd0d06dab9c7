"""Two sets compared: what is to be moved, taken off, put on and looked at again, box by box.

Takes two issued sets, gives `Changes`. The work listed is complete: done on a site that is as the old set, it
gives a site as the new one (a property test holds it for random pairs of jobs).
"""

from collections.abc import Iterator, Mapping
from typing import Literal

from tagmaker.plan.model import Setting
from tagmaker.plan.outline import BankOutline, BoardOutline, BoxOutline, PortOutline
from tagmaker.revisions.issued import Issued, IssuedPlacard, IssuedTag, same_codes
from tagmaker.revisions.model import (
    NEW_HARDWARE,
    BoxChange,
    BoxChangeKind,
    Changes,
    FactChange,
    PortChange,
    SwitchMove,
    UnitChange,
)
from tagmaker.revisions.renames import box_pairs, unit_changes

__all__ = ["compare"]

FACTS = ("shown", "place", "power", "system", "level", "fed_from")


def compare(old: Issued, new: Issued) -> Changes:
    """All differences between the set on site and the job as it is now; boxes without any are left out."""
    pairs = box_pairs(old, new)
    units = unit_changes(old, new, pairs)
    before, after = _Set(old), _Set(new)
    boxes = (_box(before, was, after, now, units) for was, now in pairs)
    differing = tuple(
        box
        for box in boxes
        if box.is_work or box.facts or box.ports or box.kind != "changed" or any(map(box.concerns, units))
    )
    return Changes(old.job, new.job, units, differing)


class _Set:
    """A set's tags and placards by box."""

    def __init__(self, issued: Issued) -> None:
        self.placards = {each.box.upper(): each for each in issued.placards}
        self.tags: dict[str, dict[str, IssuedTag]] = {}
        for tag in issued.tags:
            self.tags.setdefault(tag.box.upper(), {})[tag.code] = tag

    def of(self, box: BoxOutline | None) -> tuple[Mapping[str, IssuedTag], IssuedPlacard | None]:
        """A box's tags by code and its placard; nothing of a box that is not in the set."""
        if box is None:
            return {}, None
        return self.tags.get(box.tag.upper(), {}), self.placards.get(box.tag.upper())


def _box(
    before: _Set,
    was: BoxOutline | None,
    after: _Set,
    now: BoxOutline | None,
    units: tuple[UnitChange, ...],
) -> BoxChange:
    kind = _kind(was, now)
    is_new = kind in NEW_HARDWARE
    old_tags, old_placard = before.of(was)
    new_tags, new_placard = after.of(now)
    same = same_codes(old_tags, new_tags)
    off = tuple(tag for code, tag in old_tags.items() if code not in same)
    on = tuple(tag for code, tag in new_tags.items() if code not in same)
    ports = tuple(_ports(was, now))
    differs = (old_placard.says if old_placard else "") != (new_placard.says if new_placard else "")
    shown = new_placard or old_placard
    return BoxChange(
        kind=kind,
        was=was.tag if was else "",
        now=now.tag if now else "",
        place=shown.place if shown else "",
        power=shown.power if shown else "",
        boards=tuple(board.place for board in now.boards) if now and is_new else (),
        facts=tuple(_facts(old_placard, new_placard)),
        switches=tuple(_switches(None if is_new else was, now)),
        ports=ports,
        tags_off=off,
        tags_on=on,
        placard_off=old_placard if differs else None,
        placard_on=new_placard if differs else None,
        bands=(old_placard.bands if old_placard else "") != (new_placard.bands if new_placard else ""),
        check=_letters_to_check(now, ports, (*off, *on), units),
        letters=_letters(was, now),
    )


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
    """Ports and pairs that differ, by their letters in the family's order."""
    old: dict[str, PortOutline] = {port.port: port for port in was.ports} if was else {}
    new: dict[str, PortOutline] = {port.port: port for port in now.ports} if now else {}
    at = {letter: number for number, letter in enumerate(_letters(was, now))}
    for name in sorted(old.keys() | new.keys(), key=lambda name: [at[letter] for letter in name.split("+")]):
        if old.get(name) != new.get(name):
            yield PortChange(name, old.get(name), new.get(name))


def _letters(*boxes: BoxOutline | None) -> tuple[str, ...]:
    """Every letter of a box as it was and as it is, each once, in the family's order."""
    return tuple(dict.fromkeys(letter for box in reversed(boxes) if box for letter in box.letters))


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


def _letters_to_check(
    now: BoxOutline | None,
    ports: tuple[PortChange, ...],
    tags: tuple[IssuedTag, ...],
    units: tuple[UnitChange, ...],
) -> tuple[str, ...]:
    """Letters at which pipes and cables are looked at again: wherever somebody has worked.

    These are ports that differ, ports at which a tag is taken off or put on, and ports of other units or
    pipes.
    """
    if now is None:
        return ()
    letters = {tag.port for tag in tags}
    letters |= {letter for port in ports for letter in port.port.split("+")}
    for unit in units:
        if unit.now and unit.is_work and unit.now.box == now.tag:
            letters |= set(unit.now.port.split("+"))
    return tuple(letter for letter in now.letters if letter in letters)

"""Changes as lines of work, each with what to do, for the terminal and for the sheet that is taken along.

The order of a box's lines is the order of the work: power off, switches, disconnect (the old tags still say
what is what), old tags off, new tags on, connect, placard, look again, power on.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from tagmaker.catalog.words import Words
from tagmaker.plan.model import Setting
from tagmaker.plan.outline import PortOutline
from tagmaker.revisions.connections import Line, at, facts_text, load_text, off_lines, on_lines, unit_lines
from tagmaker.revisions.issued import IssuedTag
from tagmaker.revisions.model import BoxChange, BoxChangeKind, Changes, PortChange, SwitchMove, UnitChange
from tagmaker.tags.model import AT_TERMINALS
from tagmaker.tags.work_list import BoxWork, WorkItem

__all__ = ["work_of_changes"]

WHOLE: frozenset[BoxChangeKind] = frozenset({"new", "gone", "renamed"})
"""Boxes at which every tag comes off or is put on."""


def work_of_changes(changes: Changes, words: Words) -> list[BoxWork]:
    """Every box that differs, with its lines numbered over the whole job, and its notes."""
    work: list[BoxWork] = []
    number = 0
    for box in changes.boxes:
        lines: list[WorkItem] = []
        for place, what, to_do in _lines(changes, box, words):
            number += 1
            lines.append(WorkItem(box.now or box.was, place, what, to_do, number=number))
        work.append(BoxWork(box.now or box.was, box.place, lines, (), tuple(_notes(changes, box, words))))
    return work


def _lines(changes: Changes, box: BoxChange, words: Words) -> Iterator[Line]:
    """A box's lines in the order of the work."""
    if box.kind != "changed":
        what = words(f"changes.{box.kind}", was=box.was, now=box.now)
        yield words("changes.box"), what, words(f"changes.{box.kind}_how")
    opens = _opens(box)
    if opens:
        yield words("changes.power"), words("changes.power_what"), _isolated(box, words)
    yield from _switch_lines(box, words)
    yield from off_lines(changes, box, words)
    yield from _tag_lines("off", box, box.was, box.tags_off, words)
    yield from _tag_lines("on", box, box.now, box.tags_on, words)
    yield from on_lines(changes, box, words)
    yield from unit_lines(changes, box, words)
    if box.placard_off or box.placard_on:
        yield words("changes.placard"), *_placard(box, words)
    if box.bands:
        yield words("changes.bands"), words("changes.bands_what"), words("changes.bands_how")
    if box.check:
        many = "ports" if len(box.check) > 1 else "port"
        ports = words(f"changes.{many}", ports=" ".join(box.check), port=box.check[0])
        yield ports, words("changes.check"), words("changes.check_how")
    if opens:
        yield words("changes.restart"), words("changes.restart_what"), words("changes.restart_how")


def _isolated(box: BoxChange, words: Words) -> str:
    how = words("changes.power_how")
    return words("changes.power_at", power=box.power, how=how) if box.power else how


def _opens(box: BoxChange) -> bool:
    """Whether the control box is opened: a switch is moved, or a tag is put on or taken off at a terminal."""
    at_terminals = any(tag.kind in AT_TERMINALS and tag.end == "box" for tag in (*box.tags_off, *box.tags_on))
    return bool(box.switches or box.boards) or at_terminals


def _switch_lines(box: BoxChange, words: Words) -> Iterator[Line]:
    new = box.boards or tuple(dict.fromkeys(move.board for move in box.switches if not move.was))
    for board in new:
        moves = [move for move in box.switches if move.board == board]
        place = words("changes.board", board=board)
        yield place, words("changes.set_board"), _settings(moves, words)
    for move in (each for each in box.switches if each.board not in new):
        was, now = words(f"state.{move.was}"), words(f"state.{move.now}")
        what = words("changes.move", bank=move.name, switch=move.switch, was=was, now=now)
        yield words("changes.board", board=move.board), what, _then(move, words)


def _settings(moves: Sequence[SwitchMove], words: Words) -> str:
    """A whole board in words: what is ON, what is left, all else OFF."""
    text = words("changes.settings", on=_by_bank(moves, "on", words) or words("changes.none"))
    left = _by_bank(moves, "leave", words)
    return f"{text}; {words('changes.left', switches=left)}" if left else text


def _by_bank(moves: Iterable[SwitchMove], state: Setting, words: Words) -> str:
    """The switches of each bank that are to be in a state."""
    banks: dict[tuple[int, str], list[str]] = {}
    for move in moves:
        if move.now == state:
            banks.setdefault((move.bank, move.name), []).append(str(move.switch))
    return ", ".join(
        words("changes.of_bank", bank=name, switches=" ".join(switches))
        for (_, name), switches in banks.items()
    )


def _then(move: SwitchMove, words: Words) -> str:
    on = " ".join(map(str, move.then_on)) or words("changes.none")
    return words("changes.then", bank=move.name, on=on)


def _tag_lines(
    verb: Literal["on", "off"], box: BoxChange, name: str, tags: Iterable[IssuedTag], words: Words
) -> Iterator[Line]:
    """Tags to take off, or to put on, a line for each end of a port.

    Where all tags of a box come off or are put on, those at the box have one line together; `name` is the
    tag that the box has then.
    """
    if box.kind in WHOLE:
        here = [tag for tag in tags if tag.end == "box"]
        tags = [tag for tag in tags if tag.end != "box"]
        if here:
            how = words("changes.tags_all_how", box=name.upper())
            yield words("changes.box"), words(f"changes.tags_all_{verb}", count=len(here)), how
    groups: dict[tuple[str, tuple[str, ...]], list[IssuedTag]] = {}
    for tag in tags:
        groups.setdefault((tag.port, tag.units if tag.end != "box" else ()), []).append(tag)
    for (port, units), group in sorted(groups.items(), key=lambda item: (box.order_of(item[0][0]), item[0])):
        kinds = ", ".join(words(f"tag.{tag.kind.replace('-', '_')}") for tag in group)
        place = words("changes.port", port=port) if port else words("changes.box")
        where = _unit_end(group[0], words) if units else words("changes.at_box")
        codes = ", ".join(tag.code for tag in group)
        what = words(f"changes.tags_{verb}", where=where, kinds=kinds)
        strip = next((tag.strip for tag in group if verb == "on" and tag.strip), "")
        yield place, what, f"{codes} {words('changes.strip', board=strip)}" if strip else codes


def _unit_end(tag: IssuedTag, words: Words) -> str:
    rooms = ", ".join(tag.rooms)
    unit = ", ".join(tag.units)
    return (
        words("changes.at_unit_in", unit=unit, room=rooms) if rooms else words("changes.at_unit", unit=unit)
    )


def _placard(box: BoxChange, words: Words) -> tuple[str, str]:
    on, off = box.placard_on, box.placard_off
    if on and off:
        what = words("changes.placard_replace", was=off.revision, now=on.revision)
    elif on:
        return words("changes.placard_on", revision=on.revision), words("changes.placard_on_how")
    else:
        what = words("changes.placard_off", revision=off.revision if off else "")
    return what, words("changes.placard_how")


# --- what differs on paper alone ---------------------------------------------------------------------------


def _notes(changes: Changes, box: BoxChange, words: Words) -> Iterator[str]:
    yield from (text for unit in changes.units if box.concerns(unit) for text in _unit_notes(unit, words))
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

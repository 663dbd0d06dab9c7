"""Changes as lines of work, each with what to do, for the terminal and for the sheet that is taken along."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from tagmaker.catalog.words import Words
from tagmaker.changes.records import BoxChange, Changes, PortChange, SwitchMove, UnitChange
from tagmaker.plan.as_json import Btuh, PortOutline
from tagmaker.tags.issued import IssuedTag, IssuedUnit
from tagmaker.tags.punch import Punch, Told
from tagmaker.units import Capacity

__all__ = ["told_changes"]

BOX_END = "box"


def told_changes(changes: Changes, words: Words) -> list[Told]:
    """Every box that differs, its lines numbered over the whole job, with what is only to be known."""
    told: list[Told] = []
    number = 0
    for box in changes.boxes:
        lines: list[Punch] = []
        for place, what, to_do in _lines(box, words):
            number += 1
            lines.append(Punch(box.now or box.was, place, what, to_do, number=number))
        told.append(Told(box.now or box.was, box.place, lines, (), tuple(_notes(changes, box, words))))
    return told


def _lines(box: BoxChange, words: Words) -> Iterator[tuple[str, str, str]]:
    """Place, what, and how, in the order in which it is done: switches with the power off come first."""
    if box.kind != "changed":
        what = words(f"changes.{box.kind}", was=box.was, now=box.now)
        yield words("changes.box"), what, words(f"changes.{box.kind}_how")
    opens = _opens(box)
    if opens:
        yield words("changes.power"), words("changes.power_what"), words("changes.power_how")
    yield from _switch_lines(box, words)
    yield from _tag_lines(box, words)
    if box.placard_off or box.placard_on:
        yield words("changes.placard"), _placard(box, words), words("changes.placard_how")
    if box.bands:
        yield words("changes.bands"), words("changes.bands_what"), words("changes.bands_how")
    if box.check:
        many = "ports" if len(box.check) > 1 else "port"
        ports = words(f"changes.{many}", ports=" ".join(box.check), port=box.check[0])
        yield ports, words("changes.check"), words("changes.check_how")
    if opens:
        yield words("changes.restart"), words("changes.restart_what"), words("changes.restart_how")


def _opens(box: BoxChange) -> bool:
    """Whether the control box is opened: a switch is moved, or a tag hung at a terminal."""
    at_terminals = any(
        tag.kind in {"terminal", "cable"} and tag.end == BOX_END for tag in (*box.tags_off, *box.tags_on)
    )
    return bool(box.switches or box.boards) or at_terminals


def _switch_lines(box: BoxChange, words: Words) -> Iterator[tuple[str, str, str]]:
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
    on = [f"{move.name} {move.switch}" for move in moves if move.now == "on"]
    left = [f"{move.name} {move.switch}" for move in moves if move.now == "leave"]
    text = words("changes.settings", on=", ".join(on) or words("changes.none"))
    return f"{text}; {words('changes.left', switches=', '.join(left))}" if left else text


def _then(move: SwitchMove, words: Words) -> str:
    on = " ".join(map(str, move.then_on)) or words("changes.none")
    return words("changes.then", bank=move.name, on=on)


def _tag_lines(box: BoxChange, words: Words) -> Iterator[tuple[str, str, str]]:
    """Tags to take off, and tags to put on, a line for each port's end."""
    for verb, tags in (("off", box.tags_off), ("on", box.tags_on)):
        groups: dict[tuple[str, tuple[str, ...]], list[IssuedTag]] = {}
        for tag in tags:
            groups.setdefault((tag.port, tag.units if tag.end != BOX_END else ()), []).append(tag)
        for (port, units), group in sorted(groups.items(), key=lambda item: item[0]):
            kinds = ", ".join(words(f"tag.{tag.kind.replace('-', '_')}") for tag in group)
            place = words("changes.port", port=port) if port else words("changes.box")
            where = _unit_end(group[0], words) if units else words("changes.at_box")
            codes = ", ".join(tag.code for tag in group)
            yield place, words(f"changes.tags_{verb}", where=where, kinds=kinds), codes


def _unit_end(tag: IssuedTag, words: Words) -> str:
    rooms = ", ".join(tag.rooms)
    unit = ", ".join(tag.units)
    return (
        words("changes.at_unit_in", unit=unit, room=rooms) if rooms else words("changes.at_unit", unit=unit)
    )


def _placard(box: BoxChange, words: Words) -> str:
    if box.placard_on is None or box.placard_off is None:
        placard = box.placard_on or box.placard_off
        way = "on" if box.placard_on else "off"
        return words(f"changes.placard_{way}", revision=placard.revision if placard else "")
    was, now = box.placard_off.revision, box.placard_on.revision
    return words("changes.placard_replace", was=was, now=now)


# --- what is only to be known -------------------------------------------------------------------------------


def _notes(changes: Changes, box: BoxChange, words: Words) -> Iterator[str]:
    yield from (_unit_note(unit, words) for unit in changes.units if _concerns(unit, box))
    for fact in box.facts:
        was, now = (text or words("changes.nothing") for text in (fact.was, fact.now))
        yield words("changes.fact", what=words(f"changes.{fact.what}"), was=was, now=now)
    yield from (_port_note(port, changes.now.capacity_unit, words) for port in box.ports)


def _concerns(change: UnitChange, box: BoxChange) -> bool:
    was, now = change.was, change.now
    return bool((was and was.box == box.was) or (now and now.box == box.now))


def _unit_note(change: UnitChange, words: Words) -> str:
    was, now = change.was, change.now
    told = now or was
    unit = told.unit if told else ""
    return words(
        f"changes.unit_{change.kind}",
        unit=was.unit if was and change.kind == "renamed" else unit,
        now=unit,
        was_at=_at(was),
        now_at=_at(now),
    )


def _at(unit: IssuedUnit | None) -> str:
    return f"{unit.box} {unit.port}" if unit else ""


def _port_note(port: PortChange, unit: str, words: Words) -> str:
    was, now = (_port(each, unit, words) for each in (port.was, port.now))
    return words("changes.load", port=port.port, was=was, now=now, unit=unit)


def _port(port: PortOutline | None, unit: str, words: Words) -> str:
    if port is None:
        return words("changes.no_port")
    if port.use == "spare":
        return words("changes.spare")
    return f"{', '.join(port.units)} {_number(port.load_btuh, unit)}/{_number(port.limit_btuh, unit)}"


def _number(load: Btuh, unit: str) -> str:
    """A capacity in Btu/h, as JSON has it, in another unit."""
    return "?" if load is None else Capacity(Fraction(str(load))).number(unit)

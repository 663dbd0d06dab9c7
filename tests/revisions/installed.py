"""A building site as a set of papers leaves it, and what becomes of it by `changes --json` alone.

`site_of` looks at the plan, `applied` at nothing but the JSON: it takes off, puts on, moves and re-letters
what the JSON names, and insists on finding each thing as the JSON says it was.
"""

import copy
from dataclasses import dataclass, field
from typing import Any, cast

from tagmaker.job.model import UnitRow
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.outline import btuh
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import long_text
from tests.strategies import JobSketch, words

__all__ = ["Json", "Site", "applied", "plan_of", "site_of"]

Json = dict[str, Any]
Switch = tuple[str, str, int, int]
"""Box, board, bank, switch."""


@dataclass
class Site:
    """What hangs and how it stands; boxes in capitals. A switch that is not named is OFF.

    What the JSON puts on is known by the JSON's record, what hung before by what it says.
    """

    switches: dict[Switch, str] = field(default_factory=dict)
    ports: dict[tuple[str, str], Json] = field(default_factory=dict)
    units: dict[str, Json] = field(default_factory=dict)
    tags: dict[str, object] = field(default_factory=dict)
    placards: dict[str, object] = field(default_factory=dict)


def plan_of(sketch: JobSketch) -> Plan:
    """A sketch's plan."""
    return plan_job(sketch.record())[0]


def site_of(plan: Plan) -> Site:
    """The site as the job wants it, worked out from the plan, by no digest and no record of a set."""
    site = Site()
    for box in plan.boxes:
        key = box.row.key
        for board in box.boards:
            for bank in board.banks:
                for switch in bank.switches:
                    if switch.state != "off":
                        site.switches[key, board.place, bank.number, switch.number] = switch.state
        for port in box.ports:
            limit = btuh(port.limit)
            names = [unit.tag for unit in port.units]
            site.ports[key, port.name] = {
                "use": port.use, "units": names, "load_btuh": btuh(port.load), "limit_btuh": limit,
            }  # fmt: skip
            site.units |= {unit.key: _row(key, port.name, unit) for unit in port.units}
        site.tags |= {tag.code: _printed(box, tag) for tag in box_tags(plan.job, box, words())}
        site.placards[key] = _placard(plan, box)
    return site


def _row(box: str, port: str, unit: UnitRow) -> Json:
    lengths = {
        what: length.text if length else ""
        for what in ("liquid", "gas", "insulation", "run", "cable")
        for length in [getattr(unit, what)]
    }
    return {
        "unit": unit.tag, "box": box, "port": port, "capacity_btuh": btuh(unit.capacity), "room": unit.room,
        "address": unit.address, **lengths,
    }  # fmt: skip


def _printed(box: BoxPlan, tag: Tag) -> object:
    """All that stands on a tag but its revision, and the box that it hangs on where it hangs at one."""
    hardware = (box.row.family.name, box.row.ports) if tag.end == "box" and tag.kind != "locator" else ()
    return (
        tag.code, tag.kind, tag.use, tag.box_shown, tag.port, tag.units, tag.rooms, tag.headline, tag.remark,
        tag.is_caution, tag.end_text, tag.is_draft, hardware,
    )  # fmt: skip


def _placard(plan: Plan, box: BoxPlan) -> object:
    """All that stands on a placard but its revision and date."""
    job, row = plan.job, box.row
    facts = (job.name, job.is_draft, row.shown, row.place, row.power, row.system, row.level, row.fed_from)
    rooms = [(port.name, [(unit.tag, unit.room) for unit in port.units]) for port in box.ports]
    names = [bank.name for board in box.boards for bank in board.banks]
    family = (row.family.name, [(board.place, board.letters, board.unfitted) for board in box.boards])
    return long_text(job, box, ""), facts, rooms, names, family


def applied(site: Site, changes: Json) -> Site:
    """The site after all that the JSON says; AssertionError where anything is not as it says it was."""
    site = copy.deepcopy(site)
    boxes = changes["boxes"]
    for box in boxes:
        _take_off(site, box)
    names = {box["was"].upper(): box["now"].upper() for box in boxes if box["was"] and box["now"]}
    site.switches = {(names.get(key[0], key[0]), *key[1:]): state for key, state in site.switches.items()}
    site.ports = {(names.get(box, box), port): each for (box, port), each in site.ports.items()}
    site.units = {
        key: unit | {"box": names.get(unit["box"], unit["box"])} for key, unit in site.units.items()
    }
    for box in boxes:
        _put_on(site, box)
    _units(site, changes["units"], names)
    return site


def _take_off(site: Site, box: Json) -> None:
    """Tags and placards to be taken off hang there; a box that goes takes all that is in it along."""
    was = box["was"].upper()
    for tag in box["tags_off"]:
        assert tag["box"].upper() == was
        del site.tags[tag["code"]]
    if box["placard_off"]:
        assert box["placard_off"]["box"].upper() == was
        del site.placards[was]
    if box["kind"] in {"gone", "replaced"}:
        site.switches = {key: state for key, state in site.switches.items() if key[0] != was}


def _put_on(site: Site, box: Json) -> None:
    now = box["now"].upper() or box["was"].upper()
    for move in box["switches"]:
        key = (now, move["board"], move["bank"], move["switch"])
        assert site.switches.get(key, "off") == (move["was"] or "off")
        assert bool(move["was"]) == (not box["boards"])
        site.switches[key] = move["now"]
        if move["now"] == "off":
            del site.switches[key]
    for move in box["switches"]:
        bank = (now, move["board"], move["bank"])
        on = [key[3] for key, state in sorted(site.switches.items()) if (key[:3], state) == (bank, "on")]
        assert move["then_on"] == on
    for port in box["ports"]:
        name = (now, port["port"])
        was, after = (each and _but(each, "port") for each in (port["was"], port["now"]))
        assert site.ports.pop(name, None) == was
        if after:
            site.ports[name] = after
    for tag in box["tags_on"]:
        assert tag["code"] not in site.tags
        assert tag["box"].upper() == now
        site.tags[tag["code"]] = tag
    if box["placard_on"]:
        assert now not in site.placards
        site.placards[now] = box["placard_on"]


def _units(site: Site, units: list[Json], names: dict[str, str]) -> None:
    for unit in units:
        if unit["was"]:
            was = _in_capitals(unit["was"])
            there = site.units.pop(unit["was"]["unit"].upper())
            assert there == was | {"box": names.get(was["box"], was["box"])}
    for unit in units:
        if unit["now"]:
            assert unit["now"]["unit"].upper() not in site.units
            site.units[unit["now"]["unit"].upper()] = _in_capitals(unit["now"])


def _in_capitals(unit: Json) -> Json:
    return unit | {"box": unit["box"].upper()}


def _but(record: object, key: str) -> Json:
    return {name: value for name, value in cast("Json", record).items() if name != key}

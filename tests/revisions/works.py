"""The steps of `changes --json` done in their order on a site; each insists on what must be done before it.

Knows nothing of kinds of change: what must be opened is worked out from the two plans.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from tagmaker.plan.model import Plan
from tagmaker.tags.kits import box_tags
from tests.revisions.installed import Json
from tests.strategies import words

__all__ = ["Works", "opened_letters"]

DEAD = {"stop", "discharge", "dead"}
PIPES_DEAD = DEAD | {"isolate-outdoor"}
AFTER = {
    "isolate-outdoor": {"stop"},
    "isolate-box": {"stop"},
    "isolate-units": {"stop"},
    "dead": {"discharge"},
    "recover": PIPES_DEAD,
    "valves": PIPES_DEAD,
    "zero": PIPES_DEAD,
    "purge": PIPES_DEAD,
    "cut": PIPES_DEAD | {"air", "hot-work"},
    "braze": {"cut"},
    "ring-out": PIPES_DEAD,
    "land": PIPES_DEAD,
    "switch": DEAD,
    "address": DEAD,
    "pressure-test": {"braze"},
    "evacuate": {"pressure-test"},
    "valves-open": {"evacuate"},
    "charge": {"evacuate"},
    "leak-test": {"charge"},
    "response": {"restart"},
}
"""What must be done in the whole system before a step. The refrigerant of these jobs may burn."""
AFTER_AT_BOX = {
    "zero": {"isolate-box"},
    "purge": {"zero"},
    "identify": {"zero"},
    "cut": {"isolate-box", "zero", "purge", "identify"},
    "braze": {"cut"},
    "ring-out": {"isolate-box"},
    "land": {"isolate-box", "ring-out"},
    "ring-again": {"land"},
    "switch": {"isolate-box"},
    "address": {"isolate-units"},
    "valves-open": {"valves"},
}
"""What must be done at the box before a step."""
NEVER_AFTER = {
    **{step: {"dead"} for step in ("isolate-outdoor", "isolate-box", "isolate-units")},
    **{step: {"pressure-test", "tags-off", "tags-on", "restart"} for step in ("cut", "braze")},
    **{step: {"restart"} for step in ("land", "switch", "address", "photograph")},
    "identify": {"tags-off", "tags-on"},
}
"""What must not be done in the whole system before a step."""
PROVED_FIRST = {"insulate", "tags-off", "tags-on", "placard", "restart"}
"""What waits for the leak test where any line of the system was opened."""
Line = tuple[frozenset[str], tuple[str, ...]]
"""The letters at which a unit's pipes are connected, and its diameters and insulation."""


def _lines(plan: Plan) -> dict[str, tuple[str, Line]]:
    """Each unit's box and line, by its tag."""
    return {
        unit.tag: (
            box.row.key,
            (
                frozenset(port.letters),
                tuple(each.text if each else "" for each in (unit.liquid, unit.gas, unit.insulation)),
            ),
        )
        for box in plan.boxes
        for port in box.ports
        for unit in port.units
    }


def opened_letters(old: Plan, new: Plan, changes: Json) -> dict[str, set[str]]:
    """Boxes, by their present tag or the last one, with the letters whose pipes cannot stay as they are."""
    boxes = {box["was"].upper(): (box["now"] or box["was"]).upper() for box in changes["boxes"] if box["was"]}
    other = {box["was"].upper() for box in changes["boxes"] if box["kind"] in {"gone", "replaced"}}
    names = {
        unit["was"]["unit"]: (unit["now"] or {}).get("unit", "") for unit in changes["units"] if unit["was"]
    }
    before, after = _lines(old), _lines(new)
    opened: dict[str, set[str]] = defaultdict(set)
    seen = set()
    for name, (box, line) in before.items():
        now = after.get(names.get(name, name))
        seen.add(names.get(name, name))
        here = boxes.get(box, box)
        if now is None or now[0] != here or box in other or _is_other(line, now[1]):
            opened[here] |= line[0]
            if now:
                opened[now[0]] |= now[1][0]
    for name, (box, line) in after.items():
        if name not in seen:
            opened[box] |= line[0]
    return opened


def _is_other(was: Line, now: Line) -> bool:
    pairs = zip(was[1], now[1], strict=True)
    return was[0] != now[0] or any(first != second for first, second in pairs if first and second)


@dataclass
class Works:
    """A site at work: what is done so far, by system (first key) and box."""

    tags: set[str]
    done: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    at_box: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    ports: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    switched: list[Json] = field(default_factory=list)

    @classmethod
    def on(cls, plan: Plan) -> "Works":
        """A site as a plan's papers leave it."""
        return cls({tag.code for box in plan.boxes for tag in box_tags(plan.job, box, words())})

    def do(self, steps: list[Json]) -> None:
        """All steps, each after what it needs."""
        for number, step in enumerate(steps, start=1):
            assert step["number"] == number
            for check in self._needs(step):
                assert check, step
            self._do(step)

    def _do(self, step: Json) -> None:
        key, system, box = step["step"], step["system"], step["box"].upper()
        self.done[system].add(key)
        self.at_box[system, box].add(key)
        self.ports[box, key] |= set(step["ports"])
        if key == "tags-off":
            self.tags -= set(step["codes"])
        if key == "tags-on":
            assert not self.tags & set(step["codes"])
            self.tags |= set(step["codes"])
        if key == "switch":
            self.switched.append(step)

    def _needs(self, step: Json) -> Iterator[bool]:
        key, box, codes = step["step"], step["box"].upper(), set(step["codes"])
        done, here = self.done[step["system"]], self.at_box[step["system"], box]
        yield AFTER.get(key, set()) <= done
        yield AFTER_AT_BOX.get(key, set()) <= here
        yield not NEVER_AFTER.get(key, set()) & done
        if key == "zero":
            yield "recover" in done or "valves" in here
        if key in {"cut", "braze"}:
            yield all(set(step["ports"]) <= self.ports[box, each] for each in ("zero", "purge", "identify"))
        if key in {"identify", "tags-off"}:
            yield codes <= self.tags
        if key in PROVED_FIRST and {"cut", "braze"} & done:
            yield "leak-test" in done

    def is_finished(self, changes: Json) -> bool:
        """Whether every system that was stopped runs again, and every line that was opened is proved."""
        for system, done in self.done.items():
            assert ("stop" in done) == ("restart" in done), system
            if {"cut", "braze"} & done:
                assert {"evacuate", "charge", "leak-test"} <= done
        for (system, box), here in self.at_box.items():
            if "cut" in here:
                assert "insulate" in here
            assert ("valves" in here) == ("valves-open" in here)
            if "land" in here:
                assert "ring-again" in here
            if "switch" in here:
                assert {"photograph", "check"} <= here
            is_gone = any(each["was"].upper() == box and not each["now"] for each in changes["boxes"])
            if {"cut", "land", "switch", "address"} & here and not is_gone:
                assert "response" in here, (system, box)
        return True

    def is_once(self, steps: list[Json]) -> bool:
        """Whether what is done once a system is there once, and no line is there twice."""
        once = [(step["system"], step["step"]) for step in steps if not step["box"]]
        keys = ("system", "box", "step", "place", "what", "how")
        lines = [tuple(step[key] for key in keys) for step in steps]
        return (len(set(once)), len(set(lines))) == (len(once), len(lines))

"""A line of work as words, and what its writers need: the box, its units, the words."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from tagmaker.catalog.words import Words
from tagmaker.revisions.issued import IssuedUnit
from tagmaker.revisions.model import BoxChange, Changes, FactChange, UnitChange
from tagmaker.units import BTUH_EACH, number_text

__all__ = ["At", "Line", "at", "facts_text", "load_text"]


class Line(Struct, frozen=True):
    """Where, what (empty: the step's own text is all), and how; the letters and codes that it names."""

    place: str
    what: str = ""
    how: str = ""
    ports: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()


class At(Struct, frozen=True):
    """A box that is worked on; its units that differ, before and now; `names` are new names of units."""

    changes: Changes
    box: BoxChange
    had: Sequence[UnitChange]
    has: Sequence[UnitChange]
    names: Mapping[str, str]
    words: Words

    def ports(self, letters: Sequence[str]) -> str:
        """Letters as a place; the box where there are none."""
        if not letters:
            return self.words("changes.box")
        many = "ports" if len(letters) > 1 else "port"
        return self.words(f"changes.{many}", ports=" ".join(letters), port=letters[0])

    def touched(self) -> set[str]:
        """Letters at which a pipe, a cable or an address is worked on."""
        addressed = (each.now.port for each in self.has if each.now and each.has_other("address"))
        return {*self.box.pipes, *self.box.cables, *(letter for p in addressed for letter in p.split("+"))}

    def checked(self) -> tuple[str, ...]:
        """Letters at which pipes, cables or units are looked at again, in the family's order."""
        touched = self.touched()
        return tuple(letter for letter in self.box.check if letter in touched)


def facts_text(facts: Iterable[FactChange], unit: str, words: Words) -> str:
    """Facts of a unit's row, each as it was and as it is; capacities in `unit`."""
    return ", ".join(
        words(
            "changes.unit_fact",
            what=words(f"changes.{fact.what}"),
            was=_fact(fact, fact.was, unit) or words("changes.nothing"),
            now=_fact(fact, fact.now, unit) or words("changes.nothing"),
        )
        for fact in facts
    )


def _fact(fact: FactChange, value: str, unit: str) -> str:
    if fact.what != "capacity_btuh" or not value:
        return value
    return f"{load_text(value, unit)} {unit}"


@lru_cache(maxsize=4096)  # a job has few capacities, and each is named for every unit of it
def load_text(load: object, unit: str) -> str:
    """A capacity in Btu/h, as it is in JSON, in another unit; a question mark where there is none."""
    return "?" if load is None else number_text(Fraction(str(load)) / BTUH_EACH[unit])


def at(unit: IssuedUnit | None) -> str:
    """A unit's box and port."""
    return f"{unit.box} {unit.port}" if unit else ""

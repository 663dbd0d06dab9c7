"""A box family: how boards, banks and switches of one kind of branch box work, as data to be confirmed.

Takes a family's name and the job's folder; gives the family, or every problem with its file. Nothing in the
code knows what a certain switch does: rules say which positions of a board in which condition turn it ON.
"""

import re
from fractions import Fraction
from pathlib import Path
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.folders import find
from tagmaker.files.toml import Table
from tagmaker.problems import Problem, Where
from tagmaker.units import Capacity, Length

__all__ = [
    "BANKS_AT_MOST",
    "CONDITIONS",
    "SWITCHES_AT_MOST",
    "UNITS_AT_MOST",
    "Bank",
    "Condition",
    "Family",
    "NumberedFrom",
    "OnPoints",
    "Rule",
    "SetBy",
    "load_family",
    "read_addresses",
    "read_family",
]

Condition = Literal["unused", "joined", "unfitted"]
"""What a rule asks of positions: no unit on them, two joined as one port, no port fitted there at all."""
CONDITIONS: tuple[Condition, ...] = get_args(Condition)
OnPoints = Literal["up", "down"]
NumberedFrom = Literal["left", "right"]
SetBy = Literal["site", "factory"]
PORT_NAMES_AT_MOST = 26
BANKS_AT_MOST = 10
SWITCHES_AT_MOST = 10
"""Of a bank: more do not fit a 4 x 6 in placard with ON and OFF in capitals of 3 mm."""
UNITS_AT_MOST = 64
"""Units of a port: more rows on one port are a mistake of the schedule."""
RESERVED_PLACES = ("port", "item", "sign", "date")
"""Words that come second in names of form fields, where a board's place would be taken for them."""
LETTERS = re.compile("[A-Z]+")


class Bank(Struct, frozen=True):
    """A bank of switches.

    `name` is its marking, `switches` their count; ON points up or down, and they are numbered from an end.
    """

    name: str
    switches: int
    on_points: OnPoints = "up"
    numbered_from: NumberedFrom = "left"


class Rule(Struct, frozen=True):
    """When these positions of a board are in a state, this switch of this bank is ON (all from 1)."""

    when: Condition
    positions: tuple[int, ...]
    bank: int
    switch: int
    set_by: SetBy = "site"


class Family(Struct, frozen=True):
    """A box family; `places[n - 1]` names n boards from left to right, facing the open control box.

    `addresses` are the least and the greatest number of a unit's address, `longest_run` is that of the pipes
    to a unit; each None where the family does not give it.
    """

    name: str
    title: str
    source: str
    port_names: str
    ports_per_board: int
    port_counts: tuple[int, ...]
    places: tuple[tuple[str, ...], ...]
    port_limit: Capacity
    joined_limit: Capacity
    box_limit: Capacity | None
    units_per_port: int
    banks: tuple[Bank, ...]
    rules: tuple[Rule, ...]
    where: Where
    port_valves: bool = False  # each port has shut-off valves of its own, liquid and gas
    addresses: tuple[int, int] | None = None
    longest_run: Length | None = None

    def board_count(self, ports: int) -> int:
        """How many boards serve so many ports."""
        return -(-ports // self.ports_per_board)

    def joinable(self) -> tuple[tuple[int, ...], ...]:
        """The positions of a board that may work as one, by the family's rules."""
        return tuple(rule.positions for rule in self.rules if rule.when == "joined")

    def rules_of(self, bank: int, switch: int) -> tuple[Rule, ...]:
        """The rules that set a switch; none means that it is left as found."""
        return tuple(rule for rule in self.rules if (rule.bank, rule.switch) == (bank, switch))


def load_family(
    name: str, job_folder: Path | None, where: Where
) -> tuple[Family | None, tuple[Problem, ...]]:
    """The family of that name; None, with the problems, where it does not exist or contradicts itself."""
    file = find("families", name, job_folder, where)
    if isinstance(file, Problem):
        return None, (file,)
    problems: list[Problem] = []
    family = read_family(name, Table.whole(file, problems))
    if not problems:
        _check(family, Table.whole(file, problems))  # of well-formed keys only: a default would contradict
    return (None if problems else family), tuple(problems)


def read_family(name: str, table: Table) -> Family:
    """A family file as its record; what is wrong with it is noted in the table."""
    port_limit = table.capacity("port_limit", required=True) or Capacity(Fraction(1))
    family = Family(
        name=name,
        title=table.text("title", name),
        source=table.text("source", required=True),
        port_names=table.text("port_names", required=True, at_most=PORT_NAMES_AT_MOST),
        ports_per_board=table.whole_number(
            "ports_per_board", 1, least=1, at_most=PORT_NAMES_AT_MOST, required=True
        ),
        port_counts=table.whole_numbers("port_counts"),
        places=_places(table),
        port_limit=port_limit,
        joined_limit=table.capacity("joined_limit") or port_limit + port_limit,
        box_limit=table.capacity("box_limit"),
        units_per_port=table.whole_number("units_per_port", 5, least=1, at_most=UNITS_AT_MOST),
        banks=tuple(_bank(each) for each in table.tables("bank", BANKS_AT_MOST)),
        rules=tuple(_rule(each) for each in table.tables("rule")),
        where=Where(table.file.shown),
        port_valves=table.flag("port_valves"),
        addresses=read_addresses(table),
        longest_run=table.length("longest_run"),
    )
    table.close()
    return family


def read_addresses(table: Table) -> tuple[int, int] | None:
    """The least and the greatest number of an address, where the table gives them."""
    whole = {"type": "integer", "minimum": 0}
    value = table.take("addresses", {"type": "array", "items": whole, "minItems": 2, "maxItems": 2})
    if value is None:
        return None
    match value:
        case [int(least), int(most)] if 0 <= least <= most and bool not in {type(least), type(most)}:
            return least, most
    table.wrong("value-wrong", "addresses", "'addresses' must be two whole numbers, least and most: [1, 64]")
    return None


def _places(table: Table) -> tuple[tuple[str, ...], ...]:
    """The names of boards for one board, two boards and so on."""
    words = {"type": "array", "items": {"type": "string", "pattern": "^[A-Za-z]+$"}}
    value = table.take("places", {"type": "array", "items": words, "minItems": 1}, required=True)
    rows = value if isinstance(value, list) else []
    good = [tuple(row) for row in rows if isinstance(row, list) and all(_is_place(word) for word in row)]
    if value is not None and (len(good) != len(rows) or not rows):
        table.wrong(
            "value-wrong", "places", '\'places\' must be lists of words, like [["only"], ["left", "right"]]'
        )
    return tuple(good)


def _is_place(word: object) -> bool:
    """Whether a value is one word of plain letters, as placards, codes and field names can hold it."""
    return isinstance(word, str) and word.isascii() and word.isalpha()


def _bank(table: Table) -> Bank:
    """A bank from its table."""
    bank = Bank(
        name=table.text("name", required=True, at_most=24),
        switches=table.whole_number("switches", 1, least=1, at_most=SWITCHES_AT_MOST, required=True),
        on_points=table.choice("on_points", get_args(OnPoints), "up"),
        numbered_from=table.choice("numbered_from", get_args(NumberedFrom), "left"),
    )
    table.close()
    return bank


def _rule(table: Table) -> Rule:
    """A rule from its table."""
    table.take("when", required=True)
    rule = Rule(
        when=table.choice("when", CONDITIONS, "unused"),
        positions=table.whole_numbers("positions"),
        bank=table.whole_number("bank", 1, least=1, required=True),
        switch=table.whole_number("switch", 1, least=1, required=True),
        set_by=table.choice("set_by", get_args(SetBy), "site"),
    )
    table.close()
    return rule


def _check(family: Family, table: Table) -> None:
    """Contradictions within a family whose keys are all well formed."""
    if not family.banks:
        table.wrong("family-wrong", "bank", "the family has no [[bank]]")
    if len({bank.name.upper() for bank in family.banks}) != len(family.banks):
        table.wrong("family-wrong", "bank", "two banks have the same name")
    if family.joined_limit < family.port_limit:
        table.wrong("family-wrong", "joined_limit", "a joined pair's limit is below a single port's")
    _check_letters(family, table)
    _check_places(family, table)
    for each, rule in zip(table.tables("rule"), family.rules, strict=True):
        _check_rule(family, rule, each)
    _check_switches(family, table)


def _check_letters(family: Family, table: Table) -> None:
    """Port names are different capital letters, enough for the largest box."""
    letters = family.port_names
    if not LETTERS.fullmatch(letters) or len(set(letters)) != len(letters):
        table.wrong("family-wrong", "port_names", "'port_names' must be different capital letters A to Z")
    for count in family.port_counts:
        if count > len(letters):
            message = f"{count} ports need more than {len(letters)} port names"
            table.wrong("family-wrong", "port_counts", message)


def _check_places(family: Family, table: Table) -> None:
    """Row n names n different boards, and there are rows for the largest box."""
    for number, row in enumerate(family.places, start=1):
        if len(row) != number or len({place.upper() for place in row}) != number:
            message = f"row {number} of 'places' must name {number} different boards"
            table.wrong("family-wrong", "places", message)
    for place in sorted(
        {place for row in family.places for place in row if place.lower() in RESERVED_PLACES}
    ):
        message = f"no board can be called {place!r}: fields of the walk sheet have this name"
        table.wrong("family-wrong", "places", message)
    most = family.board_count(max(family.port_counts))
    if most > len(family.places):
        message = f"{max(family.port_counts)} ports need {most} boards; 'places' has no row for so many"
        table.wrong("family-wrong", "places", message)


def _check_rule(family: Family, rule: Rule, table: Table) -> None:
    """A rule's switch and positions exist; a pair is two positions."""
    if rule.bank > len(family.banks):
        table.wrong("family-wrong", "bank", f"the family has no bank {rule.bank}")
    elif rule.switch > family.banks[rule.bank - 1].switches:
        table.wrong("family-wrong", "switch", f"bank {rule.bank} has no switch {rule.switch}")
    if max(rule.positions) > family.ports_per_board or len(set(rule.positions)) != len(rule.positions):
        table.wrong(
            "family-wrong", "positions", f"positions must be different, 1 to {family.ports_per_board}"
        )
    if rule.when == "joined" and len(rule.positions) != 2:  # a pair is two
        table.wrong("family-wrong", "positions", "a rule for joined ports needs two positions")


def _check_switches(family: Family, table: Table) -> None:
    """With two rules on one switch, a switch found ON could not be traced to a cause."""
    seen: set[tuple[int, int]] = set()
    for each, rule in zip(table.tables("rule"), family.rules, strict=True):
        if (rule.bank, rule.switch) in seen:
            each.wrong("family-wrong", "switch", f"two rules set bank {rule.bank} switch {rule.switch}")
        seen.add((rule.bank, rule.switch))

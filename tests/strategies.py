"""Jobs for tests: short builders for one case, and hypothesis strategies for random legal jobs.

A `JobSketch` is a job in a person's words. `write` puts it into a folder as TOML (its rows inline or in a
CSV schedule), `record` builds the same job without a disk. A job from `sketches` is legal: it has no errors,
though it may have warnings and notes.
"""

import csv
import datetime as dt
import io
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from hypothesis import strategies as st

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, load_stock
from tagmaker.catalog.walk_items import walk_items
from tagmaker.catalog.words import Words, load_words
from tagmaker.job.model import BoxRow, Job, UnitRow
from tagmaker.job.prints import Prints, default_prints
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem, Where
from tagmaker.units import CAPACITY_UNITS, Capacity, CapacityUnit, Unreadable, read_capacity
from tests.records import replace

SIZES = (4, 6, 8, 10, 12)
"""Common sizes of branch boxes (common practice)."""
FAMILY = "four-port-boards"
LABEL_STOCKS = ("letter-30-67x25", "letter-10-102x51", "a4-21-63x38", "roll-51x25-203dpi")
PAGE_STOCKS = ("letter", "a4", "4x6")
FILE = "job.toml"
ROW_KEYS = ("unit", "box", "port", "capacity", "room")
TAG_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-"
ROOM_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 äéñß&'(.)"

Row = tuple[str, str, str]
"""A unit's tag, its port as written, its capacity as written ("" = not given)."""


# --- sketches: a job in a person's words --------------------------------------------------------------------


@dataclass(frozen=True)
class UnitSketch:
    """One row: a unit, its port as written, its capacity with its unit ("" = not given), its room."""

    tag: str
    port: str
    capacity: str = "12 kBtu/h"
    room: str = ""


@dataclass(frozen=True)
class BoxSketch:
    """One box with its rows; `shown` prints instead of the tag where it is given."""

    tag: str
    ports: int
    units: tuple[UnitSketch, ...]
    place: str = ""
    power: str = ""
    shown: str = ""


@dataclass(frozen=True)
class JobSketch:
    """A job; `stocks` are pairs of a [print] key and a stock's name."""

    boxes: tuple[BoxSketch, ...]
    name: str = "Marsh Lane Library"
    family: str = FAMILY
    number: str = ""
    revision: str = "0"
    date: dt.date | None = None
    is_draft: bool = False
    capacity_unit: CapacityUnit = "kBtu/h"
    stocks: tuple[tuple[str, str], ...] = ()

    def toml(self, schedule: str = "") -> str:
        """The text of job.toml: rows inline, or left to a schedule of that name."""
        blocks = [_table("[job]", self._head(schedule))]
        if self.stocks:
            blocks.append(_table("[print]", {key: _text(name) for key, name in self.stocks}))
        blocks += [_table("[[box]]", _box_keys(box)) for box in self.boxes]
        if not schedule:
            blocks += [
                _table("[[unit]]", {key: _text(value) for key, value in row.items() if value})
                for row in self.rows()
            ]
        return "\n".join(blocks)

    def csv(self) -> str:
        """The rows as a schedule."""
        out = io.StringIO(newline="")
        writer = csv.DictWriter(out, ROW_KEYS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(self.rows())
        return out.getvalue()

    def rows(self) -> list[dict[str, str]]:
        """Every unit of every box, by the keys of a row."""
        return [
            dict(zip(ROW_KEYS, (unit.tag, box.tag, unit.port, unit.capacity, unit.room), strict=True))
            for box in self.boxes
            for unit in box.units
        ]

    def write(self, folder: Path, *, schedule: str = "") -> Path:
        """The job on disk; returns its folder."""
        folder.mkdir(parents=True, exist_ok=True)
        (folder / FILE).write_text(self.toml(schedule), encoding="utf-8")
        if schedule:
            (folder / schedule).write_text(self.csv(), encoding="utf-8")
        return folder

    def record(self, family: Family | None = None) -> Job:
        """The job as `read_job` would give it, its rows' places aside."""
        rules = family or shipped_family(self.family)
        named = {use: stock_named(name) for use, name in self.stocks}
        units = [unit_row(box.tag, unit) for box in self.boxes for unit in box.units]
        return Job(
            name=self.name,
            number=self.number,
            revision=self.revision,
            refrigerant="",
            site="",
            prepared_by="",
            date=self.date,
            is_draft=self.is_draft,
            capacity_unit=self.capacity_unit,
            prints=Prints(default_prints().stocks | named, None),
            boxes=tuple(box_row(box, rules) for box in self.boxes),
            units=tuple(replace(unit, where=Where(FILE, line)) for line, unit in enumerate(units, start=100)),
            part_read=frozenset(),
            folder=Path(),
            where=Where(FILE, 1),
            walk_items=walk_items(),
        )

    def _head(self, schedule: str) -> dict[str, str]:
        texts = {
            "name": self.name,
            "family": self.family,
            "number": self.number,
            "revision": self.revision,
            "status": "draft" if self.is_draft else "issued",
            "capacity_unit": self.capacity_unit,
            "schedule": schedule,
        }
        head = {key: _text(value) for key, value in texts.items() if value}
        return head | ({"date": self.date.isoformat()} if self.date else {})


def box_row(box: BoxSketch, family: Family) -> BoxRow:
    """A box's record."""
    return BoxRow(
        tag=box.tag,
        ports=box.ports,
        family=family,
        shown=box.shown or box.tag,
        place=box.place,
        power=box.power,
        system="",
        level="",
        fed_from="",
        bank_names=tuple(bank.name for bank in family.banks),
        where=Where(FILE, 10),
    )


def unit_row(box: str, unit: UnitSketch) -> UnitRow:
    """A unit's record, its lengths not given."""
    given = capacity(unit.capacity) if unit.capacity else None
    return UnitRow(unit.tag, box, unit.port, given, Where(FILE, 100), room=unit.room)


def _box_keys(box: BoxSketch) -> dict[str, str]:
    texts = {"tag": box.tag, "place": box.place, "power": box.power, "shown": box.shown}
    return {key: _text(value) for key, value in texts.items() if value} | {"ports": str(box.ports)}


def _table(head: str, keys: dict[str, str]) -> str:
    return "\n".join([head, *(f"{key} = {value}" for key, value in keys.items()), ""])


def _text(value: str) -> str:
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


# --- what the program ships, read once ----------------------------------------------------------------------


@cache
def shipped_family(name: str = FAMILY) -> Family:
    """A family of `layouts/families/`."""
    family, problems = load_family(name, None, Where(FILE))
    if family is None:
        raise ValueError(problems)
    return family


@cache
def stock_named(name: str) -> Stock:
    """A stock of `layouts/stocks/`."""
    stock, problems = load_stock(name, "placard" if name in PAGE_STOCKS else "pipe", None, Where(FILE))
    if stock is None:
        raise ValueError(problems)
    return stock


@cache
def label_stocks() -> tuple[Stock, ...]:
    """Every stock of `layouts/stocks/` that tags are printed on."""
    stocks = (load_stock(name, "", None, Where(FILE))[0] for name in names("stocks", None))
    return tuple(stock for stock in stocks if stock and stock.kind != "page")


@cache
def words() -> Words:
    """The printed words."""
    return load_words()


def capacity(text: str) -> Capacity:
    """A capacity that must be readable."""
    read = read_capacity(text)
    if isinstance(read, Unreadable):
        raise TypeError(read.message)
    return read


# --- builders for one case ----------------------------------------------------------------------------------


def one_box(*rows: Row, ports: int = 4, tag: str = "BB-1") -> JobSketch:
    """A job of one box whose rows are (unit, port, capacity)."""
    return JobSketch((BoxSketch(tag, ports, tuple(UnitSketch(*row) for row in rows)),))


def planned(job: Job) -> tuple[Plan, tuple[Problem, ...]]:
    """A job's plan and all that the checks found."""
    return plan_job(job)


def first_box(job: Job) -> BoxPlan:
    """The plan of a job's first box."""
    return plan_job(job)[0].boxes[0]


# --- strategies ---------------------------------------------------------------------------------------------


def tags(most: int = 24) -> st.SearchStrategy[str]:
    """Any legal tag of at most so many characters."""
    return st.builds(str.__add__, st.sampled_from(TAG_SIGNS[:-1]), st.text(TAG_SIGNS, max_size=most - 1))


def rooms(most: int = 14) -> st.SearchStrategy[str]:
    """A room's name of at most so many characters, or none."""
    return st.text(ROOM_SIGNS, max_size=most).map(lambda text: " ".join(text.split()))


def capacities(most_btuh: int) -> st.SearchStrategy[str]:
    """A capacity of at most so many Btu/h, written in any of the units that are read."""
    step = st.integers(1, most_btuh // 500).map(lambda steps: steps * 500)
    return st.one_of(
        step.map(lambda btuh: f"{btuh} Btu/h"),
        step.map(lambda btuh: f"{btuh / 1000:g} kBtu/h"),
        step.map(lambda btuh: f"{btuh / 1000:g} MBH"),
        st.integers(1, max(1, most_btuh // 3000)).map(lambda steps: f"{steps / 4:g} ton"),
        st.integers(1, most_btuh // 3413 * 10 + 1).map(lambda steps: f"{steps / 10:g} kW"),
    ).filter(lambda text: capacity(text).btuh <= most_btuh)


def port_uses(ports: int) -> st.SearchStrategy[tuple[tuple[str, str], ...]]:
    """The use of every port of a four-port-boards box, as (port name, use): any legal state but all spare."""
    letters = shipped_family().port_names[:ports]
    pair_uses = st.sampled_from(("joined", "spare spare", "spare single", "single spare", "single single"))
    return (
        st.lists(pair_uses, min_size=ports // 2, max_size=ports // 2)
        .map(lambda uses: _named_uses(letters, uses))
        .filter(lambda named: any(use != "spare" for _, use in named))
    )


def _named_uses(letters: str, uses: list[str]) -> tuple[tuple[str, str], ...]:
    named: list[tuple[str, str]] = []
    for index, use in enumerate(uses):
        first, second = letters[2 * index], letters[2 * index + 1]
        each = [f"{first}+{second}"] if use == "joined" else [first, second]
        named += zip(each, use.split(), strict=True)
    return tuple(named)


@st.composite
def port_units(draw: st.DrawFn, port: str, *, most_units: int = 5, room: int = 14) -> list[UnitSketch]:
    """The units of a used port or pair, within its limit; their tags are to be given."""
    limit = shipped_family().joined_limit if "+" in port else shipped_family().port_limit
    count = draw(st.integers(1, most_units))
    return [
        UnitSketch("", port, draw(capacities(int(limit.btuh) // count)), draw(rooms(room)))
        for _ in range(count)
    ]


@st.composite
def boxes(
    draw: st.DrawFn, sizes: tuple[int, ...] = SIZES, *, most_units: int = 5, room: int = 14
) -> BoxSketch:
    """A legal box of one of these sizes, its units numbered, its rows in any order."""
    ports = draw(st.sampled_from(sizes))
    units = [
        unit
        for port, use in draw(port_uses(ports))
        if use != "spare"
        for unit in draw(port_units(port, most_units=most_units, room=room))
    ]
    numbered = [replace(unit, tag=f"FC-{number}") for number, unit in enumerate(units, start=1)]
    return BoxSketch("BB-1", ports, tuple(draw(st.permutations(numbered))))


@st.composite
def sketches(
    draw: st.DrawFn,
    sizes: tuple[int, ...] = SIZES,
    *,
    most_boxes: int = 2,
    most_units: int = 5,
    room: int = 14,
) -> JobSketch:
    """A legal job whose tags are short enough for every label stock."""
    found = draw(st.lists(boxes(sizes, most_units=most_units, room=room), min_size=1, max_size=most_boxes))
    return JobSketch(
        boxes=tuple(_renamed(box, number) for number, box in enumerate(found, start=1)),
        number=draw(st.sampled_from(("", "ML-24"))),
        revision=draw(st.sampled_from(("0", "2", "P02"))),
        date=draw(st.one_of(st.none(), st.dates(dt.date(2020, 1, 1), dt.date(2040, 12, 31)))),
        is_draft=draw(st.booleans()),
        capacity_unit=draw(st.sampled_from(CAPACITY_UNITS)),
    )


def jobs(sizes: tuple[int, ...] = SIZES, *, most_boxes: int = 2) -> st.SearchStrategy[Job]:
    """A legal job as records."""
    return sketches(sizes, most_boxes=most_boxes).map(lambda sketch: sketch.record())


def _renamed(box: BoxSketch, number: int) -> BoxSketch:
    units = tuple(replace(unit, tag=f"{unit.tag}-{number}") for unit in box.units)
    return replace(box, tag=f"BB-{number}", units=units)

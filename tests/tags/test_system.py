"""Names, codes and hidden texts of a system's sheets: what is written reads back, anything else is none."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tagmaker.job.model import SystemRow
from tagmaker.problems import Where
from tagmaker.tags.sheet_names import first_page_code, is_hidden, is_tick, sheet_kind, sheet_of_field
from tagmaker.tags.system import (
    SystemPage,
    plan_digest,
    printed_for,
    read_system_code,
    read_system_field,
    read_system_printed,
    system_field,
    system_page_code,
)
from tests.records import replace
from tests.site.systems import clinic

TAGS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12).map(str.upper)
PAGE = SystemPage("HR-1", 1, 3, "ML-24", "P02", "3F2A91C2")


def row(tag: str) -> SystemRow:
    """A system of which nothing else is given."""
    return SystemRow(tag, Where("job.toml"))


@given(TAGS, TAGS)
def test_a_field_reads_back(tag: str, box: str) -> None:
    """Whatever the system and the box are called; it is no field of a box's walk."""
    name = system_field(row(tag), "shut", box, "opened")
    read = read_system_field(name)
    assert read is not None
    assert (read.system, read.kind, read.parts) == (row(tag).key, "tick", ("shut", box, "opened"))
    assert sheet_kind(name) == "system"
    assert is_tick(name)
    assert not is_hidden(name)
    assert sheet_of_field(name) == name.removesuffix("/".join(["", *name.split("/")[2:]]))


def test_a_box_called_system_is_a_box() -> None:
    """Its fields are in capitals."""
    assert sheet_kind("SYSTEM/item/cover") == "walk"
    assert sheet_kind("system/HR-1/item/cover") is None


@given(TAGS, st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8))
def test_a_code_reads_back(tag: str, number: str) -> None:
    """Each page of a sheet has the same first page."""
    page = replace(PAGE, system=tag, job=number, page=2)
    assert read_system_code(system_page_code(page)) == page
    assert first_page_code(page) == system_page_code(replace(page, page=1))


def test_other_texts_are_no_code() -> None:
    """A page beyond the last, a changed word, a digest that is too short."""
    code = system_page_code(PAGE)
    for text in (code.replace("1/3", "4/3"), code.replace("SYSTEM", "WALK"), code[:-1], f"{code} "):
        assert read_system_code(text) is None


def test_the_hidden_text_reads_back() -> None:
    """With the printed units; one that was cut is none."""
    job, system = clinic().job, clinic().systems[0]
    units = {"pressure": "psi", "temperature": "°F", "vacuum": "micron", "mass": "lb", "run": "ft"}
    text = printed_for(job, system, "3F2A91C2")
    read = read_system_printed(text)
    assert read is not None
    assert (read.system, read.job.number, read.digest, read.units) == ("HR-1", "ARC-7", "3F2A91C2", units)
    assert read.plan == plan_digest(job, system)
    assert read_system_printed(text.replace("\n", "\r\n")) == read
    earlier = text.rpartition("\n")[0]  # of a version that did not keep what was planned
    assert read_system_printed(earlier) == replace(read, plan="")
    assert read_system_printed(earlier.rpartition("\n")[0]) is None
    assert read_system_printed(text.replace("; run=ft", "")) is None


def test_what_ticks_are_about_changes_the_digest_of_the_plan() -> None:
    """Figures, units and their places do; the source of the figures, rooms, the amount weighed in do not."""
    job, system = clinic().job, clinic().systems[0]
    row, (first, *others) = system.row, system.units
    same = (
        replace(system, row=replace(row, source="another page", weighed_in=row.charge.factory)),
        replace(system, units=(replace(first, room="Hall"), *others)),
    )
    other = (
        replace(system, row=replace(row, heater_hours=Fraction(24))),
        replace(system, row=replace(row, refrigerant="R-454B")),
        replace(system, row=replace(row, outdoor=f"{row.outdoor} 2")),
        replace(system, units=(replace(first, port="C"), *others)),
        replace(system, units=(replace(first, address="9-99"), *others)),
        replace(system, units=tuple(others)),
    )
    first_box, *rest = system.boxes
    family = replace(first_box.family, name="another")
    replaced = tuple(
        replace(system, boxes=(box, *rest))
        for box in (replace(first_box, family=family), replace(first_box, ports=first_box.ports + 2))
    )
    assert {plan_digest(job, each) for each in same} == {plan_digest(job, system)}
    assert len({plan_digest(job, each) for each in (system, *other, *replaced)}) == len(other) + 3

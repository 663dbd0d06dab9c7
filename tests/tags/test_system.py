"""Names, codes and hidden texts of a system's sheets: what is written reads back, anything else is none."""

from hypothesis import given
from hypothesis import strategies as st

from tagmaker.job.model import SystemRow
from tagmaker.problems import Where
from tagmaker.tags.sheet_names import first_page_code, is_hidden, is_tick, sheet_kind, sheet_of_field
from tagmaker.tags.system import (
    SystemPage,
    printed_for,
    read_system_code,
    read_system_field,
    read_system_printed,
    system_field,
    system_page_code,
)
from tests.records import replace
from tests.site.papers import plan_of
from tests.strategies import BoxSketch, JobSketch

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
    job = plan_of(JobSketch((BoxSketch("BB-1", 4, ()),), number="ML-24", revision="2")).job
    units = {"pressure": "psi", "temperature": "°F", "vacuum": "micron", "mass": "lb", "run": ""}
    text = printed_for(job, row("HR-1"), "3F2A91C2", units)  # type: ignore[arg-type]
    read = read_system_printed(text)
    assert read is not None
    assert (read.system, read.job.number, read.digest, read.units) == ("HR-1", "ML-24", "3F2A91C2", units)
    assert read_system_printed(text.replace("\n", "\r\n")) == read
    assert read_system_printed(text.rpartition("\n")[0]) is None
    assert read_system_printed(text.replace("; run=", "")) is None

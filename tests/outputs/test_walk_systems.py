"""The systems' sheets of walk.html: what the printed sheets say and ask, in their order."""

import json
import re

import pytest

from tagmaker.catalog.shipped import shipped_text
from tagmaker.draw.marks import Bars, Field, Text, flat
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.systems import SystemPlan
from tagmaker.sheets.system import system_pages, system_screen
from tagmaker.tags.system import read_system_code, read_system_printed
from tagmaker.tags.system_screen import ScreenPart, sections_of
from tests.outputs.test_walk_html import data_of
from tests.records import replace
from tests.site.systems import clinic
from tests.strategies import words

SCRIPT = shipped_text("walk-systems.js")
BUILT = (
    "system_part_charge",
    "system_part_shut",
    "system_part_test",
    "system_part_vacuum",
    "system_part_gate",
)


def fields_on_paper(system: SystemPlan) -> list[str]:
    """The fields of a system's printed sheets, hidden ones aside, as they follow each other."""
    pages, _ = system_pages(clinic().job, [system], words())
    marks = [mark for page in pages for mark in flat(page.marks)]
    return [mark.name for mark in marks if isinstance(mark, Field) and mark.kind != "kept"]


def asked(parts: tuple[ScreenPart, ...]) -> list[str]:
    """The fields that parts ask."""
    return [field.name for part in parts for field in part.asked]


@pytest.mark.parametrize("number", [0, 1])
def test_every_field_of_the_paper_is_asked_in_its_order(number: int) -> None:
    """And no other; also of a system without figures of a charge and a test."""
    system = clinic().systems[number]
    row = replace(system.row, charge=type(system.row.charge)(), test=type(system.row.test)())
    for each in (system, replace(system, row=row)):
        screen = system_screen(clinic().job, each, words())
        assert asked(screen.parts) == fields_on_paper(each)


def test_the_figures_of_the_paper_are_shown() -> None:
    """Every text of its table of pressures, and of each line what is planned."""
    system = clinic().systems[0]
    pages, _ = system_pages(clinic().job, [system], words())
    printed = [mark.text for page in pages for mark in flat(page.marks) if isinstance(mark, Text)]
    screen = system_screen(clinic().job, system, words())
    (table,) = (part for part in screen.parts if part.kind == "table")
    assert {cell for row in table.rows for cell in row} <= set(printed)
    (main,) = (part for part in screen.parts if "system/HR-1/line/BB-11/main/run" in asked((part,)))
    assert main.text == "BB-11"
    assert "Charge, lb: 14.118" in main.facts


def test_it_is_printed_for_what_the_paper_is() -> None:
    """By the digest of the code on its pages: what comes back of both is of one plan."""
    system = clinic().systems[1]
    pages, _ = system_pages(clinic().job, [system], words())
    codes = [mark.text for page in pages for mark in flat(page.marks) if isinstance(mark, Bars)]
    page = next(read for code in codes if (read := read_system_code(code)))
    printed = read_system_printed(system_screen(clinic().job, system, words()).printed_for)
    assert printed is not None
    assert (printed.system, printed.digest) == ("HR-2", page.digest)


def test_the_page_has_the_systems_with_their_sections() -> None:
    """In the job's order; a part limited to boxes has none, and no script for them."""
    page = walk_html(clinic(), words()).decode()
    assert [(each["box"], each["shown"]) for each in data_of(page)["systems"]] == [
        ("system/HR-1", "System HR-1"), ("system/HR-2", "System HR-2"),
    ]  # fmt: skip
    sections = data_of(page)["systems"][0]["sections"]
    assert [each["key"] for each in sections] == ["charge", "shut", "test", "vacuum", "gate"]
    assert sections[0]["places"][:2] == ["shut/BB-11", "line/BB-11/main"]
    assert sections[2]["places"] == ["test", "step", "hold", "instrument"]
    without = walk_html(replace(clinic(), systems=()), words()).decode()
    assert data_of(without)["systems"] == []
    assert "systemContent(each, at)" in page
    assert "systemContent(each, at)" not in without
    assert not any(key.startswith("system_") for key in data_of(without)["words"])


def test_every_part_is_under_a_title() -> None:
    """The first one too: nothing is left out of the sections."""
    screen = system_screen(clinic().job, clinic().systems[0], words())
    kept = [part for title, parts in sections_of(screen.parts) for part in (title, *parts)]
    assert kept == list(screen.parts)


def test_every_word_of_systems_is_used_and_there() -> None:
    """By the page's script and that of the systems."""
    said = set(re.findall(r'"(system_[a-z_]+[a-z])"', SCRIPT + shipped_text("walk.html"))) | {*BUILT}
    own = {
        key for key in data_of(walk_html(clinic(), words()).decode())["words"] if key.startswith("system_")
    }
    assert said == own


def test_no_name_of_a_system_becomes_code() -> None:
    """The name is the name, whatever it looks like."""
    system = clinic().systems[0]
    row = replace(system.row, outdoor="</script><b>", source="{data} {systems}")
    text = walk_html(replace(clinic(), systems=(replace(system, row=row),)), words()).decode()
    assert "</script><b>" in json.dumps(data_of(text)["systems"][0]["facts"])
    assert text.count("</script>") == 2

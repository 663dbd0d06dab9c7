"""The family's order of letters is the only one: all rooms agree on it, whatever the alphabet says."""

import re

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tagmaker.catalog.family import Family
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.ports import letters_text, pairs
from tagmaker.problems import has_errors
from tagmaker.revisions.compare import compare
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.issuing import issued_plan
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.landing import Landing
from tagmaker.site.scans.rebuild import rebuild
from tagmaker.site.walk.causes import causes
from tagmaker.site.walk.findings import board_facts, findings, homes_of, parts_of
from tagmaker.site.walk.gather import Returned
from tagmaker.site.walk.words_typed import read_wish
from tagmaker.tags import fields
from tagmaker.tags.kits import box_tags
from tagmaker.tags.placard_text import placard_text
from tagmaker.tags.walk import letters_of
from tests.plan.families import random_boxes, random_families, random_jobs
from tests.records import replace
from tests.site.papers import kit
from tests.strategies import JobSketch, words


def legal(family: Family, sketch: JobSketch) -> Plan:
    """The plan of a job; jobs that the family's rules cannot express are passed over."""
    plan, problems = plan_job(sketch.record(family))
    assume(not has_errors(problems))
    return plan


def in_order(family: Family, letters: list[str]) -> bool:
    """Whether letters are in the family's order, each once or more in a run."""
    at = [family.port_names.index(letter) for letter in letters]
    return at == sorted(at)


@given(random_jobs())
def test_ports_and_pairs_are_in_the_familys_order(drawn: tuple[Family, JobSketch]) -> None:
    """Ports by their first letter, each pair's own letters too, and all letters of a box."""
    family, sketch = drawn
    box = legal(family, sketch).boxes[0]
    assert in_order(family, [port.letters[0] for port in box.ports])
    assert all(in_order(family, list(port.letters)) for port in box.ports)
    assert box.letters == tuple(family.port_names[: box.row.ports])


@given(random_jobs())
def test_tags_walk_and_landing_have_the_same_order(drawn: tuple[Family, JobSketch]) -> None:
    """Kits, the walk's letters and the terminals; the cable of a pair is on its first letter."""
    family, sketch = drawn
    plan = legal(family, sketch)
    box = plan.boxes[0]
    order = list(box.letters)
    tags = box_tags(plan.job, box, words())
    assert [tag.port for tag in tags if tag.kind == "terminal"] == order
    assert [letter for letter, _ in letters_of(box)] == order
    assert [result.letter for result in Landing(plan, frozenset()).results()] == order
    firsts = {port.letters[0] for port in box.ports if port.units}
    assert {tag.port for tag in tags if tag.kind == "cable"} == firsts


@given(random_jobs())
def test_a_wish_names_pairs_as_they_are_offered(drawn: tuple[Family, JobSketch]) -> None:
    """Every pair of the family can be wished for, its letters in either order."""
    family, sketch = drawn
    box = legal(family, sketch).boxes[0]
    offered = pairs(family, box.row.ports)
    for first, second in offered:
        name = f"{first}+{second}"
        for text in (f"{name} joined", f"{second}+{first} joined", f"{second} and {first} joined"):
            assert read_wish(text, box.letters, offered) == {first: name, second: name}


@given(random_jobs())
def test_a_line_on_a_wrong_port_is_sent_to_the_first_letter_of_its_pair(
    drawn: tuple[Family, JobSketch],
) -> None:
    """Readback: a cable goes to the pair's first terminal, pipes to the pair."""
    family, sketch = drawn
    plan = legal(family, sketch)
    box = plan.boxes[0]
    for port in box.ports:
        for letter in set(box.letters) - set(port.letters) if port.units else ():
            for line, home in (("cable", port.letters[0]), ("pipe", port.name)):
                field = fields.port_field(box.row.key, letter, f"{line}/found")
                found = Returned({field: port.units[0].tag}, ())
                parts = parts_of(plan.job, box, found, words(), homes_of(plan))
                punches = findings(box, found, parts, words()).punches
                assert [
                    punch
                    for punch in punches
                    if re.search(rf"(to|on) {re.escape(home)}(?![+\w])", punch.to_do)
                ]


@given(random_jobs())
def test_boards_rebuilt_from_a_placard_have_their_own_letters(drawn: tuple[Family, JobSketch]) -> None:
    """Each board has its letters, the first and last of them in their place."""
    family, sketch = drawn
    plan = legal(family, sketch)
    (rebuilt,) = rebuild([scan_of(placard_text(plan.job, plan.boxes[0]), "")])
    for board, seen in zip(plan.boxes[0].boards, rebuilt.boards, strict=True):
        assert sorted(seen.ports) == sorted(board.letters)
        assert (seen.ports[0], seen.ports[-1]) == (board.letters[0], board.letters[-1])


@given(random_jobs())
def test_every_terminal_agrees_with_its_own_kit_and_sends_a_cable_to_the_first_letter(
    drawn: tuple[Family, JobSketch],
) -> None:
    """The landing check, whatever order the family's letters have."""
    family, sketch = drawn
    plan = legal(family, sketch)
    box = plan.boxes[0]
    known = frozenset(tag.code for tag in box_tags(plan.job, box, words()))
    check = Landing(plan, known)
    for letter in box.letters:
        for code in kit(box, letter):
            check.put(scan_of(code, ""))
    assert {result.result for result in check.results()} == {"agree"}
    for port in (port for port in box.ports if port.units):
        for letter in set(box.letters) - set(port.letters):
            check.put(scan_of(f"{box.row.key}/{letter}/TRM", ""))
            line = check.put(scan_of(f"{box.row.key}/{port.letters[-1]}/COM", "")).line
            assert f"move it to {box.row.key} {port.letters[0]}; find" in line


@settings(max_examples=300)
@given(random_jobs())
def test_planned_settings_have_no_cause(drawn: tuple[Family, JobSketch]) -> None:
    """A board set as planned has nothing to expect, even where a state has no switch."""
    family, sketch = drawn
    box = legal(family, sketch).boxes[0]
    for board in box.boards:
        facts = board_facts(box, board)
        assert causes(family, facts, dict.fromkeys(facts.planned, True), words()) == []


@given(st.data())
def test_changes_are_listed_in_the_familys_order(data: st.DataObject) -> None:
    """Ports that differ, letters to check, and the lines of work of each kind."""
    family = data.draw(random_families())
    count = family.port_counts[0]
    family = replace(family, port_counts=(count,))
    old, new = (_issued(legal(family, JobSketch((data.draw(random_boxes(family)),)))) for _ in range(2))
    changes = compare(old, new)
    for change in changes.boxes:
        assert in_order(family, [port.port[0] for port in change.ports])
        assert in_order(family, list(change.check))
        assert in_order(family, list(change.pipes))
        assert in_order(family, list(change.cables))


def _issued(plan: Plan) -> Issued:
    return issued_plan(plan, words())


def test_letters_in_words() -> None:
    """A range where the letters follow each other, else each of them."""
    assert [letters_text(tuple(letters)) for letters in ("A", "ABCD", "IHB", "DCBA")] == [
        *("A", "A to D", "I, H, B", "D, C, B, A")
    ]

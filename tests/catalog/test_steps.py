"""The steps of the work as data: well formed, in a safe order, each with its writer."""

from typing import get_args

from tagmaker.catalog.steps import CHANGE_KINDS, BoxLines, SystemLines, change_steps
from tagmaker.revisions.box_lines import BOX_LINES
from tagmaker.revisions.work_lines import SYSTEM_LINES

STEPS = [step for phase in change_steps().phases for step in phase.steps]
KEYS = [step.key for step in STEPS]


def test_every_step_has_a_key_of_its_own() -> None:
    """Keys are what other programs know a step by."""
    assert len(set(KEYS)) == len(KEYS)


def test_every_kind_of_change_has_steps() -> None:
    """By name, or by steps for every kind."""
    named = {kind for step in STEPS for kind in step.kinds}
    assert named | {"name"} == set(CHANGE_KINDS)
    assert [step.key for step in STEPS if not step.kinds] == [
        "renamed", "tags-off", "tags-on", "placard", "bands", "scan",
    ]  # fmt: skip


def test_every_writer_of_lines_is_there_and_used() -> None:
    """No step without one, no writer without a step."""
    assert set(BOX_LINES) == set(get_args(BoxLines)) == {step.lines for step in STEPS if step.per == "box"}
    assert (
        set(SYSTEM_LINES)
        == set(get_args(SystemLines))
        == {step.lines for step in STEPS if step.per == "system"}
    )


def test_work_that_goes_box_by_box_has_no_step_of_a_whole_system() -> None:
    """It would be done once a box."""
    assert [
        step.key
        for phase in change_steps().phases
        if phase.by == "box"
        for step in phase.steps
        if step.per != "box"
    ] == []


def test_the_order_is_safe() -> None:
    """Power off, emptied, identified, cut, brazed, tested, charged; then tags; then power."""
    order = [
        "stop", "isolate-outdoor", "isolate-box", "isolate-units", "discharge", "dead", "recover", "valves",
        "zero", "purge", "identify", "cut", "braze", "pressure-test", "evacuate", "charge", "leak-test",
        "insulate", "tags-off", "tags-on", "placard", "restart", "response",
    ]  # fmt: skip
    assert [key for key in KEYS if key in order] == order


def test_it_says_how_it_is_known() -> None:
    """Common practice, and what governs."""
    assert change_steps().standing == "common practice; the manual for this equipment and local code decide"

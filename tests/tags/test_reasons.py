"""Why a switch stands as it does, in the words that are printed beside it."""

from collections.abc import Sequence

import pytest

from tagmaker.plan.model import BankPlan, Setting, SwitchPlan
from tagmaker.tags.reasons import on_list, reason, settings_text
from tests.strategies import words


@pytest.mark.parametrize(
    ("switch", "said"),
    [
        (SwitchPlan(1, "off"), ""),
        (SwitchPlan(3, "leave"), "leave as found"),
        (SwitchPlan(1, "on", when="unused", ports=("A",)), "port A is not used"),
        (SwitchPlan(2, "on", when="joined", ports=("G", "H")), "ports G+H work as one"),
        (SwitchPlan(4, "on", when="unfitted", ports=("K", "L")), "K, L not fitted"),
        (SwitchPlan(6, "on", when="unfitted", ports=("F",)), "F not fitted"),
        (
            SwitchPlan(4, "on", check_only=True, when="unfitted", ports=("K", "L")),
            "K, L not fitted (check only)",
        ),
        (
            SwitchPlan(1, "on", check_only=True, when="unused", ports=("A",)),
            "port A is not used (check only)",
        ),
    ],
)
def test_every_setting_has_its_reason(switch: SwitchPlan, said: str) -> None:
    """An ON switch says what it is ON for, and whether it is only checked; OFF needs no reason."""
    assert said == reason(switch, words())


@pytest.mark.parametrize(("on", "said"), [((), "all OFF"), ((2,), "ON 2"), ((1, 4), "ON 1 4")])
def test_a_bank_is_never_blank(on: tuple[int, ...], said: str) -> None:
    """Where nothing is ON, "all OFF" is printed, for a blank could be a misprint."""
    switches = tuple(SwitchPlan(number, "on" if number in on else "off") for number in range(1, 5))
    assert said == on_list(BankPlan(1, "Bank 1", "up", "left", switches), words())


def test_all_off_is_not_said_where_a_switch_is_left_as_found() -> None:
    """A technician would move a switch that must not be moved: the rest is OFF."""
    switches = (SwitchPlan(1, "off"), SwitchPlan(2, "off"), SwitchPlan(3, "leave"), SwitchPlan(4, "off"))
    assert on_list(BankPlan(2, "Bank 2", "up", "left", switches), words()) == "rest OFF"


@pytest.mark.parametrize(
    ("states", "said", "rest"),
    [
        (("off", "off", "off"), "all OFF", ""),
        (("on", "off", "off"), "ON 1", ", rest OFF"),
        (("on", "on", "on"), "ON 1 2 3", ""),
        (("off", "off", "leave"), "leave 3 as found, rest OFF", ""),
        (("on", "off", "leave"), "ON 1, leave 3 as found", ", rest OFF"),
        (("on", "leave", "on"), "ON 1 3, leave 2 as found", ""),
        (("leave", "leave", "off"), "leave 1 2 as found, rest OFF", ""),
    ],
)
def test_settings_name_every_switch_that_is_left_as_found(
    states: Sequence[Setting], said: str, rest: str
) -> None:
    """Whoever reads them in words alone would else move it; the rest is named where no heading names it."""
    switches = tuple(SwitchPlan(number, state) for number, state in enumerate(states, start=1))
    bank = BankPlan(1, "Bank 1", "up", "left", switches)
    assert settings_text(bank, words()) == said
    assert settings_text(bank, words(), names_rest=True) == said + rest


def test_settings_say_what_is_only_checked() -> None:
    """The factory's own settings are not moved without a question."""
    switches = (SwitchPlan(1, "on", check_only=True, when="unused", ports=("A",)), SwitchPlan(2, "off"))
    assert settings_text(BankPlan(1, "Bank 1", "up", "left", switches), words()) == "ON 1 (1 check only)"

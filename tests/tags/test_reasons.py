"""Why a switch stands as it does, in the words that are printed beside it."""

import pytest

from tagmaker.plan.model import BankPlan, SwitchPlan
from tagmaker.tags.reasons import on_list, reason
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

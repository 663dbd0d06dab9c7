"""Nitrogen against another program: CoolProp, which has the same published equation and another solver.

Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361. Aim: within 0.1 psi from 100 to 650 psig and 0 to 120 °F
at constant density, start and end anywhere in there.
"""

import itertools
import json
from fractions import Fraction

import pytest
from CoolProp import CoolProp

from tagmaker.catalog.nitrogen import nitrogen
from tagmaker.measures import Pressure, Temperature
from tagmaker.plan.hold import PRESSURES, TEMPERATURES, Readings, hold

ATMOSPHERE = float(Pressure.of_number(Fraction("14.696"), "psi").value)
PSI = float(Pressure.each["psi"])
CLOSE_PSI = 0.001
"""A hundredth of what is asked for."""


def psi(number: float) -> Pressure:
    """A gauge pressure."""
    return Pressure.of_number(Fraction(number), "psi")


def fahrenheit(number: float) -> Temperature:
    """A temperature."""
    return Temperature.of_number(Fraction(number), "F")


def ours(start: float, at: float, now: float) -> float:
    """The pressure that the program expects, in psi."""
    return hold(Readings(psi(start), fahrenheit(at), fahrenheit(now))).expected / PSI


def theirs(start: float, at: float, now: float) -> float:
    """The same by CoolProp."""
    warm, cold = (float(fahrenheit(each).value) for each in (at, now))
    absolute = start * PSI + ATMOSPHERE
    density = CoolProp.PropsSI("Dmolar", "P", absolute, "T", warm, "Nitrogen")
    return float((CoolProp.PropsSI("P", "Dmolar", density, "T", cold, "Nitrogen") - ATMOSPHERE) / PSI)


def largest_difference(pressures: range, temperatures: range) -> float:
    """Over all starts and ends of a grid, in psi."""
    grid = itertools.product(pressures, temperatures, temperatures)
    return max(abs(ours(*each) - theirs(*each)) for each in grid)


def test_expected_pressures_over_the_range_of_tests() -> None:
    """Every 25 psi from 100 to 650 psig, from and to every 10 °F from 0 to 120."""
    assert largest_difference(range(100, 651, 25), range(0, 121, 10)) < CLOSE_PSI


def test_expected_pressures_over_all_that_is_answered() -> None:
    """The corners of what the program takes, and a coarse grid between them."""
    assert ((psi(10), psi(1000)), (fahrenheit(-40), fahrenheit(160))) == (PRESSURES, TEMPERATURES)
    assert largest_difference(range(10, 1001, 198), range(-40, 161, 50)) < CLOSE_PSI


@pytest.mark.parametrize(
    ("start", "now", "expected"),
    [(600, 40, 561.6), (600, 60, 587.2), (300, 40, 281.2), (150, 40, 140.4)],
)
def test_known_figures(start: float, now: float, expected: float) -> None:
    """From 70 °F [computed with CoolProp]: 600 psig fall by 38.4 psi to 40 °F, and by 1.28 psi a degree."""
    assert round(ours(start, 70, now), 1) == expected


@pytest.mark.parametrize(("start", "ideal"), [(600, 565.2), (300, 282.2), (150, 140.7)])
def test_the_ideal_gas_says_something_else(start: float, ideal: float) -> None:
    """P2 = P1 T2 / T1 of absolute figures [computed]: 34.8 psi from 600 psig, more than 3 psi beside it."""
    share = float(fahrenheit(40).value / fahrenheit(70).value)
    assert round((start * PSI + ATMOSPHERE) * share / PSI - ATMOSPHERE / PSI, 1) == ideal
    assert ours(start, 70, 40) < ideal


def test_coefficients_are_those_of_the_equation() -> None:
    """Each of the 36 terms as CoolProp's file of the equation has it."""
    state = json.loads(CoolProp.get_fluid_param_string("Nitrogen", "JSON"))[0]["EOS"][0]
    power, bell = state["alphar"]
    gas = nitrogen()
    assert (power["type"], bell["type"]) == ("ResidualHelmholtzPower", "ResidualHelmholtzGaussian")
    assert [[getattr(term, key) for term in gas.powers] for key in "ntdl"] == [power[key] for key in "ntdl"]
    names = ("n", "t", "d", "eta", "beta", "gamma")
    assert [[getattr(term, key) for term in gas.bells] for key in names] == [bell[key] for key in names]
    assert set(bell["epsilon"]) == {1}
    assert gas.gas_constant == state["gas_constant"]

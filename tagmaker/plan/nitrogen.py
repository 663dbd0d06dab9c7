"""Nitrogen as a real gas: pressure from density and temperature, and back.

Takes and gives absolute pressures in pascals, densities in mol/m³, temperatures in kelvins. At the pressures
of a test the ideal gas is wrong by several psi; the equation is that of `layouts/nitrogen.toml`.
"""

import math
from itertools import chain

from tagmaker.catalog.nitrogen import Bell, Power, nitrogen

__all__ = ["density", "pressure"]

ENOUGH = 1e-13  # relative; doubles carry 2e-16
STEPS_AT_MOST = 100  # some ten are taken: the gas differs from an ideal one by a few per cent


def pressure(mol_m3: float, kelvins: float) -> float:
    """The absolute pressure of the gas."""
    gas = nitrogen()
    delta, tau = mol_m3 / gas.critical_density, gas.critical_temperature_k / kelvins
    slope = math.fsum(
        chain(
            (_power(term, delta, tau) for term in gas.powers), (_bell(term, delta, tau) for term in gas.bells)
        )
    )
    return mol_m3 * gas.gas_constant * kelvins * (1 + slope)


def density(pascals: float, kelvins: float) -> float:
    """The density at an absolute pressure: that of an ideal gas, corrected until it gives the pressure.

    RuntimeError where nothing does, which is so for a liquid only.
    """
    found = pascals / (nitrogen().gas_constant * kelvins)
    for _ in range(STEPS_AT_MOST):
        ratio = pascals / pressure(found, kelvins) if found else 1.0
        found *= ratio
        if abs(ratio - 1) < ENOUGH:
            return found
    raise RuntimeError(f"no density of nitrogen gives {pascals} Pa at {kelvins} K")


def _power(term: Power, delta: float, tau: float) -> float:
    """Δ times the slope of a term with density."""
    decay = delta**term.l if term.l else 0.0
    value: float = term.n * delta**term.d * tau**term.t * math.exp(-decay)
    return value * (term.d - term.l * decay)


def _bell(term: Bell, delta: float, tau: float) -> float:
    """Δ times the slope of a term with density."""
    off = delta - 1
    value: float = term.n * delta**term.d * tau**term.t
    value *= math.exp(-term.eta * off**2 - term.beta * (tau - term.gamma) ** 2)
    return value * (term.d - 2 * term.eta * delta * off)

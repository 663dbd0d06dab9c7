"""The equation of state of nitrogen as data, from `layouts/nitrogen.toml`."""

from functools import cache

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table

__all__ = ["Bell", "Nitrogen", "Power", "nitrogen"]

LARGEST = 10.0**6  # of a coefficient's size
POWERS, BELLS = 32, 4


class Power(Struct, frozen=True):
    """A term n · δ^d · τ^t · exp(−δ^l); without the exponential where l is 0."""

    n: float
    t: float
    d: float
    l: float  # noqa: E741 — the letter of the equation


class Bell(Struct, frozen=True):
    """A term n · δ^d · τ^t · exp(−eta (δ − 1)² − beta (τ − gamma)²)."""

    n: float
    t: float
    d: float
    eta: float
    beta: float
    gamma: float


class Nitrogen(Struct, frozen=True):
    """The terms; the critical point, in mol/m³ and K; the gas constant in J/(mol K)."""

    source: str
    gas_constant: float
    critical_temperature_k: float
    critical_density: float
    powers: tuple[Power, ...]
    bells: tuple[Bell, ...]


@cache
def nitrogen() -> Nitrogen:
    """The equation as the data file gives it."""
    with shipped_table("nitrogen.toml") as table:
        return Nitrogen(
            source=table.text("source", required=True),
            gas_constant=table.number("gas_constant", required=True),
            critical_temperature_k=table.number("critical_temperature_k", required=True),
            critical_density=table.number("critical_density", required=True),
            powers=tuple(Power(*each) for each in _terms(table.table("power"), Power, POWERS)),
            bells=tuple(Bell(*each) for each in _terms(table.table("bell"), Bell, BELLS)),
        )


def _terms(table: Table, kind: type[Struct], count: int) -> list[tuple[float, ...]]:
    """The terms of one kind: each coefficient is a list of one number a term."""
    columns = [table.numbers(name, count, least=-LARGEST) for name in kind.__struct_fields__]
    table.close()
    return list(zip(*columns, strict=True))

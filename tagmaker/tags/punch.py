"""One line of a punch list, in words."""

from dataclasses import dataclass

__all__ = ["Punch"]


@dataclass(frozen=True, slots=True)
class Punch:
    """Where, what is wrong, what to do, and what to expect meanwhile; its number on the whole job's list."""

    box: str
    place: str
    wrong: str
    to_do: str
    expect: tuple[str, ...] = ()
    number: int = 0

"""A tag as words, before anyone knows where it will lie."""

from dataclasses import dataclass

from tagmaker.problems import Where

__all__ = ["Tag"]


@dataclass(frozen=True, slots=True)
class Tag:
    """One tag: its code, what people read, and the row that it came from.

    `kind` is liquid, gas, cable or terminal; `use` single, joined or spare; `end` box or unit.
    `units` and `rooms` are those printed; `remark` is a sentence beside them, loud where `is_caution`.
    """

    code: str
    kind: str
    use: str
    end: str
    box: str
    box_shown: str
    port: str
    units: tuple[str, ...]
    rooms: tuple[str, ...]
    headline: str
    remark: str
    is_caution: bool
    end_text: str
    revision: str
    revision_text: str
    where: Where

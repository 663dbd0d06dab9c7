"""Where the fields of printed forms are: what a reader of filled-in paper needs to find their boxes.

Takes the pages of a set's documents; gives a record of each page that has fields to fill in by hand. Fields
that are on screens alone are left out: paper has no place for them.
"""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from tagmaker.draw.marks import Bars, Field, Page, flat

__all__ = ["FieldPlace", "FormPage", "form_pages"]

BY_HAND = {"check", "text"}
DECIMALS = 3


class FieldPlace(Struct, frozen=True, array_like=True):
    """A field's rectangle in mm from the page's top left corner; in JSON a list in this order."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


class FormPage(Struct, frozen=True):
    """A page of a file (from 1), the text of the code that names it, and its fields by name."""

    file: str
    page: int
    code: str
    fields: Mapping[str, FieldPlace]


def form_pages(file: str, pages: Sequence[Page]) -> Iterator[FormPage]:
    """The pages of a file that have fields to fill in by hand."""
    for number, page in enumerate(pages, start=1):
        marks = list(flat(page.marks))
        fields = {
            mark.name: _place(mark) for mark in marks if isinstance(mark, Field) and mark.kind in BY_HAND
        }
        code = next((mark.text for mark in marks if isinstance(mark, Bars)), "")
        if fields:
            yield FormPage(file, number, code, fields)


def _place(field: Field) -> FieldPlace:
    sides = (round(side, DECIMALS) for side in (field.x, field.y, field.width, field.height))
    return FieldPlace(*sides)

"""Where the fields of printed forms are: what a reader of filled-in paper needs to find their boxes.

Takes pages of a set's documents; gives a record of each that has fields to fill in by hand. Fields
that are on screens alone are left out: paper has no place for them.
"""

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from tagmaker.draw.marks import Bars, Field, Page, flat
from tagmaker.tags.fields import sheet_of_field

__all__ = ["FieldPlace", "FormPage", "form_page", "form_pages"]

BY_HAND = {"check", "text"}
DECIMALS = 3


class FieldPlace(Struct, frozen=True, array_like=True):
    """A field's rectangle in mm from the page's top left corner; in JSON a list in this order."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


class FormPage(Struct, frozen=True):
    """A page of a file (from 1), the text of the code that names it, and its fields by name.

    Then its size in mm, where its code is, without the white around it, and, on the first page of a
    sheet, the hidden text of what the sheet was printed for. A set of an earlier version has none of these.
    """

    file: str
    page: int
    code: str
    fields: Mapping[str, FieldPlace]
    width_mm: float = 0.0
    height_mm: float = 0.0
    code_place: FieldPlace | None = None
    printed_for: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        return self.width_mm, self.height_mm


def form_pages(file: str, pages: Iterable[Page]) -> Iterator[FormPage]:
    """The pages of a file that have fields to fill in by hand."""
    found = (form_page(file, number, page) for number, page in enumerate(pages, start=1))
    return (page for page in found if page)


def form_page(file: str, number: int, page: Page) -> FormPage | None:
    """A page of a file, from 1; None where it has no fields to fill in by hand."""
    marks = list(flat(page.marks))
    fields = {mark.name: _place(mark) for mark in marks if isinstance(mark, Field) and mark.kind in BY_HAND}
    if not fields:
        return None
    code = next((mark for mark in marks if isinstance(mark, Bars)), None)
    kept = (mark.value for mark in marks if isinstance(mark, Field) and _is_printed_for(mark))
    return FormPage(
        file,
        number,
        code.text if code else "",
        fields,
        round(page.width, DECIMALS),
        round(page.height, DECIMALS),
        _code_place(code) if code else None,
        next(kept, ""),
    )


def _is_printed_for(field: Field) -> bool:
    return field.kind == "kept" and field.name == f"{sheet_of_field(field.name)}/printed-for"


def _place(field: Field) -> FieldPlace:
    return _rounded(field.x, field.y, field.width, field.height)


def _code_place(code: Bars) -> FieldPlace:
    """The rectangle of a code's modules."""
    return _rounded(code.x, code.y, *code.size)


def _rounded(*sides: float) -> FieldPlace:
    return FieldPlace(*(round(side, DECIMALS) for side in sides))

"""What reading a picture of pages gives: a reading of each page, or why it is not read.

Records alone, so that what came back without any paper is put together without the libraries of pictures.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from tagmaker.revisions.form_pages import FormPage

if TYPE_CHECKING:
    from tagmaker.symbols.read import Picture

__all__ = ["DOUBTFUL", "NO_CODE", "PageFault", "PageReading", "PrintedPages", "Tick"]

Tick = Literal["ticked", "blank", "unclear", "unseen"]
"""`unclear` is doubtful ink; `unseen` is a box that the picture does not show well enough."""
DOUBTFUL = {"unclear", "unseen"}
NO_CODE = "no code of a sheet can be read in it"


class PrintedPages(Struct, frozen=True):
    """The pages of printed sets by the texts of their codes, and what draws one as it was printed.

    Sets of one revision may have several pages of one code, such as a blind one. `empty` gives a page without
    its form, `DOTS` dots a millimetre; None where that is not at hand.
    """

    by_code: Mapping[str, Sequence[FormPage]]
    empty: Callable[[FormPage], "Picture | None"]


class PageFault(Struct, frozen=True):
    """Why a picture, or a page that it shows, is not read: a sentence without the file's name, and a hint.

    `is_page` is not set where it does not show that there is a page of a sheet.
    """

    message: str
    hint: str
    is_page: bool = True


class PageReading(Struct, frozen=True):
    """A page as read: the code that it has, each box's reading, the lines with handwriting, and the cuts.

    `cuts` are PNG pictures by field: of each box that is unclear or not seen, and of each line with writing.
    `covered` are boxes in rows beside which another print lies: they are unclear.
    """

    code: str
    ticks: Mapping[str, Tick]
    written: tuple[str, ...]
    cuts: Mapping[str, bytes]
    covered: tuple[str, ...] = ()

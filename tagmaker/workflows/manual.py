"""The pages of the manual: plain Markdown files in the package, one page for one reader.

Gives the list of pages with their titles, or one page's text; nothing is read of any job.
"""

from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import read_plain

__all__ = ["PAGES", "PageOutline", "PagesOutline", "folder", "manual", "page_text", "page_titles"]

PAGES = (
    *("desk", "installer", "technician", "verifier", "office", "response-test", "systems", "handover"),
    *("job-file", "schedules", "families-and-stocks", "limits", "problem-codes", "glossary"),
    "codes-and-files",
)
"""Every page, in the order of the list."""
BYTES_AT_MOST = 1_000_000


class PageOutline(Struct, frozen=True):
    """What `manual PAGE --json` prints beside the problems."""

    page: str
    text: str


class PageTitle(Struct, frozen=True):
    """A page in the list.

    `page` is the name by which it is asked for, `title` the first line of its text.
    """

    page: str
    title: str


class PagesOutline(Struct, frozen=True):
    """What `manual --json` prints beside the problems: every page, in the order of the list."""

    pages: tuple[PageTitle, ...]


def manual() -> PagesOutline:
    """Every page with its title."""
    return PagesOutline(tuple(PageTitle(page, title) for page, title in page_titles().items()))


def folder() -> Path:
    """Where the pages lie, in a wheel as in a checkout."""
    return Path(__file__).resolve().parent.parent / "manual"


def page_text(page: str) -> str:
    """The text of a page of `PAGES`."""
    return read_plain(folder() / f"{page}.md", BYTES_AT_MOST).decode()


def page_titles() -> dict[str, str]:
    """Every page with its title, the first line of its text."""
    return {page: page_text(page).partition("\n")[0].removeprefix("# ") for page in PAGES}

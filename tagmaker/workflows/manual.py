"""The manual's pages: plain Markdown files that lie in the package, one page for one reader."""

from pathlib import Path

from tagmaker.files.plain import read_plain

__all__ = ["PAGES", "folder", "page_text", "page_titles"]

PAGES = (
    *("installer", "technician", "verifier", "office"),
    *("job-file", "schedules", "families-and-stocks", "limits", "problem-codes", "glossary"),
    "codes-and-files",
)
"""Every page, in the order of the list."""
BYTES_AT_MOST = 1_000_000


def folder() -> Path:
    """Where the pages lie, in a wheel as in a checkout."""
    return Path(__file__).resolve().parent.parent / "manual"


def page_text(page: str) -> str:
    """The text of a page of `PAGES`."""
    return read_plain(folder() / f"{page}.md", BYTES_AT_MOST).decode()


def page_titles() -> dict[str, str]:
    """Every page with its title, the first line of its text."""
    return {page: page_text(page).partition("\n")[0].removeprefix("# ") for page in PAGES}

"""The command `manual`: the pages of the manual."""

from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end

__all__ = ["manual"]

PAGE_WIDTH = 21


def manual(
    page: Annotated[
        str | None, typer.Argument(metavar="PAGE", help="The page to print.", show_default=False)
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Print a page of the manual; without PAGE, list the pages."""
    from tagmaker.files.toml import did_you_mean  # noqa: PLC0415
    from tagmaker.workflows import manual as pages  # noqa: PLC0415 — heavy, and `--help` needs none of it

    if page is None:
        titles = pages.page_titles()
        listed = [{"page": name, "title": title} for name, title in titles.items()]
        lines = [f"{name:{PAGE_WIDTH}}{title}" for name, title in titles.items()]
        end([], {"pages": listed}, lines, as_json=as_json)
    elif page in pages.PAGES:
        text = pages.page_text(page)
        end([], {"page": page, "text": text}, text.splitlines(), as_json=as_json)
    else:
        hint = did_you_mean(page, pages.PAGES)
        raise typer.BadParameter(f"no page is named {page!r}; {hint}", param_hint="PAGE")

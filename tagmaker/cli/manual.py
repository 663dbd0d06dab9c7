"""The command `manual`: print a page of the manual, or the list of pages with their titles."""

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
    from tagmaker.files.toml import did_you_mean
    from tagmaker.workflows import manual as workflow

    if page is None:
        listed = workflow.manual()
        lines = [f"{each.page:{PAGE_WIDTH}}{each.title}" for each in listed.pages]
        end([], listed, lines, as_json=as_json)
    elif page in workflow.PAGES:
        text = workflow.page_text(page)
        end([], workflow.PageOutline(page, text), text.splitlines(), as_json=as_json)
    else:
        hint = did_you_mean(page, workflow.PAGES)
        raise typer.BadParameter(f"no page is named {page!r}; {hint}", param_hint="PAGE")

"""The command `align`: where a printer puts things."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import end

__all__ = ["align"]


def align(
    stock: Annotated[str, typer.Argument(metavar="STOCK", help="The stock that the printer is fed with.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="The page to print, a PDF.")
    ] = None,
    first: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 1 was found, in mm from left and top.")
    ] = None,
    second: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 2 was found, in mm from left and top.")
    ] = None,
    forget: Annotated[bool, typer.Option("--forget", metavar="", help="Forget what was measured.")] = False,
) -> None:
    """Print a page with two crosses, ask where they were found, and make up for it from then on."""
    from tagmaker.workflows import stocks as stock_tools  # noqa: PLC0415 — heavy, and `--help` needs none of it

    if (first is None) != (second is None):
        raise typer.BadParameter("--first and --second go together")
    if forget:
        problems, lines = stock_tools.forget(stock)
    elif first is None or second is None:
        problems, lines = stock_tools.align_by_asking(stock, out or Path(f"align-{stock}.pdf"), typer.prompt)
    else:
        problems, lines = stock_tools.align(stock, first, second)
    end(problems, {}, lines, as_json=False)

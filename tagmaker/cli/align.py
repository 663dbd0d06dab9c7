"""The command `align`: measure where a printer puts things on a stock, once.

Without readings it writes the page of crosses and asks for them; prints the shift and scale that are kept.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import end

if TYPE_CHECKING:
    from tagmaker.workflows.align import Aligned

__all__ = ["align", "aligned_lines"]


def align(
    stock: Annotated[str, typer.Argument(metavar="STOCK", help="The stock in the printer.")],
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="The page to print, a PDF.")
    ] = None,
    first: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 1 was found, in mm from left and top.")
    ] = None,
    second: Annotated[
        str | None, typer.Option(metavar="X,Y", help="Where cross 2 was found, in mm from left and top.")
    ] = None,
    forget: Annotated[
        bool, typer.Option("--forget", metavar="", help="Delete the stored measurement.")
    ] = False,
) -> None:
    """Print a page with two crosses, ask where they are, and correct for the offset from then on."""
    from tagmaker.workflows import align as workflow

    if (first is None) != (second is None):
        raise typer.BadParameter("--first and --second go together")
    if forget:
        done = workflow.forget(stock)
    else:
        if first is None or second is None:
            first, second = _ask(stock, out or Path(f"align-{stock}.pdf"))
        done = workflow.align(stock, first, second)
    end(done.problems, None, aligned_lines(done), as_json=False)


def _ask(stock: str, page: Path) -> tuple[str, str]:
    """Write the page of crosses and ask for both readings; exits with 1 where the page cannot be written."""
    from tagmaker.workflows import align as workflow

    if problems := workflow.print_page(stock, page):
        end(problems, None, [], as_json=False)
    steps = f"{page} is written. Print it on {stock} at 100 %; measure each cross from the left and top edge."
    return typer.prompt(f"{steps}\nCross 1, as X,Y in mm"), typer.prompt("Cross 2, as X,Y in mm")


def aligned_lines(done: "Aligned") -> list[str]:
    """What is kept and in which file; none where nothing was."""
    if done.problems:
        return []
    if done.alignment is None:
        return [f"{done.stock}: forgotten in {done.file}"]
    kept = done.alignment
    shift = f"shift {kept.shift_x:+.2f}, {kept.shift_y:+.2f} mm"
    return [f"{done.stock}: {shift}, scale {kept.scale_x:.2%}, {kept.scale_y:.2%}; kept in {done.file}"]

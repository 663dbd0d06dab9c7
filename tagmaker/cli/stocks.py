"""Commands of the shop that prints: stocks, align."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_folder

__all__ = ["align", "schemas", "stocks"]


def stocks(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="A stock to draw.", show_default=False)
    ] = None,
    out: Annotated[
        Path | None, typer.Option("-o", "--out", metavar="FILE", help="The picture, .pdf or .png.")
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", metavar="JOB", help="A job whose own stocks are listed too.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """List the label stocks with what each suits and how far it reads, or draw one as it lies."""
    from tagmaker.workflows import stocks as stock_tools  # noqa: PLC0415 — as above

    folder = job_folder(job) if job else None
    if name is None:
        rows, problems = stock_tools.listing(folder)
        lines = stock_tools.listing_lines(rows)
        result: dict[str, object] = {"stocks": rows}
    else:
        target = out or Path(f"{name}.pdf")
        problems = stock_tools.draw(name, target, folder)
        lines, result = [f"{target}: {name} as it lies"] if not problems else [], {"out": str(target)}
    end(problems, result, lines, as_json=as_json)


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
    from tagmaker.workflows import stocks as stock_tools  # noqa: PLC0415 — as above

    if (first is None) != (second is None):
        raise typer.BadParameter("--first and --second go together")
    if forget:
        problems, lines = stock_tools.forget(stock)
    elif first is None or second is None:
        problems, lines = stock_tools.align_by_asking(stock, out or Path(f"align-{stock}.pdf"), typer.prompt)
    else:
        problems, lines = stock_tools.align(stock, first, second)
    end(problems, {}, lines, as_json=False)


def schemas(
    out: Annotated[Path, typer.Argument(metavar="DIR", help="A folder that is there, for the files.")],
) -> None:
    """Write JSON Schemas of job, family, stock, plan and problems, so that an editor completes and checks."""
    from tagmaker.workflows.schemas import SCHEMAS, write_schemas  # noqa: PLC0415 — as above

    problems = write_schemas(out)
    end(problems, {}, [] if problems else [f"{out}/{sort}.schema.json" for sort in SCHEMAS], as_json=False)

"""The command `stocks`: the label stocks."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_folder

__all__ = ["stocks"]


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
    from tagmaker.workflows import stocks as stock_tools  # noqa: PLC0415 — heavy, and `--help` needs none of it

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

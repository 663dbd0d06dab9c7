"""The command `stocks`: list the label stocks, or draw one as it lies.

Prints two lines a stock: name and title; what it suits, how far all of it reads, its code, material and life;
then what is too small on it, and whether it is refused for spare ports. `--json` prints the list with sizes
in millimetres.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tagmaker.cli.options import AsJson, end, job_folder

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tagmaker.workflows.stocks import StockOutline

__all__ = ["listing_lines", "stocks"]


Name = Annotated[str | None, typer.Argument(metavar="NAME", help="A stock to draw.", show_default=False)]
Out = Annotated[Path | None, typer.Option("-o", "--out", metavar="FILE", help="The picture, .pdf or .png.")]
Job = Annotated[
    Path | None, typer.Option("--job", metavar="JOB", help="A job whose own stocks are also listed.")
]


def stocks(name: Name = None, out: Out = None, job: Job = None, as_json: AsJson = False) -> None:
    """List the label stocks with what each suits and how far it reads, or draw one to scale."""
    from tagmaker.workflows import stocks as workflow

    if out and name is None:
        raise typer.BadParameter("-o goes with NAME: name the stock to draw")
    folder = job_folder(job) if job else None
    if name is None:
        listed, problems = workflow.stocks(folder)
        end(problems, listed, listing_lines(listed.stocks), as_json=as_json)
    else:
        target = out or Path(f"{name}.pdf")
        problems = workflow.draw(name, target, folder)
        lines = [] if problems else [f"{target}: drawing of {name}"]
        end(problems, workflow.StockDrawn(target.as_posix()), lines, as_json=as_json)


def listing_lines(stocks: "Iterable[StockOutline]") -> list[str]:
    """Two lines a stock, and one each for texts that are too small and for spare ports that it refuses."""
    lines: list[str] = []
    for each in stocks:
        use = f"for {', '.join(each.suits)}; reads from {each.reads_from_m} m; {_code(each)}"
        lines += [f"{each.name}  {each.title}", f"    {use}; {each.material} ({each.life})"]
        texts = dict.fromkeys(
            f"{small.use} {small.text} from {small.reads_from_m} m, not {small.distance_m:g} m"
            for small in each.too_small
        )
        lines += [f"    too small: {', '.join(texts)}"] if texts else []
        if each.one_sided:
            lines.append("    not seen whole from one side: turn the letter to the side that people see")
        if each.no_spares:
            lines.append(f"    refused for spare ports ({', '.join(each.no_spares)}): it holds no caution")
    return lines


def _code(stock: "StockOutline") -> str:
    """Which code a stock carries, in words."""
    least = f"{stock.module_mm:.2f} mm or more"
    return {
        "qr": f"QR code, modules of {least}",
        "code128": f"bar code, bars of {least}",
        "none": "no code",
    }[stock.symbol]

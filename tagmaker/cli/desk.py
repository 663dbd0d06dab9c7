"""The command `desk`: the tool in a browser on this computer, until Ctrl-C.

The first line on standard output is the address with its secret.
"""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import WrongUsage, end, print_lines
from tagmaker.files.plain import is_folder

__all__ = ["desk"]


def desk(
    folder: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER", help="The folder whose jobs are shown; default: the current folder."
        ),
    ] = Path(),
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help="The port; default: a free one.")
    ] = 0,
    no_open: Annotated[bool, typer.Option("--no-open", metavar="", help="Do not open the browser.")] = False,
) -> None:
    """Open the tool in the browser: prepare jobs, print sets, take in what comes back."""
    from tagmaker.desk.serve import serve

    if not is_folder(folder):
        raise WrongUsage(f"{folder}: no such folder", "name a folder in which jobs are or will be")
    problem = serve(folder, port, lambda address: print_lines([address]), opens=not no_open)
    if problem:
        end([problem], None, [], as_json=False)

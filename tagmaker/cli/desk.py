"""The command `desk`: the tool in a browser on this computer, until Ctrl-C.

The first line on standard output is the address with its secret; with --phones the second is that for
phones.
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
            metavar="FOLDER",
            help="The folder whose jobs are shown; default: the current folder.",
            show_default=False,
        ),
    ] = Path(),
    port: Annotated[
        int,
        typer.Option(
            "--port", metavar="N", min=0, max=65535, help="The port; default: a free one.", show_default=False
        ),
    ] = 0,
    phones: Annotated[
        str | None,
        typer.Option(
            "--phones",
            metavar="[ADDRESS]",
            help="Let phones on the local network in; default: this computer's address there.",
        ),
    ] = None,
    certificate: Annotated[
        Path | None,
        typer.Option(
            "--certificate",
            metavar="FILE",
            help="A PEM file with certificate and key: encrypts what phones send.",
        ),
    ] = None,
    no_open: Annotated[bool, typer.Option("--no-open", metavar="", help="Do not open the browser.")] = False,
) -> None:
    """Open the tool in the browser: prepare jobs, print sets, take in what comes back."""
    from tagmaker.desk.phones.serve import OWN, PhonesAsked, is_address
    from tagmaker.desk.serve import serve

    if not is_folder(folder):
        raise WrongUsage(f"{folder}: no such folder", "name a folder in which jobs are or will be")
    if phones not in {None, OWN} and not is_address(phones or ""):
        raise WrongUsage(f"{phones}: not an address of this computer", "name one such as 192.168.1.5")
    asked = PhonesAsked(phones or OWN, certificate, opens=phones is not None)
    problem = serve(folder, port, lambda address: print_lines([address]), asked, opens=not no_open)
    if problem:
        end([problem], None, [], as_json=False)

"""The program: its name, help and version, and its entry point.

Exit codes: 0 done; 1 the job has errors and nothing was written, or what was compared differs; 2 wrong usage;
3 done, but the result could not be printed. Results go to standard output, problems and progress to standard
error.
"""

import io
import sys
from typing import Annotated

import typer

from tagmaker import __version__
from tagmaker.cli.printing import SPELT_OUT, print_lines, printing
from tagmaker.cli.usage import Program
from tagmaker.files.stopping import stop_cleanly

app = typer.Typer(
    cls=Program,
    help="Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning.",
    epilog="\b\nExample: tagmaker make example_jobs/clinic -o out",
    no_args_is_help=True,
    rich_markup_mode=None,  # without it help takes 1.0 times `import typer`, with it 2.6 times
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    """Print the version and exit, before any command is looked at."""
    if wanted:
        print_lines([f"tagmaker {__version__}"])
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option(
            "--version", metavar="", callback=_version, is_eager=True, help="Print the version and exit."
        ),
    ] = False,
) -> None:
    """Labels, placards and verification sheets for the branch boxes of heat-recovery air-conditioning."""


def run() -> None:
    """The program's entry point.

    A character that the terminal's encoding lacks is printed as a plain sign or its code: a question mark in
    its place would read as "left as found" in a picture of switches. Standard input is read whatever its
    bytes are, since a scanner may send any; those of a pipe are UTF-8.
    """
    stop_cleanly()
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors=SPELT_OUT)
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(encoding=None if sys.stdin.isatty() else "utf-8", errors="replace")
    with printing():
        app()

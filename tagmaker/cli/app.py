"""The program: its commands in the order of the help, and its entry point.

Exit codes: 0 done; 1 the job has errors and nothing was written, or what was compared differs; 2 wrong usage;
3 done, but the result could not be printed. Results go to standard output, problems and progress to standard
error.
"""

import gc
import io
import sys
from typing import Annotated

import typer

from tagmaker import __version__
from tagmaker.cli.align import align
from tagmaker.cli.changes import changes
from tagmaker.cli.check import check
from tagmaker.cli.desk import desk
from tagmaker.cli.explain import explain
from tagmaker.cli.handover import handover
from tagmaker.cli.hold import hold
from tagmaker.cli.make import make
from tagmaker.cli.manual import manual
from tagmaker.cli.printing import SPELT_OUT, print_lines, printing
from tagmaker.cli.read import read
from tagmaker.cli.readback import readback
from tagmaker.cli.response import response
from tagmaker.cli.room import room
from tagmaker.cli.scan import scan
from tagmaker.cli.schemas import schemas
from tagmaker.cli.start import start
from tagmaker.cli.stocks import stocks
from tagmaker.cli.switches import switches
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


COMMANDS = (
    (make, "make example_jobs/clinic -o out --box BB-12"),
    (check, "check example_jobs/full-of-mistakes"),
    (switches, "switches example_jobs/clinic --box BB-13"),
    (changes, "changes example_jobs/bakery example_jobs/bakery-extended"),
    (stocks, "stocks letter-30-67x25 -o sheet.png"),
    (align, "align letter-30-67x25 --first 25.2,25.1 --second 190.1,254.0"),
    (read, "read example_jobs/weir-school/ports.xlsx --job example_jobs/weir-school"),
    (start, "start new-job --from example_jobs/clinic/ports.csv --family four-port-boards"),
    (schemas, "schemas ."),
    (scan, "scan example_jobs/clinic/scans.txt --job example_jobs/clinic"),
    (response, "response example_jobs/clinic -o response"),
    (readback, "readback example_jobs/bakery/returned --job example_jobs/bakery"),
    (handover, "handover example_jobs/bakery example_jobs/bakery/returned -o handover.pdf"),
    (explain, 'explain 4 "bank 1: 1 2" --family four-port-boards --wish "A spare, B used"'),
    (room, 'room example_jobs/clinic --capacity "36 kBtu/h" --near BB-12'),
    (hold, 'hold "600 psi" "70 F" "40 F" "561.5 psi" --gauge "0.5 psi" --thermometer "0.5 F"'),
    (desk, "desk example_jobs"),
    (manual, "manual job-file"),
)
"""Every command with the example at the end of its help, in the order of the help."""

for command, example in COMMANDS:
    app.command(short_help=command.__doc__, epilog=f"\b\nExample: tagmaker {example}")(command)


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
    gc.disable()  # a run keeps what it makes: collection took 20 % of a small job, 8 % of a large one
    try:
        with printing():
            app()
    finally:
        gc.freeze()  # nor is anything collected at exit: the system frees all memory at once

"""The commands: their names, what each does, an example; each is loaded from its own file when it is called.

The help of the program and a mistyped command load none of them.
"""

from importlib import import_module
from typing import Any

import typer
from typer.core import TyperCommand
from typer.main import get_command

from tagmaker.cli.values import take_plain_values

__all__ = ["COMMANDS", "loaded", "named"]

COMMANDS = (
    (
        "make",
        "Write a job's label sheets, placards, verification sheets, register and plan into OUT.",
        "make example_jobs/clinic -o out --box BB-12",
    ),
    ("check", "Report every problem of a job, and write nothing.", "check example_jobs/full-of-mistakes"),
    (
        "switches",
        "Show every board's switches, with the reason for each that is ON, and the port loads.",
        "switches example_jobs/clinic --box BB-13",
    ),
    (
        "changes",
        "List the work on site step by step: pipes, cables, switches, tags; exit 1 if there is any.",
        "changes example_jobs/bakery example_jobs/bakery-extended",
    ),
    (
        "stocks",
        "List the label stocks with what each suits and how far it reads, or draw one to scale.",
        "stocks letter-30-67x25 -o sheet.png",
    ),
    (
        "align",
        "Print a page with two crosses, ask where they are, and correct for the offset from then on.",
        "align letter-30-67x25 --first 25.2,25.1 --second 190.1,254.0",
    ),
    (
        "read",
        "Show how each column of a schedule was understood, what was left out, and every row as understood.",
        "read example_jobs/weir-school/ports.xlsx --job example_jobs/weir-school",
    ),
    (
        "start",
        "Write a new job folder that runs, with every key explained; what was inferred is marked to confirm.",
        "start new-job --from example_jobs/clinic/ports.csv --family four-port-boards",
    ),
    (
        "schemas",
        (
            "Write JSON Schemas of job, family, stock, plan and problems, "
            "so that an editor completes and checks."
        ),
        "schemas .",
    ),
    (
        "scan",
        (
            "Identify each code; report whether it belongs to the job "
            "and whether anything is crossed or differs."
        ),
        "scan example_jobs/clinic/scans.txt --job example_jobs/clinic",
    ),
    (
        "response",
        "Write a response test: rounds of heat and cool that show which line is crossed with which.",
        "response example_jobs/clinic -o response",
    ),
    (
        "readback",
        "Compare what the walk found with the job: as planned, differs or not seen, and what to do.",
        "readback example_jobs/bakery/returned --job example_jobs/bakery",
    ),
    (
        "handover",
        "Write one signed record of what was planned, found and proved, with everything open first.",
        "handover example_jobs/bakery example_jobs/bakery/returned -o handover.pdf",
    ),
    (
        "explain",
        "Explain how a box reads its switches as found, and what to move; without arguments, ask.",
        'explain 4 "bank 1: 1 2" --family four-port-boards --wish "A spare, B used"',
    ),
    (
        "room",
        "Find ports for one more unit, and what to set and print there.",
        'room example_jobs/clinic --capacity "36 kBtu/h" --near BB-12',
    ),
    (
        "hold",
        "Compute the pressure of held nitrogen at another temperature, and whether a pressure test holds.",
        'hold "600 psi" "70 F" "40 F" "561.5 psi" --gauge "0.5 psi" --thermometer "0.5 F"',
    ),
    (
        "desk",
        "Open the tool in the browser: prepare jobs, print sets, take in what comes back.",
        "desk example_jobs",
    ),
    ("manual", "Print a page of the manual; without PAGE, list the pages.", "manual job-file"),
)
"""Every command with the first line of its help and the example at its end, in the order of the help."""
EXAMPLES = {name: example for name, _, example in COMMANDS}


class _Command(TyperCommand):
    """A command whose options take plain values by themselves."""

    def get_params(self, ctx: Any) -> list[Any]:
        return take_plain_values(super().get_params(ctx))


def named() -> list[TyperCommand]:
    """The commands as far as the help of the program needs them."""
    return [TyperCommand(name=name, short_help=does) for name, does, _ in COMMANDS]


def loaded(name: str) -> TyperCommand:
    """A command with its options, out of the file and the function of its name."""
    function = getattr(import_module(f"tagmaker.cli.{name}"), name)
    alone = typer.Typer(
        add_completion=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    alone.command(name, cls=_Command, epilog=f"\b\nExample: tagmaker {EXAMPLES[name]}")(function)
    command = get_command(alone)
    if not isinstance(command, TyperCommand):
        raise TypeError(name)
    return command

"""The command `schemas`: JSON Schemas of the files that people write, for editors that complete and check.

Prints the files written, none where one could not be written.
"""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import end

__all__ = ["schemas"]


def schemas(
    out: Annotated[Path, typer.Argument(metavar="DIR", help="An existing folder for the files.")],
) -> None:
    """Write JSON Schemas of job, family, stock, plan and problems, so that an editor completes and checks."""
    from tagmaker.workflows import schemas as workflow

    files, problems = workflow.schemas(out)
    end(problems, None, [] if problems else [f"{out}/{file.name}" for file in files], as_json=False)

"""The command `schemas`: JSON Schemas for editors."""

from pathlib import Path
from typing import Annotated

import typer

from tagmaker.cli.options import end

__all__ = ["schemas"]


def schemas(
    out: Annotated[Path, typer.Argument(metavar="DIR", help="A folder that is there, for the files.")],
) -> None:
    """Write JSON Schemas of job, family, stock, plan and problems, so that an editor completes and checks."""
    from tagmaker.workflows.schemas import SCHEMAS, write_schemas  # noqa: PLC0415 — heavy, and `--help` needs none of it

    problems = write_schemas(out)
    end(problems, {}, [] if problems else [f"{out}/{sort}.schema.json" for sort in SCHEMAS], as_json=False)

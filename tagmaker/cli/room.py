"""The command `room`: a place for one more unit."""

from typing import Annotated

import typer

from tagmaker.cli.options import AsJson, Boxes, JobPath, end, job_path, upper

__all__ = ["room"]


def room(
    capacity: Annotated[
        str, typer.Option("--capacity", metavar="TEXT", help='The unit\'s capacity: "36 kBtu/h".')
    ],
    job: JobPath = None,
    near: Annotated[
        str, typer.Option("--near", metavar="TAG", help="Nearest first, in walking order from this box.")
    ] = "",
    box: Boxes = None,
    as_json: AsJson = False,
) -> None:
    """Say where one more unit can go, and what would have to be set and printed there."""
    from tagmaker.units import Unreadable, read_capacity  # noqa: PLC0415
    from tagmaker.workflows import room as finding_room  # noqa: PLC0415 — heavy, and `--help` needs none of it

    read = read_capacity(capacity)
    if isinstance(read, Unreadable):
        raise typer.BadParameter(f"{read.message}; {read.hint}", param_hint="--capacity")
    asked = finding_room.RoomFor(read, upper(box), near.upper())
    found = finding_room.find_room(job_path(job), asked)
    lines = finding_room.room_lines(found)
    is_none = not found.is_found
    end(found.problems, found.as_json(), lines, as_json=as_json, is_wrong=is_none, errors_count=False)

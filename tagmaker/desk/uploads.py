"""Files that a browser sends: kept in the desk's own folder until the desk ends, under safe names.

Nothing of a job is touched: a page gives the paths to the workflow that reads such files.
"""

from pathlib import Path

from starlette.requests import Request

from tagmaker.desk.state import desk_of
from tagmaker.files.received import new_place

__all__ = ["received_files"]

FILES_AT_MOST = 1_000
FIELDS_AT_MOST = 1_000


async def received_files(request: Request, field: str = "files") -> list[Path]:
    """The files of a form's field, each written under its own name in a folder of this request alone.

    Read piece by piece. Of a name nothing but its last part is kept; two files of one name are numbered.
    """
    place = new_place(desk_of(request).received)
    paths: list[Path] = []
    async with request.form(max_files=FILES_AT_MOST, max_fields=FIELDS_AT_MOST) as form:
        for each in form.getlist(field):
            if not isinstance(each, str) and each.filename:
                with place.file(each.filename) as (path, write):
                    while piece := await each.read(1 << 20):
                        write(piece)
                paths.append(path)
    return paths

"""The example jobs that the program brings along, to be copied and tried out.

Only this module knows where they are: inside the package in a wheel, beside it in a checkout or editable
install. Of a checkout's folder it gives the files of the job alone, no pictures or returned sheets.
"""

from pathlib import Path

from tagmaker.files.plain import files_in, is_folder, read_plain
from tagmaker.files.toml import FILE_BYTES_AT_MOST

__all__ = ["EXAMPLES", "example_files"]

EXAMPLES = ("bakery", "clinic", "quay-hotel", "three-port-boards", "weir-school")
"""The names of the examples, which are their folders'."""
PATTERNS = ("job.toml", "*.csv", "*.xlsx", "families/*.toml", "stocks/*.toml")


def example_files(name: str) -> dict[str, bytes]:
    """The files of an example by their names below its folder; KeyError where there is no such example."""
    if name not in EXAMPLES:
        raise KeyError(name)
    folder = _folder() / name
    paths = sorted(path for pattern in PATTERNS for path in files_in(folder, pattern))
    return {path.relative_to(folder).as_posix(): read_plain(path, FILE_BYTES_AT_MOST) for path in paths}


def _folder() -> Path:
    package = Path(__file__).resolve().parent.parent
    inside = package / "example_jobs"
    return inside if is_folder(inside) else package.parent / "example_jobs"

"""A job folder from text, for tests that read real files."""

from collections.abc import Mapping
from pathlib import Path

__all__ = ["BOX", "HEAD", "UNIT", "write_files"]

HEAD = '[job]\nname = "Tide Street Bakery"\nfamily = "four-port-boards"\n'
BOX = '[[box]]\ntag = "BX-1"\nports = 4\n'
UNIT = '[[unit]]\nunit = "FC-1"\nbox = "BX-1"\nport = "A"\ncapacity = "24 kBtu/h"\n'


def write_files(folder: Path, files: Mapping[str, str | bytes]) -> Path:
    """The folder, made with these files in it; text is written as UTF-8 with its line ends as they are."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    return folder

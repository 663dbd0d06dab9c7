"""Where the catalog's files stand: a job's own folder first, then the program's `layouts/`."""

import os
from pathlib import Path

from tagmaker.files.plain import is_there
from tagmaker.files.toml import TomlFile, did_you_mean, read_toml
from tagmaker.problems import Problem, Where, error

__all__ = ["find", "layouts", "lies_within", "names", "outside"]


def layouts() -> Path:
    """The folder `layouts/`: inside the package in a wheel, beside it in a checkout or editable install."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "layouts"
    return inside if inside.is_dir() else package.parent / "layouts"


def names(kind: str, job_folder: Path | None) -> list[str]:
    """The names of all families or stocks ("families", "stocks") that a job may use."""
    folders = [layouts() / kind, *([job_folder / kind] if job_folder else [])]
    return sorted({path.stem for folder in folders for path in folder.glob("*.toml")})


def lies_within(path: Path, folder: Path) -> bool:
    """Whether a file lies in a folder or in folders of it, links followed."""
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def outside(shown: str, where: Where) -> Problem:
    """What is told of a file that does not."""
    message = f"{shown} lies outside the job's folder"
    return error("file-outside", message, where, "copy it into the job's folder")


def find(kind: str, name: str, job_folder: Path | None, where: Where) -> TomlFile | Problem:
    """The file of that name, the job's own before the program's, or a problem with the nearest name."""
    code = {"families": "family-unknown", "stocks": "stock-unknown"}[kind]
    known = names(kind, job_folder)
    if name not in known:
        thing = "box family" if kind == "families" else "label stock"
        return error(code, f"no {thing} is named {name!r}", where, did_you_mean(name, known))
    if job_folder and is_there(own := job_folder / kind / f"{name}.toml"):
        shown = f"{kind}/{name}.toml"
        return read_toml(own, shown) if lies_within(own, job_folder) else outside(shown, where)
    return read_toml(layouts() / kind / f"{name}.toml", f"layouts/{kind}/{name}.toml")

"""Where the catalog's files are: a job's own folder first, then the program's `layouts/`.

Only this room asks for `layouts()`; others ask for a family, a stock or a shipped file by its name.
"""

from pathlib import Path

from tagmaker.files.plain import files_in, is_folder, is_there, lies_within
from tagmaker.files.toml import TomlFile, did_you_mean, read_toml
from tagmaker.problems import Problem, Where, error

__all__ = ["find", "layouts", "names", "outside"]


def layouts() -> Path:
    """The folder `layouts/`: inside the package in a wheel, beside it in a checkout or editable install."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "layouts"
    return inside if is_folder(inside) else package.parent / "layouts"


def names(kind: str, job_folder: Path | None) -> list[str]:
    """The names of all families or stocks ("families", "stocks") that a job may use."""
    folders = [layouts() / kind, *([job_folder / kind] if job_folder else [])]
    return sorted({path.stem for folder in folders for path in files_in(folder, "*.toml")})


def outside(shown: str, where: Where) -> Problem:
    """The problem with a file that a job names and that lies outside its folder."""
    message = f"{shown} is outside the job's folder"
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

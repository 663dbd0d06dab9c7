"""Where the catalog's files stand, in a checkout and in a wheel, and which of two files counts."""

from pathlib import Path

import pytest

from tagmaker.catalog import folders
from tagmaker.catalog.folders import find, layouts, names
from tagmaker.files.toml import TomlFile
from tagmaker.problems import Problem, Where
from tests.job_files import write_files
from tests.paths import ROOT

HERE = Where("job.toml", 4)


def test_layouts_beside_the_package() -> None:
    """In a checkout the folder stands beside the package."""
    root = ROOT
    assert layouts() == root / "layouts"


def test_layouts_inside_the_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a wheel it stands inside, and that one counts."""
    package = tmp_path / "tagmaker"
    write_files(tmp_path, {"layouts/a.toml": "", "tagmaker/catalog/folders.py": ""})
    monkeypatch.setattr(folders, "__file__", str(package / "catalog" / "folders.py"))
    assert layouts() == tmp_path / "layouts"
    write_files(package, {"layouts/a.toml": ""})
    assert layouts() == package / "layouts"


def test_names_are_the_programs_and_the_jobs_own(tmp_path: Path) -> None:
    """Both folders' files, each name once, in alphabetical order; other files are none."""
    write_files(
        tmp_path,
        {"families/own.toml": "", "families/four-port-boards.toml": "", "families/own.toml.bak": ""},
    )
    assert set(names("families", tmp_path)) == {*names("families", None), "own"}
    assert names("families", tmp_path) == sorted(names("families", tmp_path))


def test_own_file_counts_before_the_programs(tmp_path: Path) -> None:
    """Each is shown by the path under which its reader knows it."""
    write_files(tmp_path, {"stocks/a4.toml": "own = true\n"})
    own, other = find("stocks", "a4", tmp_path, HERE), find("stocks", "letter", tmp_path, HERE)
    assert isinstance(own, TomlFile)
    assert isinstance(other, TomlFile)
    assert (own.shown, own.content) == ("stocks/a4.toml", {"own": True})
    assert other.shown == "layouts/stocks/letter.toml"


@pytest.mark.parametrize("name", ["../families/four-port-boards", "", "A4.toml", "a4/../a4"])
def test_name_is_no_path(name: str, tmp_path: Path) -> None:
    """Nothing but the name of a file that stands there is found."""
    found = find("stocks", name, tmp_path, HERE)
    assert isinstance(found, Problem)
    assert (found.code, found.where) == ("stock-unknown", HERE)


def test_broken_file_is_told_not_hidden(tmp_path: Path) -> None:
    """The job's own file counts although it is broken: the program's does not step in silently."""
    write_files(tmp_path, {"stocks/a4.toml": "own = \n"})
    found = find("stocks", "a4", tmp_path, HERE)
    assert isinstance(found, Problem)
    assert (found.code, str(found.where)) == ("toml-syntax", "stocks/a4.toml:1")

"""Import contracts bite: an import that one forbids, planted in a copy of the package, is refused by it."""

import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from tests.paths import ROOT

CONTRACTS: list[dict[str, Any]] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"][
    "importlinter"
]["contracts"]
PLACES = {
    "cli": "app",
    "sheets": "walk",
    "site": "walk/causes",
    "tags": "kits",
    "catalog": "words",
    "draw": "marks",
}
"""A module of several rooms, high and low, none of them an exception of a contract that forbids packages."""


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A copy of the package with the project's contracts beside it."""
    shutil.copytree(ROOT / "tagmaker", tmp_path / "tagmaker", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path / "tagmaker"


def broken(package: Path, contract: str) -> list[str]:
    """What is not allowed to be imported, as one contract reports it; nothing where it is kept."""
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache", "--contract", contract],
        cwd=package.parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    lines = [line for line in done.stdout.splitlines() if " is not allowed to import " in line]
    assert bool(lines) == (done.returncode == 1), done.stdout + done.stderr
    return lines


def plants() -> Iterator[tuple[str, str, str]]:
    """For each contract that forbids packages: a module that is no exception of it, and each such package."""
    for contract in CONTRACTS:
        lines = contract.get("ignore_imports", ())
        allowed = {line.partition(" -> ")[0].removesuffix(".*") for line in lines}
        for forbidden in contract.get("forbidden_modules", ()):
            room = next(
                room
                for room, module in PLACES.items()
                if not {f"tagmaker.{room}", f"tagmaker.{room}.{module.replace('/', '.')}"} & allowed
            )
            yield contract["id"], f"{room}/{PLACES[room]}.py", forbidden


@pytest.mark.parametrize(("contract", "module", "forbidden"), list(plants()))
def test_a_package_that_is_anothers_alone_is_refused(
    contract: str, module: str, forbidden: str, package: Path
) -> None:
    """Even where the import stands within a function, for types only or under another name."""
    path = package / module
    source = path.read_text("utf-8")
    path.write_text(f"{source}\n\ndef planted() -> None:\n    import {forbidden} as other\n", "utf-8")
    name = f"tagmaker.{module.removesuffix('.py').replace('/', '.')}"
    assert broken(package, contract) == [f"tagmaker is not allowed to import {forbidden}:"], name


LAYERS = next(contract for contract in CONTRACTS if contract["id"] == "layers")["layers"]
ORDER = [layer.split(" | ") for layer in LAYERS]
UPWARDS = [(low[0], high[-1]) for high, low in pairwise(ORDER) if high != ["__main__"]]
BESIDE = [(rooms[0], rooms[1]) for rooms in ORDER if len(rooms) > 1]


@pytest.mark.parametrize(("importer", "imported"), [*UPWARDS, *BESIDE])
def test_no_room_imports_the_one_above_or_beside_it(importer: str, imported: str, package: Path) -> None:
    """Each step of the layers is planted once, upwards, and once between rooms of one layer."""
    plain = package / f"{importer}.py"
    path = plain if plain.exists() else package / importer / "planted.py"
    before = path.read_text("utf-8") if path.exists() else ""
    path.write_text(f"{before}\nimport tagmaker.{imported}\n", "utf-8")
    assert broken(package, "layers") == [f"tagmaker.{importer} is not allowed to import tagmaker.{imported}:"]


def test_a_new_room_must_be_given_its_place(package: Path) -> None:
    """A package that no layer names is refused."""
    (package / "attic").mkdir()
    (package / "attic" / "__init__.py").write_text("", "utf-8")
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache", "--contract", "layers"],
        cwd=package.parent, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert "attic" in done.stdout


def test_the_root_holds_rooms_and_little_else() -> None:
    """The root of the package: rooms, the manual, and the modules that every room may need."""
    found = {path.name for path in (ROOT / "tagmaker").iterdir() if path.name != "__pycache__"}
    modules = {name for name in found if "." in name}
    assert modules == {"__init__.py", "__main__.py", "measures.py", "problems.py", "py.typed", "units.py"}
    rooms = {name for layer in ORDER for name in layer} - {"__main__", "measures", "problems", "units"}
    assert found - modules - {"manual"} == rooms

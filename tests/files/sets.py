"""Sets of files to commit, and what stands in a folder."""

import json
from collections.abc import Mapping
from pathlib import Path

from tagmaker.files.output_set import open_output_set
from tagmaker.revisions.plan_file import PLAN_FILE, read_manifest

Files = dict[str, str]

OLD = {"walk.pdf": "old walk", "placards.pdf": "old placards"}
NEW = {"walk.pdf": "new walk", "register.csv": "new register"}


def whole(files: Mapping[str, str], *, partial: bool = False) -> Files:
    """A set's files together with the plan that names them."""
    plan = json.dumps({"files": [*files, PLAN_FILE], "partial": partial})
    return {**files, PLAN_FILE: plan}


def commit(out: Path, files: Mapping[str, str], *, partial: bool = False) -> None:
    """Write a set into OUT as the program does."""
    with open_output_set(out, read_manifest, partial=partial) as stage:
        for name, content in whole(files, partial=partial).items():
            stage.write(name, content.encode())
        stage.finish()


def put(folder: Path, files: Mapping[str, str]) -> None:
    """Files in a folder, put there by somebody else."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_text(content, encoding="utf-8")


def contents(folder: Path) -> Files | None:
    """The files of a folder and what is in them; None where there is no folder."""
    if not folder.exists():
        return None
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(folder.iterdir())}


def beside(out: Path) -> list[str]:
    """What stands in the folder that OUT stands in, OUT itself left out."""
    return sorted(path.name for path in out.parent.iterdir() if path.name != out.name)

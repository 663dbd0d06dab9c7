"""Walk items are data: those of every walk, and a job's own."""

from pathlib import Path

import pytest

from tagmaker.catalog.walk_items import PER, ROLES, walk_items
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.site.walks import ITEMS

OWN = '[[walk_item]]\nkey = "tilt"\nper = "used"\nrole = "installer"\ntext = "Unit level"\n'


def read(folder: Path, items: str) -> tuple[Job | None, list[str]]:
    """A small job with these items of its own, and what is wrong with it."""
    job, problems = read_job(write_files(folder, {"job.toml": f"{HEAD}{BOX}{UNIT}{items}"}))
    return job, [problem.as_text() for problem in problems]


def test_the_items_of_every_walk() -> None:
    """Power, cables apart, main refrigerant pipes, cover; polarity and shield: each thing asked once."""
    found = {per: tuple(item.key for item in walk_items() if item.per == per) for per in PER}
    assert found == ITEMS | {"shared": ("splitters",)}
    assert {item.key for item in walk_items() if item.printed} == {"splitters"}


def test_each_item_is_whole() -> None:
    """A key of its own, one of the roles, and words that fit a column."""
    keys = [item.key for item in walk_items()]
    assert sorted(set(keys)) == sorted(keys)
    assert {item.role for item in walk_items()} <= set(ROLES)
    assert all(0 < len(item.text) <= 80 for item in walk_items())


def test_a_job_adds_its_own(tmp_path: Path) -> None:
    """After those of every walk but for the last, the cover: nothing is looked at behind it."""
    job, problems = read(tmp_path, OWN)
    assert problems == []
    assert job is not None
    *before, own, last = job.walk_items
    assert (*before, last) == walk_items()
    assert last.key == "cover"
    assert (own.key, own.per, own.role, own.text) == ("tilt", "used", "installer", "Unit level")


def test_an_item_is_of_the_box_and_the_verifiers_unless_said(tmp_path: Path) -> None:
    """Key and text are enough."""
    job, problems = read(tmp_path, '[[walk_item]]\nkey = "clean"\ntext = "Ceiling clean"\n')
    assert problems == []
    assert job is not None
    assert (job.walk_items[-2].per, job.walk_items[-2].role) == ("box", "verifier")


WRONG = {
    "a kind": (OWN.replace("used", "unit"), "14: error: 'per' cannot be 'unit'"),
    "a role": (OWN.replace("installer", "plumber"), "15: error: 'role' cannot be 'plumber'"),
    "a key with a blank": (
        OWN.replace("tilt", "tilt angle"),
        "13: error: 'tilt angle' is not a valid item key",
    ),
    "a key of a figure": (OWN.replace("tilt", "9"), "13: error: '9' is not a valid item key"),
    "a key of every walk": (OWN.replace("tilt", "cover"), "13: error: item 'cover' already exists"),
    "a key given twice": (OWN + OWN, "18: error: item 'tilt' already exists"),
    "no key": (OWN.replace('key = "tilt"\n', ""), "12: error: key 'walk_item.key' is missing"),
    "no text": (OWN.replace('text = "Unit level"\n', ""), "12: error: key 'walk_item.text' is missing"),
    "a long text": (OWN.replace("Unit", "x" * 76), "16: error: 'text' must be one line of text, at most 80"),
    "a key that nobody knows": (f"{OWN}colour = 1\n", "17: error: unknown key 'colour'"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_item_is_told(case: str, tmp_path: Path) -> None:
    """What is wrong with a job's own item: one error, at its line."""
    items, told = WRONG[case]
    _, problems = read(tmp_path, items)
    (problem,) = problems
    assert problem.startswith(f"job.toml:{told}")

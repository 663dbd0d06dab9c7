"""Job folders read from text, for the tests of reading."""

from collections.abc import Iterable
from pathlib import Path

from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.problems import Problem
from tests.job_files import write_files

CSV = "unit,box,port,capacity (kBtu/h)\n"


def read(folder: Path, toml: str, **files: str | bytes) -> tuple[Job | None, tuple[Problem, ...]]:
    """A job of that `job.toml`; other files by name, with _ for each point and __ for each slash."""
    named = {name.replace("__", "/").replace("_", "."): content for name, content in files.items()}
    return read_job(write_files(folder, {"job.toml": toml, **named}))


def good(folder: Path, toml: str, **files: str | bytes) -> Job:
    """The same of a job without problems."""
    job, problems = read(folder, toml, **files)
    assert problems == ()
    assert job
    return job


def told(folder: Path, toml: str, **files: str | bytes) -> list[str]:
    """The first lines of what is told of a job."""
    return first_lines(read(folder, toml, **files)[1])


def first_lines(problems: Iterable[Problem]) -> list[str]:
    """Each problem's text without its hint."""
    return [problem.as_text().partition("\n")[0] for problem in problems]


def unit(tag: str, box: str = "BX-1", port: str = "A", capacity: str = "24 kBtu/h") -> str:
    """A [[unit]] of four lines and its heading."""
    return f'[[unit]]\nunit = "{tag}"\nbox = "{box}"\nport = "{port}"\ncapacity = "{capacity}"\n'

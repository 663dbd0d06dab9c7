"""The stages of a new job beside others: name its folder → compose its files → write the folder.

Takes the folder of all jobs, the new job's name, and a schedule, an example or nothing; gives the folder.
Unlike `start`, a schedule with errors begins a job too: its page shows each error at its cell, and it is
answered there.
"""

import unicodedata
from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.examples import EXAMPLES, example_files
from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.files.new_folder import write_folder
from tagmaker.files.plain import is_there, read_plain
from tagmaker.files.refused import cannot_write
from tagmaker.files.toml import CONTROL, FILE_BYTES_AT_MOST
from tagmaker.job.schedule.read import read_sheets
from tagmaker.problems import Problem, Where, error
from tagmaker.workflows.start import read_source
from tagmaker.workflows.start_text import NAME_AT_MOST, empty_text, schedule_text

__all__ = [
    "EXAMPLES",
    "FamilyChoice",
    "NewJob",
    "empty_job",
    "family_choices",
    "from_example",
    "from_schedule",
    "schedule_name",
]

SAME_NAME_AT_MOST = 99  # jobs whose folders would have one name
FILE_NAME_AT_MOST = 80  # characters
DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)),
}
"""Names that a folder or file must not have, as some systems take them for devices."""
SIGNS = " -_.()+"
"""Signs of a file's name that are kept as they are, beside letters and digits."""
NAME = Where("name")


class FamilyChoice(Struct, frozen=True):
    """A box family that a new job may be of: its name, what it is, and where its rules come from."""

    name: str
    title: str
    source: str


class NewJob(Struct, frozen=True):
    """A new job's folder; None where nothing was written, with the reason."""

    folder: Path | None
    problems: tuple[Problem, ...] = ()


def family_choices(folder: Path | None = None) -> list[FamilyChoice]:
    """The shipped families, and those of a job's folder: none is proposed, a box's rules are chosen."""
    loaded = (load_family(name, folder, Where(name))[0] for name in names("families", folder))
    return [FamilyChoice(each.name, each.title, each.source) for each in loaded if each]


def schedule_name(uploaded: str) -> str:
    """A plain name for a file whose own name is anybody's: no folder, no sign that means something."""
    own = uploaded.replace("\\", "/").rpartition("/")[2]
    kept = "".join(sign if sign.isalnum() or sign in SIGNS else "-" for sign in _plain(own))
    stem, point, ending = kept.rpartition(".")
    stem, ending = (stem, ending) if point and ending.strip() else (kept, "csv")
    stem = stem.strip(" .")[:FILE_NAME_AT_MOST] or "schedule"
    return f"{_no_device(stem)}.{ending.strip()}"


def from_schedule(jobs: Path, name: str, family_name: str, source: Path) -> NewJob:
    """A job around a copy of a schedule; refused only if the file cannot be read at all.

    The boxes are those of its readable rows, each of the least size that has its letters.
    """
    shown = schedule_name(source.name)
    sheets, unreadable = read_sheets(source, shown)
    if unreadable or not sheets:
        return NewJob(None, tuple(unreadable))
    family = _family(name, family_name)
    if isinstance(family, NewJob):
        return family
    read, _, _ = read_source(source)
    try:
        content = read_plain(source, FILE_BYTES_AT_MOST)
    except OSError as reason:
        return NewJob(None, (cannot_write(source, reason),))
    text = schedule_text(name.strip(), family, replace(read, path=source.with_name(shown)))
    return _write(jobs, name, {"job.toml": text.encode(), shown: content})


def from_example(jobs: Path, example: str) -> NewJob:
    """A copy of an example job (a name of `EXAMPLES`)."""
    if example not in EXAMPLES:
        known = f"known: {', '.join(EXAMPLES)}"
        return NewJob(None, (error("usage-wrong", f"no example is named {example!r}", NAME, known),))
    return _write(jobs, example, example_files(example))


def empty_job(jobs: Path, name: str, family_name: str) -> NewJob:
    """A job without boxes and units, every key explained in its file."""
    family = _family(name, family_name)
    if isinstance(family, NewJob):
        return family
    return _write(jobs, name, {"job.toml": empty_text(name.strip(), family).encode()})


def _family(name: str, family_name: str) -> Family | NewJob:
    """The family of a new job, or why there is none: its own name is no name, or the family is not known."""
    text = name.strip()
    if not text or len(text) > NAME_AT_MOST or CONTROL.search(text) or "\n" in text or "\t" in text:
        hint = f"1 to {NAME_AT_MOST} characters on one line"
        return NewJob(None, (error("value-wrong", f"{text!r} cannot be a job's name", NAME, hint),))
    family, problems = load_family(family_name, None, Where("family"))
    return family or NewJob(None, problems)


def _write(jobs: Path, name: str, files: Mapping[str, bytes]) -> NewJob:
    """The files in a new folder that is named after the job."""
    folder = _free(jobs, _folder_name(name))
    if folder is None:
        hint = "give the job another name"
        return NewJob(None, (error("output-foreign", f"too many folders are named {name!r}", NAME, hint),))
    is_written, problems = write_folder(folder, files, lambda _: (True, ()))
    return NewJob(folder if is_written else None, problems)


def _folder_name(name: str) -> str:
    """Letters and digits of a name in small letters, joined by hyphens."""
    words = "".join(sign if sign.isalnum() else " " for sign in _plain(name).casefold()).split()
    return _no_device("-".join(words)[:NAME_AT_MOST].strip("-") or "job")


def _free(jobs: Path, name: str) -> Path | None:
    """A folder's path that is not there yet: the name, or the name and a number."""
    names = (name, *(f"{name}-{number}" for number in range(2, SAME_NAME_AT_MOST + 1)))
    return next((jobs / each for each in names if not is_there(jobs / each)), None)


def _no_device(name: str) -> str:
    return f"job-{name}" if name.partition(".")[0].casefold() in DEVICES else name


def _plain(text: str) -> str:
    """A text in which one sign has one form."""
    return unicodedata.normalize("NFC", text)

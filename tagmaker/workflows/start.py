"""The stages of `start`: load the family → read the schedule → compose job.toml → check it → keep the folder.

Takes a new folder's name, a family, and a schedule or nothing; gives a job folder that runs, or nothing.
Every key is explained in a comment, and what was inferred from the schedule is marked "confirm".
"""

from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.start import start_parts
from tagmaker.files.new_folder import check_new_folder, write_folder
from tagmaker.files.plain import read_plain
from tagmaker.files.template import fill
from tagmaker.files.toml import FILE_BYTES_AT_MOST, TAG
from tagmaker.job.schedule.columns import quoted
from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices, Unknown
from tagmaker.problems import Problem, Where, error, has_errors
from tagmaker.workflows.check import check
from tagmaker.workflows.planning import plan

__all__ = ["EXAMPLE_FAMILY", "StartOutline", "Started", "families", "start"]

EXAMPLE_FAMILY = "four-port-boards"
"""The family of the example job; the boxes of a schedule are never assumed to be of it."""
DRAFT = 'status = "draft"  # prints DRAFT on everything; "issued" once all is confirmed'
HEADER_CODES = {
    "column-unknown", "column-ambiguous", "column-hidden", "column-twice", "capacity-unit", "length-unit",
}  # fmt: skip
"""Problems of headers that [columns] answers; a cell's unit would have started no job."""
READINGS_AT_MOST = 4  # of a schedule: headers, then units, of a table and of a table below it
BOX_OF_EXAMPLE = "BX-1"
NAME_AT_MOST = 60  # characters of a job's name


class StartOutline(Struct, frozen=True):
    """What `start --json` prints beside the problems: the folder as named, and its files."""

    folder: str
    files: tuple[str, ...]


class Started(Struct, frozen=True):
    """What `start` wrote: the files of the new folder, none where nothing was written.

    `boxes` and `units` count those of a schedule.
    """

    folder: Path
    problems: tuple[Problem, ...]
    files: tuple[str, ...] = ()
    boxes: int = 0
    units: int = 0

    @property
    def is_to_mend(self) -> bool:
        """Whether a person must mend the job before it runs; headers to be explained are no mistake."""
        return any(has_errors([each]) and each.code not in HEADER_CODES for each in self.problems)

    @property
    def outline(self) -> StartOutline:
        """The same as a record of the JSON keys."""
        return StartOutline(str(self.folder), self.files)


class _Source(Struct, frozen=True):
    """A schedule that a job is started from, and the headers that its [columns] is to explain."""

    path: Path
    schedule: Schedule
    unknown: tuple[Unknown, ...] = ()


def families() -> list[str]:
    """The names of the shipped box families."""
    return names("families", None)


def start(folder: Path, source: Path | None, family_name: str) -> Started:
    """Write a new job folder, or nothing where it would not run; headers alone may be left to explain.

    `source` is a schedule, None for an example of one box. Existing files are never touched.
    """
    refused = check_new_folder(folder)
    if refused:
        return Started(folder, (refused,))
    family, wrong = load_family(family_name, None, Where("--family"))
    if family is None:
        return Started(folder, wrong)
    if source is None:
        return _write(folder, {"job.toml": _example(folder, family)}, ())
    read, problems = _read(source)
    if read is None:
        return Started(folder, problems)
    started = Started(folder, problems)
    content = read_plain(source, FILE_BYTES_AT_MOST)
    files: dict[str, str | bytes] = {"job.toml": _from_schedule(folder, family, read), source.name: content}
    for must_fit in (
        True,
        False,
    ):  # texts too long for their labels: the folder is needed to choose other stocks
        started = _write(folder, files, problems, must_fit=must_fit)
        if started.files:
            return replace(started, boxes=len(_boxes(read.schedule)), units=len(read.schedule.rows))
    return started


def _read(path: Path) -> tuple[_Source | None, tuple[Problem, ...]]:
    """A schedule without errors, and its problems; None where a person must mend it first.

    Columns whose header or unit is not known are left out and reported: the schedule is read again with
    [columns] that leave them out, so that the rest of the job can be written; the person answers in job.toml.
    """
    unknown: dict[str, Unknown] = {}
    of_headers: list[Problem] = []
    for _ in range(READINGS_AT_MOST):
        schedule, problems = read_schedule(path, path.name, Choices(dict.fromkeys(unknown, "")))
        more = {each.header: each for sheet in schedule.sheets for each in sheet.unknown}
        if not more.keys() - unknown.keys():
            break
        messages = tuple(each.message for each in more.values())
        of_headers += [problem for problem in problems if problem.message.startswith(messages)]
        unknown |= more
    found = (*of_headers, *problems)
    if has_errors(problems):
        return None, found
    if not schedule.rows:
        message = f"{path.name} has no row that names a unit, a box and a port"
        return None, (*found, error("columns-missing", message, Where(path.name)))
    return _Source(path, schedule, tuple(unknown.values())), found


def _write(
    folder: Path, files: dict[str, str | bytes], reported: tuple[Problem, ...], *, must_fit: bool = True
) -> Started:
    """Write the folder if a job in it has no errors but those reported of the schedule already.

    Without `must_fit` it is enough that the job can be planned: texts may be too long for their labels.
    """
    known = {(problem.code, problem.message) for problem in reported}

    def judge(work: Path) -> tuple[bool, tuple[Problem, ...]]:
        found = check(work).problems
        judged = found if must_fit else plan(work).problems
        return all((each.code, each.message) in known for each in judged if has_errors([each])), found

    content = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
    is_written, problems = write_folder(folder, content, judge)
    found = {(problem.code, problem.message) for problem in problems}
    unsaid = tuple(each for each in reported if (each.code, each.message) not in found)
    return Started(folder, (*unsaid, *problems), tuple(files) if is_written else ())


# --- the text of job.toml ---------------------------------------------------------------------------------


def _example(folder: Path, family: Family) -> str:
    """A complete job of one box of the family's least size, with every optional key as a comment."""
    size = min(family.port_counts)
    sizes = ", ".join(map(str, sorted(family.port_counts)))
    boxes = [
        _part("box", tag=quoted(BOX_OF_EXAMPLE), ports=str(size), why=f"sizes of this family: {sizes}"),
        _box_keys(family),
    ]
    units = [
        _part("unit", tag=quoted(f"FC-{number}"), box=quoted(BOX_OF_EXAMPLE), port=quoted(letter), room=room)
        for number, (letter, room) in enumerate(
            zip(family.port_names[:size], ('"Reading room"', '"Office"'), strict=False), start=1
        )
    ]
    head = _head(folder, family, _part("inline"), DRAFT)
    return "\n".join([head, _part("columns"), _part("print"), *boxes, *units, _part("unit_keys")])


def _from_schedule(folder: Path, family: Family, source: _Source) -> str:
    """A job of the schedule's boxes; what was inferred is marked, unknown headers are listed in comments."""
    names_ = [sheet.where.sheet for sheet in source.schedule.sheets if sheet.rows and sheet.where.sheet]
    lines = [f"schedule = {quoted(source.path.name)}"]
    if names_:
        listed = ", ".join(map(quoted, names_))
        lines.append(f"# sheets = [{listed}]  # the sheets to read; default: every sheet with a header")
    columns = _columns(source.unknown) if source.unknown else _part("columns")
    given = {box.key for box in source.schedule.boxes if box.texts.get("level")}
    levels = {box: level for box, level in source.schedule.levels().items() if box not in given}
    boxes = [
        _part("box", tag=quoted(tag), ports=str(ports), why=why) + _level(levels.get(tag.upper(), ""))
        for tag, ports, why in _sized(source.schedule, family)
    ]
    head = _head(folder, family, "\n".join(lines), DRAFT)
    empty = _empty_boxes(source.schedule)
    return "\n".join([head, columns, _part("print"), *boxes, *empty, _box_keys(family)])


def _level(level: str) -> str:
    """A box's line of its level, as the name of its sheet gives it."""
    return f"level = {quoted(level)}  # confirm: from the name of its sheet\n" if level else ""


def _empty_boxes(schedule: Schedule) -> list[str]:
    """Boxes with spare ports only, as comments: in a job, a box without units is an error."""
    known = {row.box.upper() for row in schedule.rows}
    tags: dict[str, str] = {}
    for spare in schedule.spares:
        if TAG.fullmatch(spare.box) and spare.box.upper() not in known:
            tags.setdefault(spare.box.upper(), spare.box)
    why = "confirm: the schedule names no unit on it, only spare ports"
    return [f"# [[box]]  # {why}\n# tag = {quoted(tag)}\n" for tag in tags.values()]


def _columns(unknown: Iterable[Unknown]) -> str:
    """[columns] with a commented line for each header that a person must explain, in the order met."""
    lines = [f"# {quoted(one.header)} = {quoted(one.answer)}  # confirm: {one.message}" for one in unknown]
    return "\n".join(['[columns]  # confirm: what these headers mean; "" leaves a column out', *lines]) + "\n"


def _sized(schedule: Schedule, family: Family) -> list[tuple[str, int, str]]:
    """(tag, ports, why) of each box: as a sheet of boxes gives it, else the least that has its letters."""
    sized: list[tuple[str, int, str]] = []
    sizes = sorted(family.port_counts)
    given = {box.key: box for box in schedule.boxes if box.ports}
    for tag, letters in _boxes(schedule).items():
        if box := given.get(tag.upper()):
            sized.append(
                (tag, box.ports, f"as in {box.places['ports']}; sizes: {', '.join(map(str, sizes))}")
            )
            continue
        highest = max(letters, key=lambda letter: (family.port_names.find(letter), letter))
        least = family.port_names.find(highest) + 1
        fitting = next((size for size in sizes if size >= least > 0), sizes[-1])
        why = f"{highest} is the highest letter named; sizes: {', '.join(map(str, sizes))}"
        sized.append((tag, fitting, why))
    return sized


def _boxes(schedule: Schedule) -> dict[str, set[str]]:
    """The boxes that have units, as first written, with every letter named, those of spare ports too.

    In the order met. A tag in another case is the same box.
    """
    written: dict[str, str] = {}
    letters: dict[str, set[str]] = {}
    for row in schedule.rows:
        tag = written.setdefault(row.box.upper(), row.box)
        letters.setdefault(tag, set()).update(part.strip() for part in row.port.upper().split("+"))
    for spare in schedule.spares:
        if spare.box.upper() in written:
            letters[written[spare.box.upper()]].update(spare.letters)
    return letters


def _head(folder: Path, family: Family, schedule: str, status: str) -> str:
    name = folder.resolve().name
    return _part(
        "head",
        name=quoted(name[:NAME_AT_MOST]),
        family=quoted(family.name),
        family_title=family.title,
        schedule=schedule.rstrip("\n"),
        status=status,
    )


def _box_keys(family: Family) -> str:
    banks = ", ".join(quoted(bank.name) for bank in family.banks)
    return _part("box_keys", bank_names=f"[{banks}]", family=quoted(family.name))


def _part(name: str, /, **words: str) -> str:
    """A part of the new file with its words filled in."""
    return fill(start_parts()[name], words)

"""The stages of `start`: a commented job folder that runs, from nothing or from a schedule."""

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

__all__ = ["EXAMPLE_FAMILY", "Started", "families", "start", "started_lines"]

EXAMPLE_FAMILY = "four-port-boards"
"""What the example of a new job is of; a schedule's boxes are never taken to be of it."""
DRAFT = 'status = "draft"  # prints DRAFT on everything; "issued" once all is confirmed'
ISSUED = 'status = "issued"  # confirm: "draft" prints DRAFT, for which some label here has no room'
HEADER_CODES = {"column-unknown", "column-ambiguous", "column-hidden"}
ATTEMPTS = ((DRAFT, True), (ISSUED, True), (DRAFT, False))
"""Status, and whether all must have room on its label: the last is for the person to choose other stocks."""
BOX_OF_EXAMPLE = "BX-1"
NAME_AT_MOST = 60  # characters of a job's name


class Started(Struct, frozen=True):
    """What `start` did: the files of the new folder, none where nothing was written."""

    problems: tuple[Problem, ...]
    files: tuple[str, ...] = ()
    boxes: int = 0
    units: int = 0


class _Source(Struct, frozen=True):
    """A schedule that a job is started from, and the headers that its [columns] is to explain."""

    path: Path
    schedule: Schedule
    unknown: tuple[Unknown, ...] = ()


def families() -> list[str]:
    """The names of the shipped box families."""
    return names("families", None)


def start(folder: Path, source: Path | None, family_name: str) -> Started:
    """Write a new job folder, or nothing where it would not run; headers alone may be left to explain."""
    refused = check_new_folder(folder)
    if refused:
        return Started((refused,))
    family, wrong = load_family(family_name, None, Where("--family"))
    if family is None:
        return Started(wrong)
    if source is None:
        return _write(folder, {"job.toml": _example(folder, family)}, ())
    read, problems = _read(source)
    if read is None:
        return Started(problems)
    started = Started(problems)
    content = read_plain(source, FILE_BYTES_AT_MOST)
    for status, has_room in ATTEMPTS:
        text = _from_schedule(folder, family, read, status)
        files: dict[str, str | bytes] = {"job.toml": text, source.name: content}
        started = _write(folder, files, problems, has_room=has_room)
        if started.files:
            return replace(started, boxes=len(_boxes(read.schedule)), units=len(read.schedule.rows))
    return started


def _read(path: Path) -> tuple[_Source | None, tuple[Problem, ...]]:
    """A schedule without errors; columns whose headers nobody knows are left out, and told."""
    schedule, problems = read_schedule(path, path.name)
    unknown = tuple(each for sheet in schedule.sheets for each in sheet.unknown)
    asked: list[Problem] = []
    if unknown:
        said = {each.message for each in unknown}
        asked = [problem for problem in problems if problem.message in said]
        schedule, problems = read_schedule(
            path, path.name, Choices(dict.fromkeys((each.header for each in unknown), ""))
        )
    told = (*asked, *problems)
    if has_errors(problems):
        return None, told
    if not schedule.rows:
        message = f"{path.name} has no row that names a unit, a box and a port"
        return None, (*told, error("columns-missing", message, Where(path.name)))
    return _Source(path, schedule, unknown), told


def _write(
    folder: Path, files: dict[str, str | bytes], told: tuple[Problem, ...], *, has_room: bool = True
) -> Started:
    """Write the folder if a job in it runs, but for problems told already; without room, if it is planned."""
    found: list[Problem] = []
    known = {(problem.code, problem.message) for problem in told}

    def runs(work: Path) -> bool:
        found[:] = check(work).problems
        judged = found if has_room else plan(work).problems
        return all((each.code, each.message) in known for each in judged if has_errors([each]))

    content = {name: text.encode() if isinstance(text, str) else text for name, text in files.items()}
    written, refused = write_folder(folder, content, runs)
    if refused:
        return Started((*found, refused))
    return Started(tuple(found), tuple(files) if written else ())


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


def _from_schedule(folder: Path, family: Family, source: _Source, status: str) -> str:
    """A job of the schedule's boxes; what was inferred is marked, what nobody knows stands as a comment."""
    names_ = [sheet.where.sheet for sheet in source.schedule.sheets if sheet.rows and sheet.where.sheet]
    lines = [f"schedule = {quoted(source.path.name)}"]
    if names_:
        listed = ", ".join(map(quoted, names_))
        lines.append(f"# sheets = [{listed}]  # the sheets that count; else all that have a header")
    columns = _columns(source.unknown) if source.unknown else _part("columns")
    boxes = [
        _part("box", tag=quoted(tag), ports=str(ports), why=why)
        for tag, ports, why in _sized(source.schedule, family)
    ]
    head = _head(folder, family, "\n".join(lines), status)
    empty = _empty_boxes(source.schedule)
    return "\n".join([head, columns, _part("print"), *boxes, *empty, _box_keys(family)])


def _empty_boxes(schedule: Schedule) -> list[str]:
    """Boxes of which the schedule names spare ports only, as comments: one without units is an error."""
    known = {row.box.upper() for row in schedule.rows}
    tags: dict[str, str] = {}
    for spare in schedule.spares:
        if TAG.fullmatch(spare.box) and spare.box.upper() not in known:
            tags.setdefault(spare.box.upper(), spare.box)
    why = "confirm: the schedule names no unit on it, only spare ports"
    return [f"# [[box]]  # {why}\n# tag = {quoted(tag)}\n" for tag in tags.values()]


def _columns(unknown: Iterable[Unknown]) -> str:
    """[columns] with a comment for each header that is to be explained, in the order met."""
    each = {one.header: one.message for one in unknown}
    lines = [f'# {quoted(header)} = ""  # confirm: {said}' for header, said in each.items()]
    return "\n".join(['[columns]  # confirm: what these headers mean; "" leaves a column out', *lines]) + "\n"


def _sized(schedule: Schedule, family: Family) -> list[tuple[str, int, str]]:
    """Each box with the least size that has its highest letter, and why."""
    sized: list[tuple[str, int, str]] = []
    sizes = sorted(family.port_counts)
    for tag, letters in _boxes(schedule).items():
        highest = max(letters, key=lambda letter: (family.port_names.find(letter), letter))
        least = family.port_names.find(highest) + 1
        fitting = next((size for size in sizes if size >= least > 0), sizes[-1])
        why = f"{highest} is the highest letter named; sizes: {', '.join(map(str, sizes))}"
        sized.append((tag, fitting, why))
    return sized


def _boxes(schedule: Schedule) -> dict[str, set[str]]:
    """The boxes of units in the order met, as first written, with the letters named, spare ones too."""
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


def started_lines(started: Started, folder: Path) -> list[str]:
    """What `start` prints."""
    if not started.files:
        return ["nothing was written"]
    lines = [f"{folder}: {', '.join(started.files)}"]
    if started.boxes:
        boxes = f"{started.boxes} {'box' if started.boxes == 1 else 'boxes'}"
        units = f"{started.units} {'unit' if started.units == 1 else 'units'}"
        lines.append(f'{boxes}, {units}; look at every line marked "confirm"')
    if any(has_errors([problem]) and problem.code not in HEADER_CODES for problem in started.problems):
        return [*lines, f"mend what is told above in {folder / 'job.toml'}; then it runs"]
    if has_errors(started.problems):
        return [*lines, f"say what the headers mean under [columns] in {folder / 'job.toml'}; then it runs"]
    return [*lines, f"next: tagmaker make {folder}"]

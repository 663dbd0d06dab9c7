"""A job folder read whole: job.toml, its schedules, the families and stocks that it names.

Takes a path; gives the job, if boxes were found, and every problem of all its files. A wrong row or key never
ends the reading. What it makes doubtful is marked instead: problems name the boxes that they touch, and
`part_read` the boxes whose units are not all known, so that no check takes a missing row for a spare port.
"""

import re
from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.columns import ColumnKind, column_words
from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import outside
from tagmaker.catalog.walk_items import WalkItem, read_item, walk_items
from tagmaker.files.plain import is_folder, is_there, lies_within
from tagmaker.files.toml import QUANTITY, TAG, Table, TomlFile, did_you_mean, read_toml
from tagmaker.job.box_facts import BOX_TEXTS, box_of_sheet, merged
from tagmaker.job.choices import BEGIN_HINT, begin_hint, half_changed, job_file, read_choices, report_unused
from tagmaker.job.model import Bands, BoxRow, Job, Mains, UnitRow
from tagmaker.job.prints import read_prints
from tagmaker.job.schedule.read import Schedule, read_sheets, understand
from tagmaker.job.schedule.result import BoxFacts, Choices, Spare
from tagmaker.job.schedule.rows import Cell, unit_row, with_defaults
from tagmaker.job.schedule.shared_causes import first_few
from tagmaker.job.schedule.sheet import ROWS_AT_MOST
from tagmaker.job.sources import ReadJob, Source
from tagmaker.job.systems import read_systems
from tagmaker.problems import Problem, Severity, Where, error
from tagmaker.units import CAPACITY_UNITS

__all__ = ["read_job", "read_job_file", "read_job_sources"]

REVISION = re.compile(r"[A-Za-z0-9][A-Za-z0-9.-]{0,7}", re.ASCII)
BOXES_AT_MOST = 2_000  # four campuses; more is a file of another kind
MAINS = ("liquid", "suction", "hot_gas")


def read_job(path: Path) -> tuple[Job | None, tuple[Problem, ...]]:
    """The job in a folder (or of a TOML file) with every problem found; None where nothing can be planned."""
    read = read_job_sources(path)
    return read.job, read.problems


def read_job_sources(path: Path) -> ReadJob:
    """The same with the schedules that it was read from."""
    file_path = job_file(path)
    if not is_there(file_path):
        missing = error("job-missing", f"no {file_path.name} here", Where(path.as_posix()), begin_hint(path))
        return ReadJob(None, (missing,))
    if is_folder(path) and not lies_within(file_path, path):
        return ReadJob(None, (outside(file_path.name, Where(path.as_posix())),))
    if problems := half_changed(file_path.parent):
        return ReadJob(None, problems)
    file = read_toml(file_path, file_path.name)
    if isinstance(file, Problem):
        return ReadJob(None, (file,))
    return _read(file, file_path.parent)


def read_job_file(file: TomlFile, folder: Path) -> tuple[Job | None, tuple[Problem, ...]]:
    """The job of a TOML file that was read already."""
    read = _read(file, folder)
    return read.job, read.problems


def _read(file: TomlFile, folder: Path) -> ReadJob:
    reading = _Reading(file, folder, [])
    job = reading.job()
    return ReadJob(job, _once(reading.problems), tuple(reading.sources))


def _once(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each problem once, with all the boxes that it touches: several boxes may name the same bad file."""
    boxes: dict[Problem, tuple[str, ...]] = {}
    for problem in problems:
        bare = replace(problem, boxes=())
        whole_job = not problem.boxes or not boxes.get(bare, problem.boxes)
        boxes[bare] = () if whole_job else (*boxes.get(bare, ()), *problem.boxes)
    return tuple(replace(problem, boxes=touched) for problem, touched in boxes.items())


class _Reading(Struct):
    """One pass over a job; every part appends to the same list of problems."""

    file: TomlFile
    folder: Path
    problems: list[Problem]
    spares: list[Spare] = []
    facts: dict[str, BoxFacts] = {}  # of sheets of boxes, by tag in capitals
    sources: list[Source] = []

    def job(self) -> Job | None:
        """All parts in the order in which their problems are best read; None without any box."""
        top = Table.whole(self.file, self.problems)
        head = top.table("job")
        if not top.has("job"):
            top.wrong("key-missing", "", "the table [job] is missing", BEGIN_HINT)
        choices = read_choices(top, head)
        schedule, of_units = self._schedule(top, head, choices)
        boxes = _with_levels(self._boxes(top, head), schedule)
        before = len(self.problems)  # problems from here on may hide rows of units
        units = [*self._inline_units(top, choices), *schedule.rows]
        self.problems += of_units
        self._check_spares(boxes)
        if len(units) > ROWS_AT_MOST:
            message = f"there are {len(units):,} rows; the limit is {ROWS_AT_MOST:,}"
            head.wrong("value-wrong", "schedule", message)
            units = units[:ROWS_AT_MOST]
        part_read = self._part_read(boxes, self.problems[before:])
        job = Job(
            name=head.text("name", required=True, at_most=60),
            number=head.text("number", at_most=24),
            revision=self._revision(head),
            date=head.date("date"),
            is_draft=head.choice("status", ("draft", "issued"), "issued") == "draft",
            refrigerant=head.text("refrigerant", at_most=24),
            site=head.text("site", at_most=60),
            prepared_by=head.text("prepared_by", at_most=40),
            capacity_unit=head.choice("capacity_unit", CAPACITY_UNITS, CAPACITY_UNITS[0]),
            prints=read_prints(top.table("print"), self.folder),
            boxes=boxes,
            units=self._known_units(units, boxes),
            part_read=part_read,
            folder=self.folder,
            where=self.file.where(("job",)),
            bands=self._bands(top),
            walk_items=self._walk_items(top),
            systems=read_systems(top, schedule.systems),
        )
        head.close()
        top.close()
        return job if boxes else None

    def _revision(self, head: Table) -> str:
        """A whole number or a short text, as drawings have either."""
        value = head.take("revision", {"type": ["integer", "string"], "pattern": f"^{REVISION.pattern}$"})
        if value is None:
            return "0"
        if isinstance(value, bool) or not isinstance(value, int | str) or not REVISION.fullmatch(str(value)):
            head.wrong(
                "value-wrong",
                "revision",
                f"revision {value!r} is not a whole number or a text of at most 8 characters",
                'use letters, digits, points and hyphens: 2 or "P02"',
            )
            return "0"
        return str(value)

    # --- boxes -------------------------------------------------------------------------------------------

    def _boxes(self, top: Table, head: Table) -> tuple[BoxRow, ...]:
        """The boxes in the job's order, which is the walking order; a tag is used once."""
        default = self._family(head) if head.has("family") else None
        tables = top.tables("box", BOXES_AT_MOST)
        if not tables and not self.facts:
            top.wrong(
                "key-missing", "", "the job has no box", "each [[box]] needs a tag and its number of ports"
            )
        rows: dict[str, BoxRow] = {}
        for table in tables:
            row = self._box(table, head, default)
            if row and row.key in rows:
                table.wrong(
                    "box-twice", "tag", f"box {row.tag} is listed twice", "give each box a different tag"
                )
            elif row:
                rows[row.key] = row
        rows |= self._listed_boxes(head, default)
        if len(rows) > BOXES_AT_MOST:
            top.wrong("value-wrong", "", f"there are {len(rows):,} boxes, the limit is {BOXES_AT_MOST:,}")
        return tuple(rows.values())[:BOXES_AT_MOST]

    def _listed_boxes(self, head: Table, default: Family | None) -> dict[str, BoxRow]:
        """The boxes that only a sheet of boxes lists, in its order."""
        declared = self._declared()
        found = [
            box_of_sheet(facts, default, head) for key, facts in self.facts.items() if key not in declared
        ]
        self.problems += [each for each in found if isinstance(each, Problem)]
        return {each.key: each for each in found if isinstance(each, BoxRow)}

    def _family(self, table: Table) -> Family | None:
        """The family that a table names, its problems marked with the table's boxes."""
        name = table.text("family", required=True)
        if not name:
            return None
        family, problems = load_family(name, self.folder, table.where("family"))
        self.problems += [replace(problem, boxes=table.boxes) for problem in problems]
        return family

    def _box(self, table: Table, head: Table, default: Family | None) -> BoxRow | None:
        """One box; None where its tag, size or family cannot be read."""
        tag = table.tag("tag", required=True)
        table.boxes = (tag.upper(),) if tag else ()
        if not table.has("family") and not head.has("family"):
            table.wrong(
                "key-missing",
                "",
                "no family is named for this box",
                'a box\'s rules are chosen, never assumed: write family = "…" in [job] or here',
            )
        family = self._family(table) if table.has("family") else default
        values = {key: table.text(key, at_most=60) for key in BOX_TEXTS}
        facts = self.facts.get(tag.upper())
        ports = table.whole_number("ports", least=1)
        values, ports = merged(table, values, ports, facts)
        if not ports and not table.has("ports"):
            table.wrong("key-missing", "ports", "key 'box.ports' is missing")
        shown = table.text("shown", tag, at_most=24)
        banks = self._bank_names(table, family)
        mains = self._mains(table)
        table.take("family")
        table.close()
        if not tag or not ports or family is None:
            return None
        return BoxRow(
            tag=tag,
            ports=ports,
            family=family,
            shown=shown,
            bank_names=banks,
            where=table.where(),
            mains=mains,
            **values,
        )

    def _bank_names(self, table: Table, family: Family | None) -> tuple[str, ...]:
        """The banks' names as marked on the board in hand, else the family's."""
        names = table.texts("bank_names")
        if family is None:
            return names
        count = len(family.banks)
        if names and (
            len(names) != count or len({name.upper() for name in names}) != count or max(map(len, names)) > 24
        ):
            message = f"'bank_names' must name {count} different banks in at most 24 characters each"
            table.wrong("value-wrong", "bank_names", message)
            names = ()
        return names or tuple(bank.name for bank in family.banks)

    def _bands(self, top: Table) -> Bands | None:
        """The wish for bands; an empty [bands] is one."""
        table = top.table("bands")
        interval = table.length("interval")
        table.close()
        return Bands(interval, top.where("bands")) if top.has("bands") else None

    def _walk_items(self, top: Table) -> tuple[WalkItem, ...]:
        """The walk's items, the job's own before the last of every walk: it ends the work on a box."""
        *items, last = walk_items()
        for table in top.tables("walk_item"):
            item = read_item(table)
            if item and item.key in {each.key for each in (*items, last)}:
                table.wrong("value-wrong", "key", f"item {item.key!r} already exists", "give it another key")
            elif item:
                items.append(item)
        return (*items, last)

    def _mains(self, box: Table) -> Mains | None:
        """The pipes that feed a box, where the job gives any."""
        table = box.table("mains")
        table.boxes = box.boxes
        given = ((kind, table.length(kind)) for kind in MAINS)
        tubes = {kind: tube for kind, tube in given if tube}
        mains = Mains(tubes, table.length("insulation"), table.length("run"))
        table.close()
        return mains if box.has("mains") else None

    # --- units -------------------------------------------------------------------------------------------

    def _inline_units(self, top: Table, choices: Choices) -> list[UnitRow]:
        """The [[unit]] tables, read as a schedule's rows are."""
        keys = column_words().kind_of
        rows: list[UnitRow] = []
        for table in top.tables("unit", ROWS_AT_MOST):
            box = str(table.content.get("box", "")).strip()
            table.boxes = (box.upper(),) if TAG.fullmatch(box) else ()
            found = {key: _cell(table, key, kind) for key, kind in keys.items()}
            cells = {key: cell for key, cell in found.items() if cell}
            table.close()
            row, problems = unit_row(cells, table.where())
            self.problems += problems
            rows += [with_defaults(row, choices.defaults)] if row else []
        return rows

    def _schedule(self, top: Table, head: Table, choices: Choices) -> tuple[Schedule, list[Problem]]:
        """All schedules as one, and their problems, which are reported after those of the boxes.

        They must be in the job's folder.
        """
        before = len(self.problems)
        for name in head.texts("schedule"):
            path = self.folder / name
            if not lies_within(path, self.folder):
                self.problems.append(outside(f"schedule {name!r}", head.where("schedule")))
                continue
            sheets, problems = read_sheets(path, name)
            found = Schedule()
            if not problems:
                found, problems = understand(sheets, name, choices)
            self.sources.append(Source(name, tuple(sheets), found))
            self.problems += problems
        report_unused(top, head, choices, [source.schedule for source in self.sources])
        schedule = Schedule(tuple(sheet for source in self.sources for sheet in source.schedule.sheets))
        self.spares = schedule.spares
        self.problems += self._take_facts(schedule)
        of_units = self.problems[before:]
        del self.problems[before:]
        return schedule, of_units

    def _take_facts(self, schedule: Schedule) -> list[Problem]:
        """Keep what sheets of boxes give; a box on two of them is a problem."""
        twice: list[Problem] = []
        for facts in schedule.boxes:
            if self.facts.setdefault(facts.key, facts) is not facts:
                hint = f"see {self.facts[facts.key].where}"
                message = f"box {facts.tag} is listed twice"
                twice.append(error("box-twice", message, facts.where, hint, (facts.key,)))
        return twice

    def _check_spares(self, boxes: tuple[BoxRow, ...]) -> None:
        """Report a spare port that the box does not have: box and schedule disagree on the size."""
        known = {box.key: box for box in boxes}
        for spare in self.spares:
            box = known.get(spare.box.upper())
            letters = box.family.port_names[: box.ports] if box else ""
            if box and not all(len(each) == 1 and each in letters for each in spare.letters):
                message = f"{box.tag} has no port {spare.port!r}, which is spare here"
                hint = f"ports of {box.tag}: {', '.join(letters)}"
                self.problems.append(error("port-unknown", message, spare.where, hint, (box.key,)))

    def _part_read(self, boxes: tuple[BoxRow, ...], of_units: list[Problem]) -> frozenset[str]:
        """Boxes with unreadable rows; all boxes if a bad row cannot be assigned to one."""
        if any(not problem.boxes and problem.severity is Severity.ERROR for problem in of_units):
            return frozenset(box.key for box in boxes)
        return frozenset(box for problem in self.problems for box in problem.boxes)

    def _known_units(self, units: Iterable[UnitRow], boxes: tuple[BoxRow, ...]) -> tuple[UnitRow, ...]:
        """The units whose box exists; a box that was declared but is itself wrong is reported once, there."""
        known = {box.key: box.tag for box in boxes}
        declared = self._declared() | self.facts.keys()
        good: list[UnitRow] = []
        unknown: dict[str, list[UnitRow]] = {}
        for unit in units:
            if unit.box.upper() in known:
                good.append(unit)
            elif unit.box.upper() not in declared:
                unknown.setdefault(unit.box.upper(), []).append(unit)
        self.problems += [_unknown_box(of_box, known.values()) for of_box in unknown.values()]
        return tuple(good)

    def _declared(self) -> set[str]:
        """The tags in capitals of the [[box]] tables as written, those with problems too."""
        value = self.file.content.get("box")
        tables = [each for each in value if isinstance(each, dict)] if isinstance(value, list) else []
        return {str(table.get("tag", "")).strip().upper() for table in tables}


def _unknown_box(units: list[UnitRow], known: Iterable[str]) -> Problem:
    """The problem of a box that units name and the job does not have: one cause, however many units."""
    first, *others = units
    message = f"unit {first.tag} names box {first.box!r}, which the job does not have"
    if others:
        message += f"; likewise {first_few([unit.tag for unit in others])}"
    return error("box-unknown", message, first.where, did_you_mean(first.box, known))


def _with_levels(boxes: tuple[BoxRow, ...], schedule: Schedule) -> tuple[BoxRow, ...]:
    """The boxes, those without a level with that of the name of the sheets that they are on."""
    levels = schedule.levels()
    return tuple(box if box.level else replace(box, level=levels.get(box.key, "")) for box in boxes)


def _cell(table: Table, key: str, kind: ColumnKind) -> Cell | None:
    """A row's key as a cell; None where it is absent.

    A bare number has no unit; it is passed on as text, so that the reader of quantities reports that.
    """
    value = table.take(key, {"type": "string"} if kind == "text" else QUANTITY)
    if value is None:
        return None
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return Cell(str(value) if is_number else table.text(key), table.where(key))

"""What is wrong with a user's input, as values: a mistake is reported, never raised."""

import re
from collections import Counter
from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct

__all__ = [
    "CODES",
    "CONTROL",
    "Problem",
    "ProblemOutline",
    "Severity",
    "Where",
    "at_most_each",
    "column_letters",
    "error",
    "for_boxes",
    "has_errors",
    "note",
    "visible",
    "warning",
]

CONTROL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]"
)
"""Characters that print as nothing, turn text round, or move a terminal's cursor (tab and LF aside)."""
SHOWN_OF_A_CODE = 50
CODES = {
    "usage-wrong": "A command was called wrongly: a word, an option or a path is not as it must be.",
    "job-missing": "The folder has no job.toml, or the named file does not exist.",
    "file-unreadable": "A file named by the job cannot be read, or is not a regular file.",
    "file-outside": "A file named by the job is outside the job's folder.",
    "file-encoding": "The encoding of a file's text is uncertain, or the text holds a control character.",
    "toml-syntax": "A TOML file has a syntax error.",
    "key-unknown": "A TOML table has a key that the program does not know.",
    "key-missing": "A TOML table lacks a key that it must have.",
    "value-wrong": "A value has the wrong type, or is not one of those allowed.",
    "columns-missing": "A schedule lacks a column that it must have, or has no header row.",
    "column-unknown": "A schedule has a column that the program does not know.",
    "column-twice": "Two columns of a schedule mean the same thing.",
    "column-ambiguous": "A column's header could mean two things.",
    "column-hidden": "A hidden row, column or sheet of a schedule would be used or dropped unseen.",
    "column-skipped": "A schedule's column holds remarks, and is left out.",
    "box-contradiction": "The job and a sheet of boxes give different values for a box.",
    "sheet-skipped": "A sheet of a workbook has no header of a schedule, and is left out.",
    "cell-date": "The spreadsheet turned what was typed into a cell into a date.",
    "cell-value": "A cell has no plain value: an error, a formula without a result, another text shown.",
    "row-too-long": "A schedule's row has more filled cells than its header has columns.",
    "cell-missing": "A schedule's row lacks a value that it must have.",
    "capacity-unit": "A capacity has no unit, or one that is not known.",
    "capacity-wrong": "A capacity is not a number above zero, or its number can be read in two ways.",
    "length-unit": "A length has no unit, or one that is not known.",
    "length-wrong": "A length is not a number above zero, or its number can be read in two ways.",
    "quantity-unit": "A pressure, mass, time, temperature or volume has no unit, or one that is not known.",
    "quantity-wrong": "A pressure, mass, time, temperature or volume is not one clear number.",
    "tag-wrong": "A tag is not 1 to 24 letters, digits and hyphens, or begins with a hyphen.",
    "box-unknown": "A unit or the command line names a box that the job does not have.",
    "box-twice": "Two boxes have the same tag, or are printed alike.",
    "system-twice": "Two systems have the same tag, or the same outdoor unit (a warning).",
    "system-unknown": "A box names no system of the job, or is fed from a box of another one (an error).",
    "system-empty": "No box names the system.",
    "system-incomplete": "A system lacks figures of its manual, so that something is not checked or printed.",
    "system-unchecked": "A system has a limit, and the job lacks what is to be compared with it.",
    "system-capacity": "Connected capacity is outside the system's ratio (a warning if only by conversion).",
    "system-crowded": "A system has more units than its limit.",
    "system-refrigerant": "A system has another refrigerant than its job.",
    "charge-unknown": "The charge of a system is unknown, because a figure, diameter or length is missing.",
    "charge-weighed": "Less refrigerant was weighed in than the factory charge, or far from the planned one.",
    "sign-weighed": "A sign is refused: the amount of refrigerant that came back is in doubt.",
    "sign-incomplete": "A system's sign is not printed, as the job does not give all that it says; a note.",
    "sign-more": "A system has so much refrigerant that further signs are asked for; a note.",
    "refrigerant-amount": "All of a system's charge in its smallest room, against the code's table; a note.",
    "family-unknown": "No family file of that name exists.",
    "family-wrong": "A family file contradicts itself.",
    "stock-unknown": "No stock file of that name exists, or it does not serve that use.",
    "stock-wrong": "A stock file contradicts itself: labels overlap or extend past the page.",
    "power-missing": "A box has no label at its isolation point, as the job does not give it; a note.",
    "size-unknown": "The family has no box of that many ports.",
    "port-unknown": "The box has no such port, or the port is written wrongly.",
    "tag-unknown": "The command line names a tag that the job does not have, or of which nothing is printed.",
    "pair-forbidden": "The family does not allow these two ports to be joined.",
    "port-single-and-joined": "A port is used both alone and in a joined pair, or in two pairs.",
    "unit-twice": "Two rows name the same unit.",
    "box-empty": "No unit is connected to the box.",
    "capacity-missing": "A unit has no capacity (a warning while the job is a draft).",
    "port-overloaded": "A port's units add up to more than its limit.",
    "port-over-by-conversion": "A port is over by at most 2 %, in another unit system than the limit's.",
    "box-overloaded": "A box's units add up to more than the family's limit for a box.",
    "port-crowded": "A port has more units than is usual for the family.",
    "port-flooded": "More rows name one port than the program reads.",
    "pair-needless": "A joined pair carries a load that one port can carry.",
    "spare-in-middle": "A spare port lies between used ports while the box's last port is used.",
    "address-twice": "Two units of one system have the same address.",
    "address-wrong": "An address is not a number or GROUP-NUMBER, or is beyond the family's or system's.",
    "liquid-not-smaller": "A liquid line is as large as its gas line (a warning), or larger.",
    "run-too-long": "A run is longer than the family or the system allows.",
    "dimension-unusual": "A length, tube, cable, capacity, pressure or vacuum is beyond common practice.",
    "spare-in-service": "The family has no switch that takes a spare port out of service.",
    "switches-ambiguous": "The family's rules cannot express this port use: the board would read another.",
    "text-too-long": "A text does not fit its place at a legible size.",
    "character-missing": "The typeface lacks a character.",
    "code-too-long": "A code does not fit its label at a readable size.",
    "link-wrong": "The address of the placard's page is not one that a code can carry.",
    "link-unused": "The address of the placard's page is given, and no code is a link.",
    "link-plain": "The address of the placard's page is not secure, so phones do not keep the page.",
    "stock-misfit": "A named stock does not fit around the pipe or cable.",
    "stock-temporary": "A temporary stock is named for tags that must last.",
    "stock-unsuited": "A stock is used for something that it is not made for.",
    "stock-drops-off": "A plain label is put on elastomeric insulation, where it does not stick.",
    "diameter-missing": "A wrap is named, but no diameter is given to check whether it fits.",
    "wrap-one-sided": "The words of a wrap go further round than is seen from one side.",
    "letters-small": "Letters are too small for the distance from which they are read.",
    "refrigerant-unknown": "The refrigerant has no safety group in the rules (an error for bands).",
    "bands-authority": "Bands follow rules partly from memory: the authority having jurisdiction decides.",
    "band-incomplete": "A line has no bands: a dimension is missing, they would be too many, or do not fit.",
    "code-unreadable": "A printed code does not read back where it was printed; the whole set is refused.",
    "return-unreadable": "A returned file cannot be read as a sheet, a phone export, a table or a photo.",
    "return-flattened": "A returned sheet has lost its form fields.",
    "return-merged": "A returned file holds a box or system twice, or another program merged or changed it.",
    "return-unknown": "A returned sheet does not show its job, or has a unit that the job does not have.",
    "return-renamed": "A returned file has the job's number and another name.",
    "return-foreign": "A returned file is for another job, or for a box or system that it does not have.",
    "return-contradiction": "Two people found different things at one place.",
    "return-older": "A returned sheet was printed for an earlier plan of its box, system or test.",
    "paper-unread": "A photo or scan shows no page of a printed sheet that can be read.",
    "paper-missing": "A page of a sheet that came back on paper was not handed in.",
    "paper-unclear": "Boxes of a sheet on paper are neither clearly marked nor clearly blank.",
    "paper-handwriting": "A sheet on paper has handwriting, which is not read.",
    "paper-typed": "What was typed beside a picture belongs to no picture of the paper that came back.",
    "response-words": "A response test cannot give each port a word of its own, or keep the one that it had.",
    "response-balance": "In a round of a response test too little or too much of the capacity heats.",
    "response-alike": "Several ports only cool, so that a response test does not distinguish them.",
    "response-unknown": "Readings of a response test belong to no test of this job that was handed in.",
    "scan-job-unknown": "The job has no number, so that scanned codes do not show of which job they are.",
    "scan-no-code": "A stock carries no codes, so that none of its labels can be scanned.",
    "scan-keyboard": "Scanned codes were typed on another keyboard layout than the scanner is set to.",
    "scan-empty": "A file that was scanned has no code that can be read.",
    "scan-line-cut": "The last line of scanned codes has no end, and may be the beginning of a longer code.",
    "plan-unreadable": "A plan.json of an earlier set cannot be read, or was not written by this program.",
    "plan-foreign": "An earlier set is of another job than the one that it is compared with.",
    "plan-unproved": "A plan.json has no digests, so that it may have been changed after it was written.",
    "plan-partial": "A plan.json covers only part of a job, so that the rest cannot be compared.",
    "revision-unchanged": "The job differs from an earlier set, and its revision or date is not later.",
    "edit-conflict": "A file of the job is not as the page showed it, or not as the change to undo left it.",
    "edit-refused": "A change of the job names what does not exist, or cannot be made in its file.",
    "edit-workbook": "A change is of cells of a workbook, which is never rewritten.",
    "history-end": "There is no change to undo, or none to make again.",
    "handover-set": "The printed set at hand is of another plan than the job handed over, or changed.",
    "output-foreign": "The output folder holds a file that is not part of an earlier set.",
    "output-changed": "A file of the output folder changed since it was written, and would be replaced.",
    "output-whole": "A partial set would replace a whole one.",
    "output-blocked": "The output cannot be written, is open in another program, or another run writes it.",
}
"""Every problem code with its meaning; the manual lists them, see `.ci/manual`."""


def visible(text: str) -> str:
    """A text on one line, every control character spelt out: none gets to a terminal."""
    return CONTROL.sub(_spelt, text).replace("\n", "\\n").replace("\t", "\\t")


def _spelt(match: re.Match[str]) -> str:
    code = ord(match[0])
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}" if code < 65536 else f"\\U{code:08x}"


class Severity(StrEnum):
    """How much a problem matters: an error stops `make`, the others do not."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Where(Struct, frozen=True):
    """A place in the user's input; lines and columns count from 1, 0 means the whole file or row.

    In a workbook it has a sheet, with the sheet's number for the order; its lines are the sheet's rows. A CSV
    file's place may have a column, for who shows its cells; its text is the line's.
    """

    file: str
    line: int = 0
    sheet: str = ""
    column: int = 0
    sheet_number: int = 0

    def __str__(self) -> str:
        if not self.sheet:
            return f"{self.file}:{self.line}" if self.line else self.file
        return f"{self.file}:{self.sheet}!{self.cell}" if self.line else f"{self.file}:{self.sheet}"

    @property
    def cell(self) -> str:
        """The cell's name as a spreadsheet has it, "C7"; of a row or a CSV file's line its number alone."""
        letters = column_letters(self.column) if self.sheet else ""
        return f"{letters}{self.line}" if self.line else ""

    @property
    def order(self) -> tuple[str, int, int, int]:
        """What places are sorted by: file, sheet, line, and in a workbook the column."""
        return self.file, self.sheet_number, self.line, self.column if self.sheet else 0


def column_letters(number: int) -> str:
    """A spreadsheet's name of a column: A for 1, AA for 27; empty for 0."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


class ProblemOutline(Struct, frozen=True):
    """A problem as `--json` and plan.json print it; the fields are the keys, `hint` is "" without one."""

    severity: str
    code: str
    message: str
    where: str
    hint: str


class Problem(Struct, frozen=True):
    """One thing that is wrong: what, where, how to mend it, and which boxes it touches (none = all)."""

    severity: Severity
    code: str
    message: str
    where: Where
    hint: str = ""
    boxes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise KeyError(f"problem code {self.code!r} is not in CODES")

    def as_text(self) -> str:
        """The problem as the terminal shows it, its hint on a line of its own."""
        first = visible(f"{self.where}: {self.severity}: {self.message} [{self.code}]")
        return f"{first}\n    {visible(self.hint)}" if self.hint else first

    @property
    def outline(self) -> ProblemOutline:
        """The problem as JSON has it: its place as one text, its boxes left out."""
        return ProblemOutline(str(self.severity), self.code, self.message, str(self.where), self.hint)


def error(code: str, message: str, where: Where, hint: str = "", boxes: tuple[str, ...] = ()) -> Problem:
    """A problem that stops `make`."""
    return Problem(Severity.ERROR, code, message, where, hint, boxes)


def warning(code: str, message: str, where: Where, hint: str = "", boxes: tuple[str, ...] = ()) -> Problem:
    """A problem that a person should look at; `make` goes on."""
    return Problem(Severity.WARNING, code, message, where, hint, boxes)


def note(code: str, message: str, where: Where, hint: str = "", boxes: tuple[str, ...] = ()) -> Problem:
    """Something worth knowing that is not wrong."""
    return Problem(Severity.NOTE, code, message, where, hint, boxes)


def has_errors(problems: Iterable[Problem]) -> bool:
    """Whether anything among the problems stops `make`."""
    return any(problem.severity is Severity.ERROR for problem in problems)


def at_most_each(problems: Iterable[Problem]) -> list[Problem]:
    """The first `SHOWN_OF_A_CODE` problems of each severity and code, and a note with the count of the rest.

    One mistake, in a column say, can be found in every row: nobody reads it thousands of times.
    """
    seen: Counter[tuple[Severity, str]] = Counter()
    shown: list[Problem] = []
    last: dict[tuple[Severity, str], Problem] = {}
    for problem in problems:
        kind = (problem.severity, problem.code)
        seen[kind] += 1
        if seen[kind] <= SHOWN_OF_A_CODE:
            shown.append(problem)
            last[kind] = problem
    for (severity, code), number in seen.items():
        if number > SHOWN_OF_A_CODE:
            message = f"{number - SHOWN_OF_A_CODE:,} more of this {severity} are not listed"
            shown.append(note(code, message, Where(last[severity, code].where.file)))
    return shown


def for_boxes(problems: Iterable[Problem], boxes: Iterable[str]) -> tuple[Problem, ...]:
    """The problems of the whole job and of these boxes (tags in capitals); all when no box is named."""
    wanted = set(boxes)
    if not wanted:
        return tuple(problems)
    return tuple(p for p in problems if not p.boxes or wanted.intersection(p.boxes))

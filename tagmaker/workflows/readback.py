"""The stages of `readback`: read what came back → merge → compare with the plan → punch list."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.write import write_file
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.problems import Problem, Where, warning
from tagmaker.sheets.work_list import work_list_pages
from tagmaker.site.walk.findings import BoxFindings, Returned, findings, gather
from tagmaker.site.walk.printed import Printed, read_printed
from tagmaker.site.walk.returns import Return, read_returns
from tagmaker.tags import fields
from tagmaker.tags.placard_read import SeenBoard
from tagmaker.tags.walk import printed_for
from tagmaker.tags.work_list import BoxWork
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.planning import plan

__all__ = ["Readback", "readback", "readback_lines", "write_punch_list"]

STATES = ("as planned", "differs", "not seen")


@dataclass
class Readback:
    """What all files together say of the site."""

    plan: Plan | None
    boxes: list[BoxFindings] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def is_wrong(self) -> bool:
        """Whether anything differs or was not seen."""
        return self.plan is None or any(box.state != "as planned" for box in self.boxes)

    def as_json(self) -> dict[str, object]:
        """The readback as `--json` prints it."""
        return {"boxes": [_box_json(box) for box in self.boxes], "counts": _counts(self.boxes)}


def readback(files: list[Path], job: Path) -> Readback:
    """Compare the returned files with the job as it is today and with what each was printed for."""
    checked = plan(job)
    result = Readback(checked.plan, problems=[each for each in checked.problems if each.severity == "error"])
    if checked.plan is None:
        return result
    words = load_words()
    returns: list[Return] = []
    for each in read_returns(files):
        if isinstance(each, Problem):
            result.problems.append(each)
        else:
            returns.append(each)
    own = [each for each in returns if not _is_of_another(each, checked.plan)]
    result.problems += [problem for each in returns for problem in _foreign(each, checked.plan)]
    for box in checked.plan.boxes:
        found = gather(own, box)
        result.boxes.append(findings(checked.plan.job, box, found, words))
        result.problems += _contradictions(found, box)
        result.problems += [problem for each in own for problem in _older(each, checked.plan, box)]
    _number(result.boxes)
    return result


def _number(boxes: list[BoxFindings]) -> None:
    """Number the whole job's punches in walking order."""
    numbers = count(1)
    for box in boxes:
        box.punches = [replace(punch, number=next(numbers)) for punch in box.punches]


def _is_of_another(one: Return, plan: Plan) -> bool:
    """Whether a file was printed for a job of another number: the same tags hang elsewhere too."""
    printed = (read_printed(text) for text in one.printed.values())
    numbers = {each.facts.number for each in printed if each}
    return bool(plan.job.number and numbers - {"", plan.job.number})


def _foreign(one: Return, plan: Plan) -> Iterator[Problem]:
    where = Where(one.source)
    if _is_of_another(one, plan):
        message = f"it was printed for another job than {plan.job.number}: nothing of it counts"
        yield warning("return-foreign", message, where, "check that the file is of this job")
        return
    known = {box.row.key for box in plan.boxes}
    for key in sorted({name.partition("/")[0] for name in one.values} - known):
        message = f"it is of box {key}, which the job does not have"
        yield warning("return-foreign", message, where, "check that the file is of this job")


def _contradictions(found: Returned, box: BoxPlan) -> Iterator[Problem]:
    for each in found.contradictions:
        said = "; ".join(f"{source}: {value}" for source, value in each.said)
        message = f"{each.name}: different things were found ({said})"
        hint = "look again: until then it counts as not seen"
        yield warning("return-contradiction", message, Where(each.said[0][0]), hint, (box.row.key,))


def _older(one: Return, plan: Plan, box: BoxPlan) -> Iterator[Problem]:
    """A sheet printed for something else than the job is today; and how it stands against that."""
    text = one.printed.get(box.row.key, "")
    if text == printed_for(plan.job, box) or not any(n.startswith(f"{box.row.key}/") for n in one.values):
        return
    printed = read_printed(text)
    if printed is None:
        message = f"the sheet of {box.row.tag} does not say any more what it was printed for"
        hint = "its ticks at pipes, cables and tags do not count: fill in another sheet"
    else:
        message = (
            f"the sheet of {box.row.tag} was printed for revision {printed.facts.revision}, "
            f"otherwise than the job is today; against that, {_stands(one, box, printed)}"
        )
        hint = (
            f"compared with revision {plan.job.revision} below; where units have changed since, "
            "its ticks at pipes, cables and tags do not count"
        )
    yield warning("return-older", message, Where(one.source), hint, (box.row.key,))


def _stands(one: Return, box: BoxPlan, printed: Printed) -> str:
    """The boards whose switches, where seen, differ from what the sheet was printed for."""
    shown = {board.place.lower(): board.place for board in box.boards}
    boards = [(shown.get(board.place, board.place), board) for board in printed.facts.boards]
    seen = [
        (place, board) for place, board in boards if one.values.get(fields.board_seen(box.row.key, place))
    ]
    differ = [place for place, board in seen if _found_on(one, box, place) != _printed_on(box, board)]
    if differ:
        return f"switches differ on the {' and '.join(differ)} board"
    return "what was seen of its switches is as planned" if seen else "no board was seen"


def _found_on(one: Return, box: BoxPlan, place: str) -> set[tuple[int, int]]:
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    return {pair for pair in ruled if one.values.get(fields.switch_on(box.row.key, place, *pair)) is True}


def _printed_on(box: BoxPlan, board: SeenBoard) -> set[tuple[int, int]]:
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    return ruled & {(bank, switch) for bank, on in enumerate(board.banks, start=1) for switch in on}


def write_punch_list(result: Readback, out: Path) -> Problem | None:
    """The punch list as a PDF."""
    if result.plan is None:
        return None
    words = load_words()
    told = [BoxWork(box.box, _where(box, words), box.punches, box.unknown, box.notes) for box in result.boxes]
    pages, problems = work_list_pages(result.plan.job, told, words, words("punch.title"), words("punch.none"))
    if problems:
        return problems[0]
    title = f"{words('punch.title')} {result.plan.job.name}"
    return write_file(out, draw_pdf(title, result.plan.job.prepared_by, pages, all_faces()))


def _where(box: BoxFindings, words: Words) -> str:
    power = f"{words('walk.power')}: {box.power}" if box.power else ""
    return " · ".join(part for part in (box.place, power) if part)


def _counts(boxes: list[BoxFindings]) -> dict[str, int]:
    counted = Counter(box.state for box in boxes)
    return {state: counted[state] for state in STATES}


def _box_json(box: BoxFindings) -> dict[str, object]:
    punches = [
        {
            "number": punch.number,
            "place": punch.place,
            "wrong": punch.wrong,
            "to_do": punch.to_do,
            "expect": list(punch.expect),
        }
        for punch in box.punches
    ]
    return {
        "box": box.box,
        "place": box.place,
        "power": box.power,
        "result": box.state,
        "punch_list": punches,
        "unknown": box.unknown,
        "proved": box.proved,
        "unproved": box.unproved,
        "unsigned": box.unsigned,
        "notes": box.notes,
    }


def readback_lines(result: Readback) -> list[str]:
    """What it comes to, box by box, and how far the site is."""
    lines = [line for box in result.boxes for line in _box_lines(box)]
    counts = _counts(result.boxes)
    told = ", ".join(f"{number} {state}" for state, number in counts.items())
    return [*lines, f"{len(result.boxes)} {'box' if len(result.boxes) == 1 else 'boxes'}: {told}"]


UNKNOWN_SHOWN = 6


def _box_lines(box: BoxFindings) -> list[str]:
    lines = [f"{box.box}: {box.state}" + (f" ({box.place})" if box.place else "")]
    for punch in box.punches:
        lines.append(f"    {punch.number}. {punch.place}: {punch.wrong}")
        lines.append(f"        do: {punch.to_do}")
        lines += [f"        {sentence}" for sentence in punch.expect]
    lines += [f"    note {text}" for text in box.notes]
    lines += [f"    unknown: {text}" for text in box.unknown[:UNKNOWN_SHOWN]]
    if len(box.unknown) > UNKNOWN_SHOWN:
        lines.append(f"    unknown: {len(box.unknown) - UNKNOWN_SHOWN} more")
    if box.unproved and len(box.unknown) <= UNKNOWN_SHOWN:
        lines.append(f"    without proof: {' '.join(box.unproved)}")
    if box.unsigned and len(box.unknown) <= UNKNOWN_SHOWN:
        lines.append(f"    not signed or dated: {len(box.unsigned)} places")
    return lines

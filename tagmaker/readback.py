"""The stages of `readback`: read what came back → merge → compare with the plan → punch list."""

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tagmaker import pipeline
from tagmaker.catalog.faces import all_faces
from tagmaker.catalog.words import load_words
from tagmaker.draw.pdf import draw_pdf
from tagmaker.field.placard_read import PlacardFacts, read_placard
from tagmaker.field.returns import Return, read_returns
from tagmaker.field.walked import BoxWalk, gather, walked
from tagmaker.plan.records import BoxPlan, Plan
from tagmaker.problems import Problem, Where, warning
from tagmaker.records.commit import write_file
from tagmaker.sheets.punch import punch_pages
from tagmaker.tags import fields
from tagmaker.tags.placard_text import placard_text

__all__ = ["Readback", "readback", "readback_lines", "write_punch_list"]


@dataclass
class Readback:
    """What all files together say of the site."""

    plan: Plan | None
    boxes: list[BoxWalk] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    older: dict[str, str] = field(default_factory=dict)

    @property
    def is_wrong(self) -> bool:
        """Whether anything differs or was not seen."""
        return self.plan is None or any(box.state != "as planned" for box in self.boxes)

    def as_json(self) -> dict[str, object]:
        """The readback as `--json` prints it."""
        return {"boxes": [_box_json(box) for box in self.boxes], "counts": dict(_counts(self.boxes))}


def readback(files: list[Path], job: Path) -> Readback:
    """Compare the returned files with the job as it is today and with what each was printed for."""
    checked = pipeline.plan(job)
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
    result.problems += _foreign(returns, checked.plan)
    for box in checked.plan.boxes:
        found = gather(returns, box)
        result.boxes.append(walked(checked.plan.job, box, found, words))
        result.problems += _older(returns, checked.plan, box, result.older)
    return result


def _foreign(returns: list[Return], plan: Plan) -> list[Problem]:
    known = {box.row.key for box in plan.boxes}
    return [
        warning(
            "return-foreign",
            f"{each.source} is of box {key}, which the job does not have",
            Where(each.source),
            "check that the file is of this job",
        )
        for each in returns
        for key in sorted({name.partition("/")[0] for name in each.values} - known)
    ]


def _older(returns: list[Return], plan: Plan, box: BoxPlan, older: dict[str, str]) -> list[Problem]:
    """A sheet printed for something else than the job is today; and how it stands against that."""
    problems: list[Problem] = []
    today = placard_text(plan.job, box)
    for each in returns:
        text = each.printed.get(box.row.key, "")
        printed = read_placard(text) if text and text != today else None
        if isinstance(printed, PlacardFacts):
            differs = _against(each, box, printed)
            stands = (
                f"{', '.join(differs)} differ" if differs else "what was seen of its switches is as planned"
            )
            message = (
                f"{each.source}: the sheet of {box.row.tag} was printed for revision {printed.revision}; "
                f"against that, {stands}"
            )
            hint = f"compared with revision {plan.job.revision} below; walk again where it differs"
            problems.append(warning("return-older", message, Where(each.source), hint, (box.row.key,)))
            older[box.row.key] = printed.revision
    return problems


def _against(one: Return, box: BoxPlan, printed: PlacardFacts) -> list[str]:
    """The boards whose switches, where seen, differ from what the sheet was printed for."""
    ruled = {(rule.bank, rule.switch) for rule in box.row.family.rules}
    differs: list[str] = []
    for board in printed.boards:
        if not one.values.get(fields.board_seen(box.row.key, board.place)):
            continue
        planned = {(bank, switch) for bank, on in enumerate(board.banks, start=1) for switch in on}
        found = {pair for pair in ruled if one.values.get(fields.switch_on(box.row.key, board.place, *pair))}
        if found != planned & ruled:
            differs.append(f"{board.place} board")
    return differs


def write_punch_list(result: Readback, out: Path) -> Problem | None:
    """The punch list as a PDF."""
    if result.plan is None:
        return None
    words = load_words()
    pages, problems = punch_pages(
        result.plan.job, [(box.box, box.punches, box.unknown) for box in result.boxes], words
    )
    if problems:
        return problems[0]
    title = f"{words('punch.title')} {result.plan.job.name}"
    return write_file(out, draw_pdf(title, result.plan.job.prepared_by, pages, all_faces()))


def _counts(boxes: list[BoxWalk]) -> Counter[str]:
    return Counter(box.state for box in boxes)


def _box_json(box: BoxWalk) -> dict[str, object]:
    punches = [
        {"place": punch.place, "wrong": punch.wrong, "to_do": punch.to_do, "expect": punch.expect}
        for punch in box.punches
    ]
    return {
        "box": box.box,
        "result": box.state,
        "punch_list": punches,
        "unknown": box.unknown,
        "unproved": box.unproved,
        "unsigned": box.unsigned,
    }


def readback_lines(result: Readback) -> list[str]:
    """What it comes to, box by box, and how far the site is."""
    lines = [line for box in result.boxes for line in _box_lines(box)]
    counts = _counts(result.boxes)
    told = ", ".join(f"{counts[state]} {state}" for state in ("as planned", "differs", "not seen"))
    return [*lines, f"{len(result.boxes)} boxes: {told}"]


UNKNOWN_SHOWN = 6


def _box_lines(box: BoxWalk) -> list[str]:
    lines = [f"{box.box}: {box.state}"]
    for punch in box.punches:
        lines.append(f"    {punch.place}: {punch.wrong}")
        lines.append(f"        do: {punch.to_do}")
        lines += [f"        {part}" for part in punch.expect.split("; ") if part]
    lines += [f"    unknown: {text}" for text in box.unknown[:UNKNOWN_SHOWN]]
    if len(box.unknown) > UNKNOWN_SHOWN:
        lines.append(f"    unknown: {len(box.unknown) - UNKNOWN_SHOWN} more")
    if box.unproved and len(box.unknown) <= UNKNOWN_SHOWN:
        lines.append(f"    without proof: {' '.join(box.unproved)}")
    if box.unsigned and len(box.unknown) <= UNKNOWN_SHOWN:
        lines.append(f"    not signed or dated: {len(box.unsigned)} places")
    return lines

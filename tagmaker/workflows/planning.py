"""The first stages of most commands: read a job → plan it → check the plan.

Takes the path of a job and what is selected of it; gives the plan and every problem found so far. A mistake
in the job never raises: what can be planned is planned, and the rest is reported.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.plan.ports import letters_text
from tagmaker.problems import Problem, Where, error, for_boxes
from tagmaker.revisions.selection import WHOLE, Selection
from tagmaker.tags.kits import box_tags

__all__ = ["Checked", "PartUsed", "StockNeed", "in_order", "plan", "plan_read"]


class StockNeed(Struct, frozen=True):
    """What printing takes of one stock: labels and pages; a stock of whole pages has no labels.

    Bands are printed on plain paper and cut apart: `stock` is then their file, and `piece` says "band".
    """

    stock: str
    labels: int
    pages: int
    piece: Literal["label", "band"] = "label"


class PartUsed(Struct, frozen=True):
    """The last sheet of a stock, where labels are left on it: how many are used and how many are left.

    The fields are keys of `make --json`; `used` is what a later set gives as --skip.
    """

    stock: str
    used: int
    left: int


class Checked(Struct, frozen=True):
    """A job as planned (None if it cannot be planned) and all its problems, in the order of its files.

    `sheets` and `part_used` are known once the job is laid out: `plan` leaves both empty.
    """

    plan: Plan | None
    problems: tuple[Problem, ...]
    sheets: tuple[StockNeed, ...] = ()
    part_used: tuple[PartUsed, ...] = ()


def plan(path: Path, selection: Selection = WHOLE) -> Checked:
    """Read and plan a job; boxes and problems limited to the selected boxes.

    Errors of other boxes are left out, so that one wrong box does not stop the rest; errors of the whole job
    and boxes or ports named that the job does not have are always reported.
    """
    job, problems = read_job(path)
    return plan_read(job, problems, selection)


def plan_read(job: Job | None, problems: tuple[Problem, ...], selection: Selection = WHOLE) -> Checked:
    """The same of a job that was read already, with the problems of reading it."""
    if job is None:
        return Checked(None, in_order(problems))
    planned, found = plan_job(job)
    boxes = tuple(box for box in planned.boxes if not selection.boxes or box.row.key in selection.boxes)
    systems = tuple(each for each in planned.systems if not selection.boxes or each.has_any(selection.boxes))
    reported = for_boxes((*problems, *found), selection.boxes)
    unknown = _unknown(job, planned, selection)
    return Checked(replace(planned, boxes=boxes, systems=systems), in_order((*reported, *unknown)))


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Each problem once, by file and line; those of one place in the order found."""
    once = dict.fromkeys(problems)
    return tuple(sorted(once, key=lambda problem: problem.where.order))


def _unknown(job: Job, planned: Plan, selection: Selection) -> list[Problem]:
    """Boxes, ports and tags named on the command line that the job does not have."""
    boxes = {row.key: row.tag for row in job.boxes}
    problems = [
        error("box-unknown", f"the job has no box {tag!r}", Where("--box"), did_you_mean(tag, boxes.values()))
        for tag in selection.boxes
        if tag not in boxes
    ]
    return [*problems, *_unknown_only(job, planned, selection)]


def _unknown_only(job: Job, planned: Plan, selection: Selection) -> Iterator[Problem]:
    """Ports and single tags that the job does not have; the hint names the tags of the same port."""
    boxes = {box.row.key: box for box in planned.boxes}
    ports = {f"{key}/{letter}" for key, box in boxes.items() for letter in box.letters}
    known: dict[str, list[str]] = {}
    for name in selection.only:
        box, port, *_ = (*name.split("/"), "")
        if name in ports:
            yield from _left_out(job, boxes[box], name, selection)
            continue
        searched = [box] if box in boxes else list(boxes)
        for key in searched:
            if key not in known:
                tags = box_tags(job, boxes[key], load_words(), selection.stage)
                known[key] = [tag.code for tag in tags]
        codes = [code for key in searched for code in known[key]]
        near = [code for code in codes if code.startswith(f"{box}/{port}/")]
        if name not in codes and near:
            message = f"the job has no tag {name!r}"
            yield error("tag-unknown", message, Where("--only"), did_you_mean(name, near))
        elif name in codes:
            yield from _left_out(job, boxes[box], name, selection)
        else:
            hint = f"{_nearest(box, boxes)}; write BOX/PORT, like BB-1/C, or a tag's code, like BB-1/C/LIQ"
            yield error("port-unknown", f"the job has no port {name!r}", Where("--only"), hint)


def _left_out(job: Job, box: BoxPlan, name: str, selection: Selection) -> Iterator[Problem]:
    """The problem of a port or tag of which the other options leave nothing to print."""
    alone = replace(selection, only=(name,))
    is_asked = not selection.boxes or box.row.key in selection.boxes
    tags = box_tags(job, box, load_words(), selection.stage) if is_asked else ()
    if not any(alone.takes(tag, job.prints) for tag in tags):
        others = {"--box": not is_asked, "--kit": selection.kit, "--stage": selection.stage}
        given = " and ".join(option for option, is_given in others.items() if is_given)
        message = f"nothing of {name} is printed with this {given}"
        yield error("tag-unknown", message, Where("--only"), f"leave out --only {name}, or {given}")


def _nearest(box: str, boxes: Mapping[str, BoxPlan]) -> str:
    """The ports of a box; where the job has no such box, those that may have been meant."""
    if box in boxes:
        return f"its ports are {letters_text(boxes[box].letters)}"
    return did_you_mean(box, [each.row.tag for each in boxes.values()])

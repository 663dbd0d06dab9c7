"""The amounts for signs, from systems' sheets that came back: read them → compare → into the job.

Takes a job as read and the returned files; gives the job with what is in each system, as it was weighed. The
planned charge is never taken for it. What is in doubt is an error, so that no sign is printed: files that
differ, a text that cannot be read, handwriting, and an amount that the lengths as built do not bear out.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.words import load_words
from tagmaker.job.model import SystemRow
from tagmaker.job.read import read_job
from tagmaker.problems import Problem, Severity, Where, error, warning
from tagmaker.revisions.selection import Selection
from tagmaker.site.system.findings import SystemFindings
from tagmaker.site.system.points import listed
from tagmaker.tags.system import has_charge
from tagmaker.workflows.planning import Checked, plan_read
from tagmaker.workflows.readback import readback

__all__ = ["plan_weighed"]

WEIGHED = ("charge", "weighed")
HINT = "a sign is printed of one amount that all sheets bear out: correct what is wrong, hand in one sheet"
NO_AMOUNT = "name the systems' sheets that came back with it; each sign is printed of what the job gives"


def plan_weighed(path: Path, selection: Selection) -> Checked:
    """Read and plan a job with the amounts that its returned sheets have."""
    job, problems = read_job(path)
    if job is None:
        return plan_read(job, problems, selection)
    back = readback(list(selection.weighed_in), path)
    found = {each.system.upper(): each for each in back.systems}
    more = [each for each in back.problems if each.severity is Severity.ERROR]
    for row in job.systems:
        more += _doubts(row, found[row.key]) if row.key in found else []
    if not more and not any(each.charge.weighed for each in back.systems):
        message, where = "no amount weighed in came back", Where("--weighed-in")
        more.append(warning("sign-weighed", message, where, NO_AMOUNT))
    systems = tuple(_weighed(row, found.get(row.key)) for row in job.systems)
    return plan_read(replace(job, systems=systems), (*problems, *more), selection)


def _weighed(row: SystemRow, found: SystemFindings | None) -> SystemRow:
    """A system with the amount of its sheet; with that of the job where no sheet has one."""
    return replace(row, weighed_in=(found.charge.weighed if found else None) or row.weighed_in)


def _doubts(row: SystemRow, found: SystemFindings) -> Iterator[Problem]:
    """What keeps an amount that came back from being that of a sign."""
    filled, weighed, what = found.filled, found.charge.weighed, f"system {row.tag}, weighed in"
    texts: Sequence[str] = ()
    if conflict := next((each for each in filled.conflicts if each.parts == WEIGHED), None):
        texts = [f"sheets differ ({'; '.join(f'{source}: {text}' for source, text in conflict.texts)})"]
    elif WEIGHED in filled.written:
        texts = ["it is in handwriting: type it into the form"]
    elif weighed is None and filled.text(*WEIGHED):
        texts = [f"{filled.text(*WEIGHED)!r} cannot be read"]
    elif weighed and row.weighed_in and weighed.value != row.weighed_in.value:
        texts = [f"{weighed.text()} came back, {row.weighed_in.text()} is in the job"]
    elif weighed and has_charge(row) and (left := [each for each in found.charge.lines if each.run is None]):
        texts = [f"no length as built of {listed([each.line.name for each in left])} bears it out"]
    elif weighed:
        place = load_words()("system_found.charge")
        texts = [point.text for point in found.points if point.is_wrong and point.place == place]
    yield from (error("sign-weighed", f"{what}: {text}", row.where, HINT) for text in texts)

"""What files that came back say of the first box of a site: merged, and compared with its plan."""

import re
from functools import cache

from tagmaker.catalog.walk_items import walk_items
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.walk.findings import BoxFindings, findings, homes_of, parts_of
from tagmaker.site.walk.gather import Returned, gather
from tagmaker.site.walk.returns import Return, Sheet, sheets_of
from tagmaker.tags.walk import digests, printed_for
from tests.records import replace
from tests.site.walks import SITE, Values, as_planned
from tests.strategies import JobSketch, words

__all__ = [
    "ALL",
    "OTHERS",
    "SWITCH",
    "SWITCHES_ON",
    "box_named",
    "found_on",
    "planned",
    "sheets",
    "site",
    "walk",
    "walk_of",
]

SWITCH = re.compile(r"[^/]+/[a-z]+/\d+/\d+")


def planned(sketch: JobSketch) -> Plan:
    """A job's plan, the items of every walk with it."""
    return plan_job(replace(sketch.record(), walk_items=walk_items()))[0]


@cache
def site() -> Plan:
    """The plan of the site that is walked."""
    return planned(SITE)


def box_named(plan: Plan, key: str) -> BoxPlan:
    """A box by its tag in capitals."""
    return next(box for box in plan.boxes if box.row.key == key)


def sheets(plan: Plan, key: str, *values: Values, printed: Plan | None = None) -> list[Sheet]:
    """A box's sheets of files a, b, c … with these findings, printed for this plan or another."""
    for_ = printed or plan
    texts = {box.row.key: printed_for(for_.job, box) for box in for_.boxes}
    files = (Return(name, found, texts) for name, found in zip("abcd", values, strict=False))
    return [sheet for file in files for sheet in sheets_of(file) if sheet.box == key]


def walk_of(plan: Plan, key: str, *values: Values) -> BoxFindings:
    """What these files, printed for this plan, come to for a box (its tag in capitals)."""
    box = box_named(plan, key)
    found = gather(sheets(plan, key, *values), box, digests(plan.job, box))
    return findings(box, found, parts_of(plan.job, box, found, words(), homes_of(plan)), words())


def found_on(*values: Values, plan: Plan | None = None, printed: Plan | None = None) -> Returned:
    """What these files say of the first box together."""
    site_ = plan or site()
    box = site_.boxes[0]
    return gather(sheets(site_, box.row.key, *values, printed=printed), box, digests(site_.job, box))


def walk(*values: Values, plan: Plan | None = None, printed: Plan | None = None) -> BoxFindings:
    """What these files come to for the first box."""
    site_ = plan or site()
    found = found_on(*values, plan=plan, printed=printed)
    box = site_.boxes[0]
    return findings(box, found, parts_of(site_.job, box, found, words(), homes_of(site_)), words())


ALL = as_planned(site(), "BB-1")
SWITCHES_ON = sorted(name for name in ALL if SWITCH.fullmatch(name))
OTHERS = sorted(ALL.keys() - SWITCHES_ON)

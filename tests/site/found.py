"""What files that came back say of the first box of a site: merged, and compared with its plan."""

import re
from functools import cache

from tagmaker.catalog.walk_items import walk_items
from tagmaker.plan.model import BoxPlan, Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.walk.findings import BoxFindings, findings
from tagmaker.site.walk.gather import Returned, gather
from tagmaker.site.walk.returns import Return
from tagmaker.tags.walk import printed_for
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
    "returns",
    "site",
    "walk",
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


def returns(plan: Plan, *values: Values, printed: Plan | None = None) -> list[Return]:
    """Files a, b, c … with these findings, printed for this plan or another."""
    for_ = printed or plan
    texts = {box.row.key: printed_for(for_.job, box) for box in for_.boxes}
    return [Return(name, found, texts) for name, found in zip("abcd", values, strict=False)]


def found_on(*values: Values, plan: Plan | None = None, printed: Plan | None = None) -> Returned:
    """What these files say of the first box together."""
    site_ = plan or site()
    return gather(returns(site_, *values, printed=printed), site_.boxes[0])


def walk(*values: Values, plan: Plan | None = None, printed: Plan | None = None) -> BoxFindings:
    """What these files come to for the first box."""
    site_ = plan or site()
    return findings(site_.job, site_.boxes[0], found_on(*values, plan=plan, printed=printed), words())


ALL = as_planned(site(), "BB-1")
SWITCHES_ON = sorted(name for name in ALL if SWITCH.fullmatch(name))
OTHERS = sorted(ALL.keys() - SWITCHES_ON)

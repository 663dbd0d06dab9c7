"""Of which revision a scanned placard is: today's, one in which it last changed, an older one, or altered."""

from typing import Literal

from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.revisions.issued import IssuedPlacard
from tagmaker.revisions.issuing import placard_digest
from tagmaker.tags.placard_text import PlacardFacts, placard_text, read_placard
from tagmaker.tags.revision import order_of

__all__ = ["ALTERED", "TODAY", "UNCHANGED", "Age", "age_of"]

Age = Literal["this revision", "unchanged since", "altered", "older", "newer", "another revision"]
"""A placard's age in words; "altered" is a known revision with another text than was issued in it."""
TODAY: Age = "this revision"
UNCHANGED: Age = "unchanged since"
ALTERED: Age = "altered"


def age_of(seen: PlacardFacts, job: Job, box: BoxPlan, issued: IssuedPlacard | None) -> Age:
    """A placard's age; `issued` is the box's placard of the earlier set, None where no set is given.

    "unchanged since" needs that everything printed on the placard is as today, not its code's text alone: a
    box must not be isolated where its power is no longer.
    """
    if seen == read_placard(placard_text(job, box)):
        return TODAY
    if issued and seen.revision == issued.revision:
        if seen != read_placard(issued.text):
            return ALTERED
        if issued.says == placard_digest(job, box):
            return UNCHANGED
    if seen.revision == job.revision:
        return ALTERED
    return order_of(seen.revision, job.revision) or "another revision"

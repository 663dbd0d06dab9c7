"""Labels that are no port's: the locator below a box, and the tags of the mains that feed it."""

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.tags.model import OutsideDiameter, Tag
from tagmaker.tags.outside_diameter import over
from tagmaker.tags.revision import revision_text

__all__ = ["locator_tag", "main_tags"]

MAIN_CODES = {"liquid": "LIQ", "suction": "SUC", "hot_gas": "HOT"}


def locator_tag(job: Job, box: BoxPlan, words: Words) -> Tag:
    """A small label for the ceiling below a box."""
    row = box.row
    return _tag(job, box, words, f"{row.key}/LOC", "locator", row.place)


def main_tags(job: Job, box: BoxPlan, words: Words, *, is_rough_in: bool) -> list[Tag]:
    """A tag for each main that the job gives, at the box."""
    mains = box.row.mains
    if mains is None:
        return []
    use = "pipe_rough_in" if is_rough_in else "pipe"
    return [
        _tag(
            job,
            box,
            words,
            f"{box.row.key}/{MAIN_CODES[kind]}",
            f"main_{kind}",
            words("tag.main_place"),
            use=use,
            outside=over(tube, mains.insulation, bare=is_rough_in),
        )
        for kind, tube in mains.tubes.items()
    ]


def _tag(  # noqa: PLR0913, PLR0917 — what varies between the two sorts, each by name
    job: Job,
    box: BoxPlan,
    words: Words,
    code: str,
    kind: str,
    remark: str,
    *,
    use: str = "locator",
    outside: OutsideDiameter | None = None,
) -> Tag:
    row = box.row
    return Tag(
        code=code,
        kind=kind.replace("_", "-"),
        use="",
        end="box",
        box=row.tag,
        box_shown=row.shown,
        port="",
        units=(),
        rooms=(),
        headline=words(f"tag.{kind}"),
        remark=remark,
        is_caution=False,
        end_text=words("tag.ceiling") if kind == "locator" else words("tag.box_end"),
        revision=job.revision,
        revision_text=revision_text(job.revision, words, is_draft=job.is_draft),
        is_draft=job.is_draft,
        where=row.where,
        outside=outside,
        stock_use=use,
        is_late=kind == "locator",
    )

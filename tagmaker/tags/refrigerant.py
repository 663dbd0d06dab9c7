"""A job's refrigerant as it is printed: with its safety group, and the warnings of the group.

Takes the refrigerant's name as the job has it; groups and warnings are `layouts/bands.toml`'s, which says of
each how it is known.
"""

from collections.abc import Iterator

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.words import Words
from tagmaker.files.toml import did_you_mean
from tagmaker.job.model import Job
from tagmaker.problems import Problem, note

__all__ = ["check_refrigerant", "refrigerant_text", "refrigerant_warnings", "safety_group"]


def safety_group(name: str) -> str:
    """Its group of ASHRAE 34, empty where the rules know none."""
    return band_rules().groups.get(name, "")


def refrigerant_text(name: str, words: Words) -> str:
    """Such as "Refrigerant R-32, group A2L"; without a group that is not known, empty without a name."""
    if not name:
        return ""
    if group := safety_group(name):
        return words("page.refrigerant_group", name=name, group=group)
    return words("page.refrigerant", name=name)


def refrigerant_warnings(name: str) -> tuple[str, ...]:
    """What a flammable or toxic refrigerant's group asks to be warned of."""
    return band_rules().warnings.get(safety_group(name), ())


def check_refrigerant(job: Job) -> Iterator[Problem]:
    """A note where the refrigerant's group is not known; with bands it is an error, and theirs."""
    if job.refrigerant and not safety_group(job.refrigerant) and job.bands is None:
        message = (
            f"refrigerant {job.refrigerant!r} is printed without a safety group or warning: none is known"
        )
        hint = f"{did_you_mean(job.refrigerant, band_rules().groups)} (the groups are in layouts/bands.toml)"
        yield note("refrigerant-unknown", message, job.where, hint)

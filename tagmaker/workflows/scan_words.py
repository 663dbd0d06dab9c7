"""What a scanned code is, in a line: for a terminal and for a page alike."""

from collections.abc import Mapping

from tagmaker.site.scans.age import UNCHANGED
from tagmaker.site.scans.judge import Verdict
from tagmaker.tags.codes import TagCode, What
from tagmaker.tags.placard_forms import form_heading

__all__ = ["verdict_line"]

WHAT: Mapping[What, str] = {
    "LIQ": "LIQUID", "GAS": "GAS", "COM": "COMM CABLE", "TRM": "TERMINAL",
    "LOC": "LOCATOR", "SUC": "MAIN SUCTION", "HOT": "MAIN HOT GAS", "ISO": "ISOLATION POINT",
    "UNT": "INDOOR UNIT", "CTL": "CONTROLLER",
}  # fmt: skip
"""What a tag hangs on, by the third part of its code."""
MAIN_LIQUID = "MAIN LIQUID"
"""What `LIQ` is in a code without a port."""


def verdict_line(verdict: Verdict) -> str:
    """What a code is, and whether it matches the job where one was named: tags carry no job's number."""
    found, belongs = verdict.scan, verdict.belongs
    other = ", NOT of this job"
    if found.tag:
        whose = ", matches this job's tags" if belongs else other if belongs is False else ""
        return f"{found.text}: {_tag_text(found.tag)}{whose}"
    if found.placard:
        known = ", of this job" if found.placard.number else ", without a job number"
        whose = known if belongs else other if belongs is False else ""
        state = f": {_state(verdict)}" if belongs is not None or verdict.differences else ""
        return f"placard {found.placard.box} revision {found.placard.revision}{whose}{state}"
    if page := found.page:
        whose = ", of this job" if belongs else other if belongs is False else ""
        return f"{page.shown}, page {page.page} of {page.pages}, revision {page.revision}{whose}"
    if found.fault:
        return f"placard {form_heading(found.text)}: DAMAGED OR ALTERED"
    return f"unknown code: {found.text!r} ({found.source})"


def _tag_text(tag: TagCode) -> str:
    what = MAIN_LIQUID if tag.what == "LIQ" and not tag.port else WHAT[tag.what]
    parts = [part for part in (tag.box, tag.port, what, tag.unit) if part]
    on = ", continuing cable" if tag.goes_on else ""
    return f"{' · '.join(parts)}, at {_place(tag)}{on}"


def _place(tag: TagCode) -> str:
    """Where a tag belongs."""
    if tag.what == "ISO":
        return "the box's isolation point"
    return "the splitter" if tag.at_splitter else f"the {tag.end}"


def _state(verdict: Verdict) -> str:
    """How a placard compares with the job as it is today, with its age where that is known."""
    if not verdict.differences:
        return "matches the current job" + (", unchanged since" if verdict.age == UNCHANGED else "")
    return f"DIFFERS, {verdict.age.upper()}" if verdict.age else "DIFFERS"

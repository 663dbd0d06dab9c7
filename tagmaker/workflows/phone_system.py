"""The verdict of a hold while a system's sheet is filled in on a phone: as `readback` will report it.

Takes what the phone shows as entered; the physics stay in one place, the page has no copy of them.
"""

from collections.abc import Mapping

from msgspec import Struct

from tagmaker.catalog.words import load_words
from tagmaker.plan.hold import Verdict
from tagmaker.plan.model import Plan
from tagmaker.plan.systems import SystemPlan
from tagmaker.site.system.filled import Filled, SystemSheet, fill
from tagmaker.site.system.points import Pen
from tagmaker.site.system.pressure import compared, hold_found
from tagmaker.tags.system import SystemPrinted, printed_units, read_system_field, system_sheet
from tagmaker.tags.walk import JobIdentity

__all__ = ["PhoneHold", "phone_hold"]


class PhoneHold(Struct, frozen=True):
    """The verdict, null while a reading is missing or none can be given, and it in words."""

    verdict: Verdict | None
    text: str


def phone_hold(plan: Plan, sheet: str, fields: Mapping[str, bool | str]) -> PhoneHold | None:
    """The hold of a system by what is entered; `sheet` is how names of its fields begin. None: no such."""
    system = next((each for each in plan.systems if system_sheet(each.row.key) == sheet), None)
    if system is None:
        return None
    words = load_words()
    found = hold_found(Pen(words, _filled(plan, system, fields), ""))
    if found.verdict is None:
        return PhoneHold(None, words("system_found.no_verdict_yet"))
    shown = words(f"system.{found.verdict.replace(' ', '_')}")
    return PhoneHold(found.verdict, words("system_found.verdict_now", verdict=shown, text=compared(found)))


def _filled(plan: Plan, system: SystemPlan, fields: Mapping[str, bool | str]) -> Filled:
    own = system_sheet(system.row.key)
    read = {name: read_system_field(name) for name in fields if name.startswith(f"{own}/")}
    values = {field.parts: fields[name] for name, field in read.items() if field}
    identity = JobIdentity(plan.job.number, plan.job.name)
    printed = SystemPrinted(system.row.key, identity, plan.job.revision, "", printed_units(system))
    return fill([SystemSheet("", values, (), printed, is_current=True)])

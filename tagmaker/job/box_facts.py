"""Boxes of a job.toml and of a sheet of boxes, as one: job.toml counts, and what differs is a problem.

Takes what a [[box]] and the sheet say of a box; gives the values that hold.
"""

from collections.abc import Mapping

from tagmaker.catalog.family import Family
from tagmaker.files.toml import Table
from tagmaker.job.model import BoxRow
from tagmaker.job.schedule.result import BoxFacts
from tagmaker.problems import Problem, error, warning

__all__ = ["BOX_TEXTS", "box_of_sheet", "merged"]

BOX_TEXTS = ("place", "power", "system", "level", "fed_from")


def merged(
    table: Table, values: Mapping[str, str], ports: int, facts: BoxFacts | None
) -> tuple[dict[str, str], int]:
    """The texts and the size of a box; a size that differs is an error, a text a warning."""
    if facts is None:
        return dict(values), ports
    if ports and facts.ports and ports != facts.ports:
        problem = _differs(table, "ports", str(ports), str(facts.ports), facts)
        table.problems.append(problem)
    for key, own in values.items():
        given = facts.texts.get(key, "")
        if own and given and own.casefold() != given.casefold():
            table.problems.append(_differs(table, key, repr(own), repr(given), facts))
    texts = {key: own or facts.texts.get(key, "") for key, own in values.items()}
    return texts, ports or facts.ports


def _differs(table: Table, key: str, own: str, given: str, facts: BoxFacts) -> Problem:
    """The problem of a value that job and sheet give differently."""
    message = f"{key} of {facts.tag} is {own} here, and {given} on the sheet of boxes; this one counts"
    report = error if key == "ports" else warning
    return report(
        "box-contradiction", message, table.where(key), f"see {facts.places[key]}; correct one", table.boxes
    )


def box_of_sheet(facts: BoxFacts, family: Family | None, head: Table) -> BoxRow | Problem | None:
    """A box that only the sheet lists, of the job's family; None where that has a problem already."""
    boxes = (facts.key,)
    if not facts.ports:
        message = f"the number of ports of {facts.tag} is missing"
        hint = 'give it in a column "Ports" of the sheet of boxes, or as ports in a [[box]] of job.toml'
        return error("key-missing", message, facts.where, hint, boxes)
    if family is None and not head.has("family"):
        message = f"no family is named for box {facts.tag}"
        hint = 'a box\'s rules are chosen, never assumed: write family = "…" in [job]'
        return error("key-missing", message, facts.where, hint, boxes)
    return _plain_box(facts, family) if family else None


def _plain_box(facts: BoxFacts, family: Family) -> BoxRow:
    """A box as a sheet gives it."""
    return BoxRow(
        tag=facts.tag,
        ports=facts.ports,
        family=family,
        shown=facts.tag,
        bank_names=tuple(bank.name for bank in family.banks),
        where=facts.where,
        place=facts.texts.get("place", ""),
        power=facts.texts.get("power", ""),
        system=facts.texts.get("system", ""),
        level=facts.texts.get("level", ""),
        fed_from=facts.texts.get("fed_from", ""),
    )

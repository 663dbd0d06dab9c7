"""Questions about boxes: the job's family, and boxes that units name and the job does not have.

Takes a job as read and its problems; gives questions whose choices set the family, or add the boxes, each of
the least size that has the letters named, as `start` gives a new job.
"""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from tagmaker.catalog.family import Family, load_family
from tagmaker.catalog.folders import names
from tagmaker.files.toml import TAG
from tagmaker.job.schedule.read import Schedule
from tagmaker.job.sources import Source
from tagmaker.problems import Problem, Where
from tagmaker.workflows.edit_kinds import AddBox, SetJob
from tagmaker.workflows.question_records import Choice, Question, question_id
from tagmaker.workflows.start_text import boxes_named, least_size

__all__ = ["box_questions", "family_questions"]

FAMILY_CODES = {"family-unknown", "key-missing"}
NO_BOX = "the job has no box"
ALL = "+all"  # no tag has a plus
NAMED = 12  # boxes that a choice names one by one


def family_questions(folder: Path, problems: Sequence[Problem]) -> Iterator[Question]:
    """Which family the job's boxes are of, where none is named or the name is that of none."""
    about = [each for each in problems if each.code in FAMILY_CODES and "family" in each.message]
    if not about:
        return
    loaded = (load_family(name, folder, Where(name))[0] for name in names("families", folder))
    yield Question(
        id=question_id("family"),
        where=about[0].where,
        text=about[0].message,
        choices=tuple(
            Choice(each.name, f"{each.name}: {each.title}", (SetJob({"family": each.name}),))
            for each in loaded
            if each
        ),
        hint="compare the family's rules with the manual of the box in hand",
        about=tuple(each.where for each in about),
    )


def box_questions(
    sources: Sequence[Source],
    problems: Sequence[Problem],
    declared: Sequence[str],
    family: Family | None,
) -> Iterator[Question]:
    """Whether boxes that only units name are to be added; `declared` are the job's own, in capitals."""
    about = [each for each in problems if each.code == "box-unknown" or each.message == NO_BOX]
    schedule = Schedule(tuple(sheet for source in sources for sheet in source.schedule.sheets))
    listed = {*declared, *(box.key for box in schedule.boxes)}
    new = {
        tag: letters
        for tag, letters in boxes_named(schedule).items()
        if tag.upper() not in listed and TAG.fullmatch(tag)
    }
    if not (about and new and family):
        return
    sizes = {tag: least_size(letters, family)[0] for tag, letters in new.items()}
    several = list(sizes.items())[:NAMED] if len(sizes) > 1 else []
    yield Question(
        id=question_id("boxes", *sizes),
        where=about[0].where,
        text=f"rows name {_boxes(len(sizes))} that the job does not have: {', '.join(list(sizes)[:NAMED])}",
        choices=(_add(sizes), *(_add({tag: size}, is_likely=False) for tag, size in several)),
        about=tuple(each.where for each in about),
        hint="each is added with the least size that has its letters: compare it with the box in hand; "
        "where a tag is mistyped, correct it in the schedule",
    )


def _add(sizes: Mapping[str, int], *, is_likely: bool = True) -> Choice:
    """Add boxes of these sizes."""
    edits = tuple(AddBox({"tag": tag, "ports": size}) for tag, size in sizes.items())
    listed = ", ".join(f"{tag} with {size} ports" for tag, size in list(sizes.items())[:NAMED])
    more = f" and {len(sizes) - NAMED} more" if len(sizes) > NAMED else ""
    name = ALL if len(sizes) > 1 else next(iter(sizes))
    return Choice(name, f"add {listed}{more}", edits, is_likely=is_likely)


def _boxes(count: int) -> str:
    return "a box" if count == 1 else f"{count} boxes"

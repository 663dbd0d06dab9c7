"""Whether a sheet that came back still has the fields that it was printed with, under their own names.

Takes a sheet and the box as planned now. A switch is OFF also where its board was seen and no mark is on it,
so a field that was lost, or has another name, would turn a switch found ON into one found OFF. Places that
are planned otherwise now had other fields, and their marks do not count: they are not compared.
"""

from collections.abc import Collection, Iterator, Mapping

from tagmaker.job.model import Job
from tagmaker.plan.model import Board, BoxPlan
from tagmaker.site.walk.gather import switch_names
from tagmaker.site.walk.lines import LINES
from tagmaker.site.walk.returns import Sheet
from tagmaker.tags import fields
from tagmaker.tags.walk import Digests, letter_place, letters_of

__all__ = ["strange_fields"]

OF_BOX = {"item", "sign", "date"}
"""Places of fields that every box has."""


def strange_fields(sheet: Sheet, job: Job, box: BoxPlan, today: Digests) -> list[str]:
    """The fields that the sheet of this box cannot have, and, of a form, those that it has lost."""
    printed = sheet.printed.digests.places if sheet.printed else {}
    if not printed:
        return []
    had: dict[str, set[str]] = {}
    strange: list[str] = []
    for name in (*sheet.values, *sheet.unclear):
        field = fields.read_field(name)
        place = field.place if field else ""
        had.setdefault(place, set()).add(name)
        if place not in printed and place not in OF_BOX:
            strange.append(name)
    same = {place: names for place, names in had.items() if printed.get(place) == today.places.get(place)}
    for place, names in _of_places(job, box).items():
        strange += sorted(same.get(place, set()).difference(names))
    return [*strange, *(_lost(box, same) if sheet.is_form else ())]


def _of_places(job: Job, box: BoxPlan) -> Mapping[str, Collection[str]]:
    """The fields of each board and letter; a sheet that is filled in blind asks each item of each letter."""
    key = box.row.key
    boards = {board.place: {*_marks(box, board), fields.board_seen(key, board.place)} for board in box.boards}
    kinds = [f"{line}/{what}" for line in LINES for what in ("ok", "found", "proved")]
    ports = {
        letter_place(letter): {
            *(fields.port_field(key, letter, what) for what in (*kinds, "tags/ok", "proved", "note")),
            *(fields.port_item(key, letter, item.key) for item in job.items_asked if item.per != "box"),
        }
        for letter, _ in letters_of(box)
    }
    return {**boards, **ports}


def _marks(box: BoxPlan, board: Board) -> Iterator[str]:
    for name in switch_names(box, board):
        yield from (name, f"{name}/off")


def _lost(box: BoxPlan, had: Mapping[str, set[str]]) -> Iterator[str]:
    """Fields of a form that are missing beside others of their place: switches, and units found.

    A sheet of an earlier version has no box for OFF at any switch.
    """
    for board in box.boards:
        own, names = had.get(board.place, set()), switch_names(box, board)
        has_off = any(f"{name}/off" in own for name in names)
        wanted = [each for name in names for each in ((name, f"{name}/off") if has_off else (name,))]
        yield from (name for name in wanted if own and name not in own)
    for letter, _ in letters_of(box):
        own = had.get(letter_place(letter), set())
        for line in LINES:
            right, found = (
                fields.port_field(box.row.key, letter, f"{line}/{end}") for end in ("ok", "found")
            )
            if right in own and found not in own:
                yield found

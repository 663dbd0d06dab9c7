"""What a page asks about a job's schedules: a question with its choices, each a change of the job's files."""

import hashlib
from collections.abc import Iterable

from msgspec import Struct

from tagmaker.problems import Where
from tagmaker.workflows.edit_kinds import ChooseSheets, Edit

__all__ = ["THESE", "Choice", "Question", "SheetChoice", "question_id"]

THESE = "these sheets"
"""The choice of the sheets that are named with it."""


class Choice(Struct, frozen=True):
    """An answer: its name within the question, what it says, and the changes that it makes.

    What is not likely is offered after the rest, in a list.
    """

    name: str
    text: str
    edits: tuple[Edit, ...] = ()
    is_likely: bool = True


class SheetChoice(Struct, frozen=True):
    """A sheet that may count: its name, what it says, whether it counts today."""

    name: str
    text: str
    counts: bool


class Question(Struct, frozen=True):
    """A question about what is at a place, with the choices that answer it and what else would.

    `samples` are cells that it is about, as written. `is_needed` is false where the job can be used without
    an answer. `sheets` are those of which any number may be named, with the choice `THESE`; `about` are
    places of other problems that an answer mends too.
    """

    id: str
    where: Where
    text: str
    choices: tuple[Choice, ...]
    samples: tuple[str, ...] = ()
    hint: str = ""
    is_needed: bool = True
    sheets: tuple[SheetChoice, ...] = ()
    about: tuple[Where, ...] = ()

    @property
    def places(self) -> frozenset[Where]:
        """The places of all problems that it answers."""
        return frozenset((self.where, *self.about))

    def edits(self, name: str, sheets: Iterable[str] = ()) -> tuple[Edit, ...]:
        """The changes that a choice asks for; none where it is not one of this question."""
        if name == THESE and self.sheets:
            named = set(sheets)
            chosen = tuple(each.name for each in self.sheets if each.name in named)
            return (ChooseSheets(chosen),) if chosen else ()
        return next((each.edits for each in self.choices if each.name == name), ())


def question_id(*parts: object) -> str:
    """A question's name in a page: the same for the same question, whatever else changes."""
    return "q" + hashlib.sha256("\0".join(map(str, parts)).encode()).hexdigest()[:12]

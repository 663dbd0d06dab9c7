"""What the page "Paper" asks for, as an address carries it, and as the workflows take it.

An address holds all of it, so that a page can be kept, reloaded and gone back to.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace
from starlette.datastructures import QueryParams

from tagmaker.problems import Problem, Where, error
from tagmaker.revisions.selection import KITS, STAGES, Selection
from tagmaker.tags.model import Kit, Stage
from tagmaker.workflows.paper import Paper

__all__ = ["Asked", "asked_of"]

SKIP_AT_MOST = 10_000
NAMES_AT_MOST = 5_000


class Asked(Struct, frozen=True):
    """What of a job is asked for; empty fields limit nothing.

    `boxes` are chosen one by one, `level` and `system` choose among them. `since` is the id of an earlier
    set of the job, `weighed_in` are names of files that came back.
    """

    boxes: tuple[str, ...] = ()
    level: str = ""
    system: str = ""
    only: tuple[str, ...] = ()
    stage: Literal[Stage, ""] = ""
    kit: Literal[Kit, ""] = ""
    skip: int = 0
    since: str = ""
    all: bool = False
    blind: bool = False
    png: bool = False
    no_proof: bool = False
    weighed_in: tuple[str, ...] = ()

    @property
    def is_limited(self) -> bool:
        """Whether less than the whole set is asked for."""
        limits = (self.boxes, self.level, self.system, self.only, self.stage, self.kit)
        return any(limits) or bool(self.since and not self.all)

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The fields that are given, as names and texts."""
        found: list[tuple[str, str]] = []
        for name in self.__struct_fields__:
            value = getattr(self, name)
            values = value if isinstance(value, tuple) else (value,)
            found += [(name, "1" if each is True else str(each)) for each in values if each]
        return found

    def query(self, **others: object) -> str:
        """The same as an address's query, with other fields behind; empty ones are left out."""
        pairs = [*self.pairs, *((name, str(value)) for name, value in others.items() if value)]
        return str(QueryParams(pairs))

    def but(self, **changes: Any) -> "Asked":
        """The same with some fields changed; a list of names is taken too."""
        given = {name: tuple(each) if isinstance(each, list) else each for name, each in changes.items()}
        return replace(self, **given)

    def selection(
        self, paper: Paper, since: Path | None, weighed_in: tuple[Path, ...] = ()
    ) -> Selection | Problem:
        """As a workflow takes it; a problem where no box is of the level and system."""
        boxes = self.boxes
        if self.level or self.system:
            among = paper.boxes_of(self.level, self.system)
            boxes = tuple(key for key in among if not boxes or key in boxes)
            if not boxes:
                where = " and ".join(filter(None, (self.level and f"level {self.level}", self.system)))
                message = f"no box that is chosen is on {where}"
                return error(
                    "box-unknown", message, Where("--box"), "choose other boxes, or all levels and systems"
                )
        return Selection(
            boxes=boxes, only=self.only, stage=self.stage, kit=self.kit, skip=self.skip, blind=self.blind,
            proof=not self.no_proof, png=self.png, since=since, prints_all=self.all and since is not None,
            weighed_in=weighed_in,
        )  # fmt: skip


def asked_of(given: QueryParams) -> Asked:
    """What an address or a form asks for; a value that no form sends counts as none."""
    stage, kit, skip = given.get("stage", ""), given.get("kit", ""), given.get("skip", "")
    return Asked(
        boxes=_names(given.getlist("boxes")),
        level=given.get("level", ""),
        system=given.get("system", ""),
        only=_names(given.getlist("only")),
        stage=next((each for each in STAGES if each == stage), ""),
        kit=next((each for each in KITS if each == kit), ""),
        skip=min(int(skip), SKIP_AT_MOST) if skip.isascii() and skip.isdigit() else 0,
        since=given.get("since", ""),
        weighed_in=tuple(dict.fromkeys(filter(None, given.getlist("weighed_in")[:NAMES_AT_MOST]))),
        **{name: bool(given.get(name)) for name in ("all", "blind", "png", "no_proof")},
    )


def _names(texts: Iterable[str]) -> tuple[str, ...]:
    """Names in capitals, each once; several may be in one text, divided by spaces or commas."""
    names = (name for text in texts for name in text.upper().replace(",", " ").split())
    return tuple(dict.fromkeys(names))[:NAMES_AT_MOST]

"""How a schedule was understood: its columns, skipped rows, cells filled in, what was inferred, its rows.

Records that `tagmaker read` shows, so that a person can see what the program made of a file.
"""

from collections.abc import Mapping

import msgspec
from msgspec import Struct

from tagmaker.job.model import UnitRow
from tagmaker.problems import Where
from tagmaker.units import Length

__all__ = [
    "BoxFacts",
    "Choices",
    "Column",
    "FilledCell",
    "Inference",
    "ReadSheet",
    "SkippedRow",
    "Spare",
    "SystemFacts",
    "Unknown",
]


class Choices(Struct, frozen=True):
    """A job's choices for its schedules: the meaning of headers by their text, and the sheets that count.

    A meaning is a column's key, with a unit in brackets if the header has none; "" leaves the column out.
    `defaults` hold for a row that gives none; `hidden` names the hidden rows that are left out, each by its
    unit's or box's tag, or by its first text; `of_job` is false where there is no job.toml yet.
    """

    columns: Mapping[str, str] = msgspec.field(default_factory=dict)
    sheets: tuple[str, ...] = ()
    defaults: Mapping[str, Length] = msgspec.field(default_factory=dict)
    of_job: bool = False
    hidden: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """Where a person makes a choice about a header, as hints name it."""
        made = "job.toml" if self.of_job else "the job.toml that `tagmaker start` writes"
        return f"[columns] of {made}"


class Column(Struct, frozen=True):
    """A column of a schedule as understood; `index` is its place from 0.

    `key` is the one that it has in a job, "" where the column is left out; `unit` is that of its bare
    numbers, `name` its name in the job's [columns].
    """

    index: int
    header: str
    where: Where
    key: str
    unit: str = ""
    name: str = ""


class Unknown(Struct, frozen=True):
    """A header that only the job's [columns] can explain.

    `message` is the problem's, `answer` the one that a new job.toml begins with.
    """

    header: str
    message: str
    answer: str = ""


class SkippedRow(Struct, frozen=True):
    """A row that holds no unit.

    `where` is where its text begins, `why` the reason; `name` is that of a hidden row, by which the job can
    leave it out.
    """

    where: Where
    why: str
    text: str = ""
    name: str = ""


class Spare(Struct, frozen=True):
    """A row that names a port, or pair, as spare.

    `box` and `port` are as written.
    """

    box: str
    port: str
    where: Where

    @property
    def letters(self) -> list[str]:
        """The port's letters."""
        return [part.strip() for part in self.port.upper().split("+")]


class FilledCell(Struct, frozen=True):
    """A blank cell that took its text from a cell above it.

    `key` is its column's, `source` the place of the cell above.
    """

    where: Where
    key: str
    text: str
    source: Where


class Inference(Struct, frozen=True):
    """What was read from something else than a cell's plain text.

    `text` is the value, under the key that it has in a job; `source` gives in words what it was read from.
    """

    where: Where
    key: str
    text: str
    source: str


class BoxFacts(Struct, frozen=True):
    """What a sheet of boxes gives for a box: number of ports (0 = not given), texts by the keys of [[box]].

    `places` are those of its cells by key.
    """

    tag: str
    ports: int
    texts: Mapping[str, str]
    where: Where
    places: Mapping[str, Where] = msgspec.field(default_factory=dict)

    @property
    def key(self) -> str:
        """The tag in capitals, as codes have it."""
        return self.tag.upper()


class SystemFacts(Struct, frozen=True):
    """What a sheet of systems gives for a system: texts by the keys of [[system]], and their places.

    A key of one of its tables is behind a point: "test.hold".
    """

    tag: str
    texts: Mapping[str, str]
    where: Where
    places: Mapping[str, Where]


class ReadSheet(Struct, frozen=True):
    """A sheet as understood: how its bytes were read, why it is left out as a whole ("" = it is not).

    `level` is the one that its name gives; `boxes` are the rows of a sheet of boxes,
    `systems` those of a sheet of systems; `hidden` are the hidden
    rows that are neither used nor left out yet.
    """

    where: Where
    remark: str = ""
    why: str = ""
    columns: tuple[Column, ...] = ()
    left: tuple[SkippedRow, ...] = ()
    filled: tuple[FilledCell, ...] = ()
    rows: tuple[UnitRow, ...] = ()
    spares: tuple[Spare, ...] = ()
    unknown: tuple[Unknown, ...] = ()
    inferred: tuple[Inference, ...] = ()
    level: str = ""
    boxes: tuple[BoxFacts, ...] = ()
    hidden: tuple[SkippedRow, ...] = ()
    systems: tuple[SystemFacts, ...] = ()

    def tags(self) -> dict[str, str]:
        """The tags of the boxes that its rows name, by the tag in capitals."""
        found = [*(row.box for row in self.rows), *(spare.box for spare in self.spares)]
        return {tag.upper(): tag for tag in found}

"""What the paper of a job is chosen from: its boxes by level and system, the present stock of each use."""

from collections.abc import Iterable
from pathlib import Path

from msgspec import Struct

from tagmaker.catalog.stock import Use
from tagmaker.catalog.words import load_words
from tagmaker.files.toml import read_toml
from tagmaker.job.choices import job_file
from tagmaker.job.prints import PRINT_USES
from tagmaker.problems import Problem
from tagmaker.workflows.planning import plan
from tagmaker.workflows.stock_choice import named_stocks
from tagmaker.workflows.stocks import StockOutline, stock_outline

__all__ = ["Paper", "PaperBox", "UsedStock", "paper"]


class PaperBox(Struct, frozen=True):
    """A box as it is chosen: its tag in capitals, as shown, and where it is."""

    key: str
    shown: str
    place: str
    level: str
    system: str


class UsedStock(Struct, frozen=True):
    """What a use is printed on at present; `is_named` where the job names it. No stock: it is not printed."""

    use: Use
    stock: StockOutline | None
    is_named: bool


class Paper(Struct, frozen=True):
    """A job's title and revision, its boxes in walking order, its stocks, and all problems of its plan.

    Without a plan there are no boxes and no stocks.
    """

    title: str
    number: str
    name: str
    revision: str
    boxes: tuple[PaperBox, ...]
    stocks: tuple[UsedStock, ...]
    problems: tuple[Problem, ...]

    @property
    def levels(self) -> list[str]:
        """The levels of the boxes, in the order of the boxes."""
        return _each(box.level for box in self.boxes)

    @property
    def systems(self) -> list[str]:
        """The systems of the boxes, in the order of the boxes."""
        return _each(box.system for box in self.boxes)

    def boxes_of(self, level: str, system: str) -> tuple[str, ...]:
        """The boxes of a level and a system ("" = any), by their tags in capitals."""
        return tuple(box.key for box in self.boxes if level in {"", box.level} and system in {"", box.system})


def _each(texts: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(text for text in texts if text))


def paper(path: Path) -> Paper:
    """What the paper of a job is chosen from."""
    checked = plan(path)
    file = read_toml(job_file(path), job_file(path).name)
    if checked.plan is None or isinstance(file, Problem):
        return Paper("", "", "", "", (), (), checked.problems)
    job, words = checked.plan.job, load_words()
    named, stocks = named_stocks(file), job.prints.stocks
    return Paper(
        title=job.title,
        number=job.number,
        name=job.name,
        revision=job.revision,
        boxes=tuple(PaperBox(row.key, row.shown, row.place, row.level, row.system) for row in job.boxes),
        stocks=tuple(
            UsedStock(use, stock_outline(stocks[use], words) if use in stocks else None, use in named)
            for use in PRINT_USES
        ),
        problems=checked.problems,
    )

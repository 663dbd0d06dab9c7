"""A job whose response test is done on a simulated site: its files filled in as a person would."""

import csv
import json
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from tagmaker.plan.response import Asked
from tagmaker.workflows.response import Responded, ResponseRequest, response
from tests.site.walks import filled
from tests.strategies import BoxSketch, JobSketch, UnitSketch

__all__ = ["SITE", "Answers", "answers", "exchange", "fill_csv", "made", "response_form", "rows_of"]

SITE = JobSketch(
    (
        BoxSketch(
            "BB-1",
            8,
            (
                UnitSketch("FC-1", "A", "12 kBtu/h", "Shop"),
                UnitSketch("FC-2", "B", "18 kBtu/h", "Store"),
                UnitSketch("FC-3", "B", "9 kBtu/h", "Store"),
                UnitSketch("FC-4", "C", "24 kBtu/h", "Office"),
                UnitSketch("AH-1", "E+F", "72 kBtu/h", "Hall"),
            ),
            "Corridor",
        ),
        BoxSketch(
            "BB-2", 4, (UnitSketch("FC-5", "A", "24 kBtu/h", "Lobby"), UnitSketch("FC-6", "B", "9 kBtu/h"))
        ),
    ),
    number="ML-24",
    revision="2",
)
Answers = dict[tuple[str, str], str]
"""By box and letter, the word that is called there; by box and unit that which reaches another unit."""


def made(job: Path, out: Path, asked: Asked | None = None, since: Path | None = None) -> Responded:
    """The test written into a folder, without a problem."""
    done = response(job, out, ResponseRequest(asked or Asked(), since))
    assert done.problems == ()
    return done


def answers(out: Path) -> Answers:
    """What is called, by response.json."""
    found: Any = json.loads((out / "response.json").read_text(encoding="utf-8"))
    return {
        (call["box"], name): call["calls"]
        for system in found["systems"]
        for call in system["ports"]
        for name in {*call["port"].split("+"), call["port"]}
    }


def exchange(words: Answers, box: str, one: str, other: str) -> Answers:
    """The same with two cables of a box exchanged."""
    return words | {(box, one): words[box, other], (box, other): words[box, one]}


def rows_of(path: Path) -> list[list[str]]:
    """The rows of a table."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def fill_csv(
    path: Path, to: Path, words: Answers, takes: Callable[[list[str]], bool] = lambda _row: True
) -> Path:
    """A table filled in with these words, a spare stub without change; rows not taken stay blank."""
    head, *rows = rows_of(path)
    count = len(head) - 5
    filled: Iterable[list[str]] = (
        [*row[:5], *_word(words, row, count)] if takes(row) else row for row in rows
    )
    to.parent.mkdir(parents=True, exist_ok=True)
    with to.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *filled])
    return to


def _word(words: Answers, row: list[str], count: int) -> str:
    """What is read in a row."""
    of_port = words.get((row[2], row[3]), "0" * count)
    return words.get((row[2], row[4]), of_port) if row[4] else of_port


def response_form(out: Path, words: Answers) -> bytes:
    """The form filled in with these words."""
    _, *rows = rows_of(out / "response.csv")
    count = len(next(iter(words.values())))
    values = {
        f"{box}/response/{port}/{unit}/{at + 1}": letter
        for _, _, box, port, unit, *_ in rows
        for at, letter in enumerate(words.get((box, port), "0" * count))
    }
    return filled((out / "response.pdf").read_bytes(), dict(values))

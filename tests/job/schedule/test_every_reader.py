"""The same rows through every reader give the same plan."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings

from tagmaker.job.schedule.read import READERS
from tagmaker.plan.outline import outlines
from tagmaker.problems import has_errors
from tagmaker.workflows import planning
from tests.strategies import ROW_KEYS, JobSketch, sketches
from tests.workbooks import csv_bytes, handmade, handmade_rows, workbook

Texts = Sequence[Sequence[str]]


def by_hand(path: Path, rows: Texts, *, shared: bool) -> None:
    """A workbook of the least XML."""
    content, texts = handmade_rows(rows, shared=shared)
    handmade(path, {"Ports": content}, texts)


WRITERS: dict[str, Callable[[Path, Texts], object]] = {
    "comma.csv": lambda path, rows: path.write_bytes(csv_bytes(rows, ",", "utf-8")),
    "semicolon.csv": lambda path, rows: path.write_bytes(csv_bytes(rows, ";", "utf-8-sig")),
    "tab.csv": lambda path, rows: path.write_bytes(csv_bytes(rows, "\t", "utf-16")),
    "openpyxl.xlsx": workbook,
    "inline.xlsx": lambda path, rows: by_hand(path, rows, shared=False),
    "shared.xlsx": lambda path, rows: by_hand(path, rows, shared=True),
}


def named_once(rows: Texts) -> Texts:
    """The rows with a box that repeats the one above it left blank, where that says the same."""
    boxes = [row[1] for row in rows]
    return [
        [unit, "" if number and boxes[number - 1] == box else box, *rest]
        for number, (unit, box, *rest) in enumerate(rows)
    ]


@given(sketch=sketches(most_units=3))
@settings(max_examples=12, deadline=None)
def test_every_reader_gives_the_same_plan(
    sketch: JobSketch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """CSV of several countries, workbooks by openpyxl and by hand, boxes named once or in every row."""
    folder = tmp_path_factory.mktemp("job")
    rows = [ROW_KEYS, *([row[key] for key in ROW_KEYS] for row in sketch.rows())]
    expected = planning.plan(sketch.write(folder / "inline")).plan
    assert expected is not None
    for name, write in WRITERS.items():
        for place, content in (("all", rows), ("once", named_once(rows))):
            job = folder / place
            job.mkdir(exist_ok=True)
            (job / "job.toml").write_text(sketch.toml(name), encoding="utf-8")
            write(job / name, content)
            checked = planning.plan(job)
            assert checked.plan is not None
            assert not has_errors(checked.problems), (name, checked.problems)
            assert outlines(expected) == outlines(checked.plan)


def test_every_reader_is_tried() -> None:
    """A new reader needs its writer here."""
    assert {READERS[Path(name).suffix] for name in WRITERS} == set(READERS.values())

"""A print that lies 1 mm off on its sheet: every word and every code is still whole on its own label.

Measured on rasters of finished sheets: a strip of 1 mm inside each label's edge is bare. Marks of where a
flag is folded are no words, and are left out. Office printers feed a sheet to a millimetre (common practice).
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from tagmaker.catalog.stock import Stock
from tagmaker.job.prints import DEFAULT_LABELS
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.make import make
from tests.outside.finished import PRINTS, Finished, pages
from tests.strategies import label_stocks

DPI = 300
DOTS = DPI / 25.4  # labels are cut out to whole ones, hence one less in the strips
SHIFT_MM = 1.0
FOLD_MM = 0.5  # half the width at a label's middle in which a flag's marks lie
INK = 128
Dots = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]


def sheets(finished: Finished) -> list[tuple[str, Stock]]:
    """The label files of sheets, with their stocks as the job prints on them."""
    found = {f"tags-{each.name}.pdf": each for each in finished.stocks if each.kind == "sheet"}
    return [(file, found[file]) for file in finished.tag_files if file in found]


def edge_ink(ink: Dots, row: dict[str, str]) -> list[str]:
    """The sides of a label that have ink within a millimetre of the edge."""
    left, top, width, height = (float(row[key]) * DOTS for key in ("x_mm", "y_mm", "width_mm", "height_mm"))
    label = ink[round(top) : round(top + height), round(left) : round(left + width)].copy()
    middle, half, strip = label.shape[1] // 2, round(FOLD_MM * DOTS), int(SHIFT_MM * DOTS) - 1
    if row["kind"] == "cable":
        label[:, middle - half : middle + half] = False
    sides = {
        "left": label[:, :strip], "right": label[:, -strip:], "top": label[:strip], "bottom": label[-strip:],
    }  # fmt: skip
    return [side for side, dots in sides.items() if dots.any()]


def test_no_word_or_code_is_within_a_millimetre_of_its_labels_edge(finished: Finished) -> None:
    """So a print that lies 1 mm to any side loses none of them."""
    wrong, labels = [], 0
    for file, _ in sheets(finished):
        for number, picture in pages(finished.out / file, DPI):
            ink = np.asarray(picture.convert("L")) < INK
            for row in finished.register:
                if (row["file"], row["page"]) == (file, str(number)):
                    labels += 1
                    wrong += [(file, row["code"], side) for side in edge_ink(ink, row)]
    assert wrong == []
    assert labels == sum(row["file"] in dict(sheets(finished)) for row in finished.register)


def test_every_sheet_stock_is_measured() -> None:
    """No sheet of labels ships whose edges nobody looks at."""
    printed_on = {stock for prints in PRINTS.values() for stock in prints.values()} | {DEFAULT_LABELS}
    assert {stock.name for stock in label_stocks() if stock.kind == "sheet"} <= printed_on


LOW_AND_HIGH = """[job]
name = "Low and high letters"
family = "four-port-boards"
[print]
{prints}
[[box]]
tag = "bd-21"
ports = 4
power = "Panel jq, circuit (y)"
[[box]]
tag = "Q-1"
shown = "Q/1"
ports = 4
[[unit]]
unit = "jpg-1"
box = "bd-21"
port = "A"
capacity = "12 kBtu/h"
room = "Gypsy quay, jig"
[[unit]]
unit = "Qy-9"
box = "Q-1"
port = "A+B"
capacity = "72 kBtu/h"
"""


@pytest.mark.parametrize("stock", ["letter-10-102x51", "letter-30-67x25"])
def test_small_letters_and_tails_keep_the_millimetre_too(stock: str, tmp_path: Path) -> None:
    """Those of a box's tag that is printed huge reach above capitals and below their line."""
    uses = ("pipe", "pipe_rough_in", "terminal", "locator", "isolation", "unit")
    prints = "\n".join(f'{use} = "{stock}"' for use in uses)
    (tmp_path / "job.toml").write_text(LOW_AND_HIGH.format(prints=prints))
    out, file = tmp_path / "out", f"tags-{stock}.pdf"
    assert make(tmp_path, out, Selection(proof=False)).files
    rows = list(csv.DictReader((out / "register.csv").read_text("utf-8").splitlines()))
    wrong: list[tuple[str, str]] = []
    for number, picture in pages(out / file, DPI):
        ink = np.asarray(picture.convert("L")) < INK
        of_page = [row for row in rows if (row["file"], row["page"]) == (file, str(number))]
        wrong += [(row["code"], side) for row in of_page for side in edge_ink(ink, row)]
    assert wrong == []

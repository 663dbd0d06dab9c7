"""A print that lies 1 mm off on its sheet: every word and every code is still whole on its own label.

Measured on rasters of finished sheets: a strip of 1 mm inside each label's edge is bare. Marks of where a
flag is folded are no words, and are left out. Office printers feed a sheet to a millimetre (common practice).
"""

import numpy as np

from tagmaker.catalog.stock import Stock
from tagmaker.job.prints import DEFAULT_LABELS
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

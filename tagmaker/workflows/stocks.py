"""The stages of the commands about stocks: list them, draw one as it lies, align a printer with one."""

import re
from collections.abc import Callable
from pathlib import Path

from tagmaker.catalog.alignment import Alignment, alignment_file, keep_alignment, measured
from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import load_stock
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.write import write_file
from tagmaker.problems import Problem, Where, error
from tagmaker.sheets.sample import align_page, align_points, reads_from, sample_page
from tagmaker.symbols.png import page_pngs
from tagmaker.typeset.fonts import all_faces

__all__ = ["align", "align_by_asking", "draw", "forget", "listing", "listing_lines"]

Outcome = tuple[list[Problem], list[str]]
READING = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*[, ;]\s*(-?\d+(?:\.\d+)?)\s*", re.ASCII)
FAR_OFF_MM = 15.0
FAR_OFF_SCALE = 0.1
SCREEN_DPI = 203.2


def listing(job: Path | None) -> tuple[list[dict[str, object]], list[Problem]]:
    """Every stock with its sizes in mm, what it suits and from how far its main line reads in metres."""
    words = load_words()
    rows: list[dict[str, object]] = []
    problems: list[Problem] = []
    for name in names("stocks", job):
        stock, found = load_stock(name, "", job, Where(name))
        problems += found
        if stock:
            row = {
                "name": name,
                "title": stock.title,
                "label_mm": list(stock.label),
                "per_page": stock.per_page,
                "shape": stock.shape if stock.kind != "page" else "page",
                "suits": list(stock.suits),
                "reads_from_m": round(reads_from(stock, words), 1),
                "material": stock.material,
                "life": stock.life,
            }
            rows.append(row)
    return rows, problems


def listing_lines(rows: list[dict[str, object]]) -> list[str]:
    """The listing for a terminal, two lines a stock."""
    lines: list[str] = []
    for row in rows:
        suits = ", ".join(map(str, row["suits"] if isinstance(row["suits"], list) else []))
        lines.append(f"{row['name']}  {row['title']}")
        lines.append(
            f"    for {suits}; reads from {row['reads_from_m']} m; {row['material']} ({row['life']})"
        )
    return lines


def draw(name: str, out: Path, job: Path | None) -> list[Problem]:
    """Write a picture of a stock as it lies, PDF or PNG by the file's ending."""
    stock, problems = load_stock(name, "", job, Where("NAME"))
    if stock is None:
        return list(problems)
    return _write(out, f"stock {name}", sample_page(stock, load_words()))


def _write(out: Path, title: str, page: Page) -> list[Problem]:
    if out.suffix.lower() not in {".pdf", ".png"}:
        return [
            error("output-blocked", f"{out}: a picture is .pdf or .png", Where(str(out)), "change its ending")
        ]
    content = draw_pdf(title, "", [page], all_faces())
    if out.suffix.lower() == ".png":
        content = next(page_pngs(content, SCREEN_DPI, one_bit=False))
    problem = write_file(out, content)
    return [problem] if problem else []


def align_by_asking(stock: str, out: Path, ask: Callable[[str], str]) -> Outcome:
    """Write the alignment page, then ask for what was read off its print."""
    found, problems = load_stock(stock, "", None, Where("STOCK"))
    if found is None:
        return list(problems), []
    problems_found = _write(out, f"alignment of {stock}", align_page(found, load_words()))
    if problems_found:
        return problems_found, []
    told = f"{out} is written. Print it on {stock} at 100 %; measure each cross from the left and top edge."
    first = ask(f"{told}\nCross 1, as X,Y in mm")
    return align(stock, first, ask("Cross 2, as X,Y in mm"))


def align(name: str, first: str, second: str) -> Outcome:
    """Keep the alignment that two readings ("25.2,25.1") tell of."""
    stock, problems = load_stock(name, "", None, Where("STOCK"))
    if stock is None:
        return list(problems), []
    readings = [_reading(text) for text in (first, second)]
    points = align_points(stock)
    for reading, point, text in zip(readings, points, (first, second), strict=True):
        if reading is None or max(abs(reading[0] - point[0]), abs(reading[1] - point[1])) > FAR_OFF_MM:
            meant = f"the cross is meant at {point[0]:g},{point[1]:g}"
            message = f"{text!r} is no reading near its cross"
            return [error("value-wrong", message, Where("align"), f"write X,Y in mm; {meant}")], []
    one, two = readings
    if one is None or two is None:
        raise AssertionError("both readings were checked above")
    kept = measured(points, (one, two))
    scale = f"scale {kept.scale_x:.2%}, {kept.scale_y:.2%}"
    if max(abs(kept.scale_x - 1), abs(kept.scale_y - 1)) > FAR_OFF_SCALE:
        message = f"these readings tell of {scale}, which no printer has"
        return [error("value-wrong", message, Where("align"), "print at 100 % and measure again")], []
    return _kept(name, kept, f"{name}: shift {kept.shift_x:+.2f}, {kept.shift_y:+.2f} mm, {scale}; kept in")


def _kept(name: str, alignment: Alignment | None, told: str) -> Outcome:
    """Keep an alignment, or forget it; what was done, with the file."""
    try:
        return [], [f"{told} {keep_alignment(name, alignment)}"]
    except OSError as reason:
        message = f"the alignment cannot be kept: {reason.strerror}"
        return [error("output-blocked", message, Where(str(alignment_file())), "free the folder")], []


def _reading(text: str) -> tuple[float, float] | None:
    match = READING.fullmatch(text)
    return (float(match[1]), float(match[2])) if match else None


def forget(name: str) -> Outcome:
    """Forget what was measured for a stock."""
    return _kept(name, None, f"{name}: forgotten in")

"""A placard as a phone sees it above a ceiling: how often a scan still gives all settings.

Run: python -m tests.bench.placard_damage [trials] [stock …] [afar]. A scan is three frames of a
12-megapixel phone at 0.35 m: 8 pixels a millimetre, slight perspective, blur, noise and uneven light.
It passes when any code in any frame reads to the placard's whole text. Seeded: the same call prints
the same figures.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing import Pool

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter
from pyzbar import pyzbar

from tagmaker.catalog.stock import load_stock
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Bars, Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.read import read_job
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.sheets.placard import placard_pages
from tagmaker.symbols.read import page_pictures
from tagmaker.tags.placard_text import placard_text
from tagmaker.typeset.fonts import all_faces
from tests.paths import ROOT

PX_MM = 8
FRAMES = 3
BLOT_MM = 20.0
EXAMPLE = ROOT / "example_jobs" / "clinic"
Picture = Image.Image
Damage = Callable[[Picture, "Scene", np.random.Generator], Picture]


@dataclass(frozen=True)
class Scene:
    """A placard's page with its codes: picture, text, and each code's box in pixels."""

    picture: Picture
    text: str
    codes: tuple[tuple[float, float, float, float], ...]


def scene(stock_name: str) -> Scene:
    """The full 12-port box of the clinic on a stock; the page that holds the codes."""
    job, _ = read_job(EXAMPLE)
    stock, _ = load_stock(stock_name, "placard", None, Where(""))
    if job is None or stock is None:
        raise ValueError(stock_name)
    plan, _ = plan_job(job)
    box = next(box for box in plan.boxes if box.row.ports == 12)
    pages, _ = placard_pages(job, box, stock, load_words())
    page = next(page for page in reversed(pages) if any(isinstance(mark, Bars) for mark in page.marks))
    picture = next(page_pictures(draw_pdf("", "", [page], all_faces()), PX_MM * 25.4))
    return Scene(picture, placard_text(job, box), tuple(_boxes(page)))


def _boxes(page: Page) -> Iterator[tuple[float, float, float, float]]:
    for mark in page.marks:
        if isinstance(mark, Bars):
            side = max(column + columns for column, _, columns, _ in mark.runs) * mark.cell_width
            yield mark.x * PX_MM, mark.y * PX_MM, (mark.x + side) * PX_MM, (mark.y + side) * PX_MM


# --- damage ----------------------------------------------------------------------------------------------


def none(picture: Picture, _scene: Scene, _random: np.random.Generator) -> Picture:
    """No damage."""
    return picture


def _blot(picture: Picture, x: float, y: float, random: np.random.Generator) -> Picture:
    radius = BLOT_MM / 2 * PX_MM
    shade = 0 if random.random() < 0.5 else 255
    ImageDraw.Draw(picture).ellipse((x - radius, y - radius, x + radius, y + radius), fill=shade)
    return picture


def blot_anywhere(picture: Picture, _scene: Scene, random: np.random.Generator) -> Picture:
    """A round blot of 20 mm, black or white, anywhere."""
    return _blot(picture, random.uniform(0, picture.width), random.uniform(0, picture.height), random)


def blot_on_code(picture: Picture, scene: Scene, random: np.random.Generator) -> Picture:
    """The blot's middle lies on a code."""
    left, top, right, bottom = scene.codes[random.integers(len(scene.codes))]
    return _blot(picture, random.uniform(left, right), random.uniform(top, bottom), random)


def scratch(picture: Picture, scene: Scene, random: np.random.Generator) -> Picture:
    """A white scratch of 2 mm from edge to edge through a code."""
    left, top, right, bottom = scene.codes[random.integers(len(scene.codes))]
    x, y, angle = random.uniform(left, right), random.uniform(top, bottom), random.uniform(0, np.pi)
    reach = picture.width + picture.height
    dx, dy = reach * np.cos(angle), reach * np.sin(angle)
    ImageDraw.Draw(picture).line((x - dx, y - dy, x + dx, y + dy), fill=255, width=2 * PX_MM)
    return picture


def torn_corner(picture: Picture, _scene: Scene, random: np.random.Generator) -> Picture:
    """A corner torn off, 30 to 60 mm along both edges."""
    a, b = random.uniform(30, 60, 2) * PX_MM
    x = 0 if random.random() < 0.5 else picture.width
    y = 0 if random.random() < 0.5 else picture.height
    corner = [(x, y), (abs(x - a), y), (x, abs(y - b))]
    ImageDraw.Draw(picture).polygon(corner, fill=int(random.integers(0, 160)))
    return picture


def fold(picture: Picture, _scene: Scene, random: np.random.Generator) -> Picture:
    """A fold across: one side in shade, the crease worn white for 1.5 mm."""
    y = random.uniform(0.15, 0.85) * picture.height
    grey = np.asarray(picture, dtype=np.float32).copy()
    grey[int(y) :] *= 0.6
    half = int(0.75 * PX_MM)
    grey[int(y) - half : int(y) + half] = 235
    return Image.fromarray(grey.astype(np.uint8))


DAMAGES: dict[str, Damage] = {
    "none": none,
    "blot anywhere": blot_anywhere,
    "blot on a code": blot_on_code,
    "scratch": scratch,
    "torn corner": torn_corner,
    "fold": fold,
}


# --- the phone -------------------------------------------------------------------------------------------


def frame(picture: Picture, random: np.random.Generator) -> Picture:
    """One frame: perspective of up to 3 %, blur, uneven light, noise."""
    width, height = picture.size
    shift = random.uniform(-0.03, 0.03, (4, 2)) * (width, height)
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float) + shift
    seen = picture.transform(
        (width, height), Image.Transform.PERSPECTIVE, _coefficients(corners, width, height),
        Image.Resampling.BILINEAR, fillcolor=200,
    )  # fmt: skip
    seen = seen.filter(ImageFilter.GaussianBlur(random.uniform(0.6, 1.3)))
    grey = np.asarray(seen, dtype=np.float64)
    light = np.linspace(random.uniform(0.5, 1.0), random.uniform(0.5, 1.0), width)[None, :]
    light = light * np.linspace(random.uniform(0.75, 1.0), random.uniform(0.75, 1.0), height)[:, None]
    grey = grey * light + random.normal(0, 7, grey.shape)
    return Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8))


def _coefficients(corners: np.ndarray, width: int, height: int) -> list[float]:
    rows, goal = [], []
    for (x, y), (u, v) in zip(corners, [(0, 0), (width, 0), (width, height), (0, height)], strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        goal += [u, v]
    return [float(each) for each in np.linalg.solve(np.array(rows), np.array(goal, dtype=float))]


def _around(code: tuple[float, float, float, float], picture: Picture) -> tuple[int, int, int, int]:
    """A code with 8 mm around it: damage elsewhere cannot matter to it, and a part is quick."""
    margin = 8 * PX_MM
    left, top, right, bottom = code
    return (
        round(max(0, left - margin)),
        round(max(0, top - margin)),
        round(min(picture.width, right + margin)),
        round(min(picture.height, bottom + margin)),
    )


def by_zxing(picture: Picture) -> set[str]:
    """The texts that zxing-cpp reads."""
    return {code.text for code in zxingcpp.read_barcodes(picture, formats=(zxingcpp.BarcodeFormat.QRCode,))}


def by_zbar(picture: Picture) -> set[str]:
    """The texts that zbar reads."""
    codes = pyzbar.decode(picture, symbols=[pyzbar.ZBarSymbol.QRCODE])
    return {code.data.decode(errors="replace") for code in codes}


def trial(task: tuple[str, str, int]) -> tuple[str, bool, bool]:
    """One scan of one damaged placard: whether zxing-cpp and zbar got all settings from any frame."""
    stock, damage, seed = task
    if stock not in SCENES:
        SCENES[stock] = scene(stock)
    shown = SCENES[stock]
    random = np.random.default_rng([seed, sorted(DAMAGES).index(damage)])
    hurt = DAMAGES[damage](shown.picture.copy(), shown, random)
    read = {by_zxing: False, by_zbar: False}
    views = [hurt] if damage == "none" else [hurt.crop(_around(code, hurt)) for code in shown.codes]
    for _ in range(FRAMES):
        seen = [frame(view, random) for view in views]
        for reader, done in read.items():
            read[reader] = done or any(shown.text in reader(view) for view in seen)
        if all(read.values()):
            break
    return damage, read[by_zxing], read[by_zbar]


SCENES: dict[str, Scene] = {}
NEAR_M = 0.35  # at which the phone sees PX_MM
DISTANCES_M = (0.35, 0.45, 0.55, 0.65, 0.75, 0.85)


def far_trial(task: tuple[str, float, int]) -> tuple[bool, bool]:
    """One scan of a whole placard from further away: whether zxing-cpp and zbar got all settings."""
    stock, distance, seed = task
    if stock not in SCENES:
        SCENES[stock] = scene(stock)
    shown = SCENES[stock]
    random = np.random.default_rng([seed, round(distance * 100)])
    scale = NEAR_M / distance
    size = (round(shown.picture.width * scale), round(shown.picture.height * scale))
    small = shown.picture.resize(size, Image.Resampling.BOX)
    frames = [frame(small, random) for _ in range(FRAMES)]
    zxing, zbar = (any(shown.text in reader(seen) for seen in frames) for reader in (by_zxing, by_zbar))
    return zxing, zbar


def from_afar(trials: int, stocks: list[str]) -> None:
    """Print from how far a whole placard scans: distance by decoder by stock."""
    with Pool(2) as pool:
        for stock in stocks:
            for distance in DISTANCES_M:
                results = pool.map(far_trial, [(stock, distance, seed) for seed in range(trials)])
                rates = [100 * sum(row[column] for row in results) / trials for column in (0, 1)]
                print(f"{stock:<14}{distance:>6.2f} m{rates[0]:>10.1f}{rates[1]:>10.1f}", flush=True)  # noqa: T201


def main(trials: int, stocks: list[str]) -> None:
    """Print a table: damage by decoder by stock."""
    print(f"{trials} trials; scans that gave all settings, in per cent")  # noqa: T201 — a bench prints
    print(f"{'stock':<14}{'damage':<18}{'zxing-cpp':>10}{'zbar':>10}{'either':>10}")  # noqa: T201
    with Pool(2) as pool:
        for stock in stocks:
            for damage in DAMAGES:
                results = pool.map(trial, [(stock, damage, seed) for seed in range(trials)], chunksize=8)
                rates = [100 * sum(bool(row[column]) for row in results) / trials for column in (1, 2)]
                either = 100 * sum(bool(row[1] or row[2]) for row in results) / trials
                print(f"{stock:<14}{damage:<18}{rates[0]:>10.1f}{rates[1]:>10.1f}{either:>10.1f}", flush=True)  # noqa: T201


if __name__ == "__main__":
    named = [word for word in sys.argv[2:] if word != "afar"] or ["letter", "4x6"]
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    if "afar" in sys.argv:
        from_afar(count, named)
    else:
        main(count, named)

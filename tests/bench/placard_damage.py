"""A placard as a phone sees it above a ceiling: how often a scan still gives all settings.

Run: python -m tests.bench.placard_damage [trials] [stock …] [ports …] [form+form …] [level …] [afar], as in
`200 letter 4x6 12 contact+text` or, to compare levels, `100 4x6 8 Q M L`. A scan is three frames of a
12-megapixel phone: 8 pixels a millimetre at 0.35 m, slight perspective, blur, noise and uneven light. Damaged
placards are scanned from there. Whole ones are scanned from 0.5 m too, with motion, a shadow's edge and
glare, and from 0.35 m in a preview of 1,920 pixels. A scan passes when any code in any frame reads to the
placard's whole text. Each code is seen with 8 mm around it. Seeded: the same call prints the same figures.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from unittest import mock

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter
from pyzbar import pyzbar
from scipy import ndimage

from tagmaker.catalog.stock import load_stock
from tagmaker.catalog.words import load_words
from tagmaker.draw.marks import Bars, Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.job.prints import PlacardForm
from tagmaker.problems import Where
from tagmaker.sheets import placard_codes
from tagmaker.sheets.placard import placard_pages
from tagmaker.symbols.encode import Level
from tagmaker.symbols.read import page_pictures
from tagmaker.typeset.fonts import all_faces
from tests.records import replace
from tests.sheets.boxes import filled, job_of
from tests.strategies import first_box

PX_MM = 8
NEAR_M = 0.35  # at which the phone sees PX_MM
AFAR_M = 0.5
DISTANCES_M = (0.35, 0.45, 0.55, 0.65, 0.75, 0.85)
PREVIEW = 1920 / 4000  # of the columns of 12 megapixels
MOTION_MM = 0.5  # on the paper while a frame is exposed: a hand's 30 mm/s for 1/60 s (assumed)
FRAMES = 3
BLOT_MM = 20.0
PORTS = (4, 8, 12)
LINK = "https://example.org/placard.html"
Picture = Image.Image
Damage = Callable[[Picture, "Scene", np.random.Generator], Picture]
Forms = tuple[PlacardForm, PlacardForm]
USUAL: Forms = ("contact", "text")


@dataclass(frozen=True)
class Case:
    """A placard: stock, number of ports, forms of its codes; the level of both, or as the program chooses."""

    stock: str
    ports: int = 12
    forms: Forms = USUAL
    level: Level | None = None


@dataclass(frozen=True)
class Scene:
    """The page of a placard that holds its codes: picture; text, box in pixels and module in mm of each."""

    picture: Picture
    texts: tuple[str, ...]
    codes: tuple[tuple[float, float, float, float], ...]
    modules: tuple[float, ...]


def scene(case: Case) -> Scene:
    """A box with a unit on every port: its texts are the longest of its size."""
    stock, _ = load_stock(case.stock, "placard", None, Where(""))
    if stock is None:
        raise ValueError(case.stock)
    job = job_of(filled(case.ports)).record()
    job = replace(job, prints=replace(job.prints, placard_codes=case.forms, link=LINK))
    only = {"LEVELS": (case.level,), "SMALL_LEVELS": (case.level,)} if case.level else {}
    with mock.patch.dict(vars(placard_codes), only):
        pages, _ = placard_pages(job, first_box(job), stock, load_words())
    page = next(page for page in reversed(pages) if _bars(page))
    picture = next(page_pictures(draw_pdf("", "", [page], all_faces()), PX_MM * 25.4))
    bars = _bars(page)
    return Scene(
        picture,
        tuple(each.text for each in bars),
        tuple(_boxes(bars)),
        tuple(each.cell_width for each in bars),
    )


def _bars(page: Page) -> list[Bars]:
    return [mark for mark in page.marks if isinstance(mark, Bars)]


def _boxes(bars: list[Bars]) -> Iterator[tuple[float, float, float, float]]:
    for mark in bars:
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


@dataclass(frozen=True)
class Look:
    """How a phone looks: from how far, whether in motion with shade and glare, in how much of its pixels."""

    distance: float = NEAR_M
    is_hard: bool = False
    share: float = 1.0


NEAR = Look()
LOOKS = {"0.5 m in motion": Look(AFAR_M, is_hard=True), "preview": Look(share=PREVIEW)}


def frame(picture: Picture, random: np.random.Generator, look: Look = NEAR) -> Picture:
    """One frame: perspective of up to 3 %, motion, blur, uneven light, shade and glare, noise."""
    width, height = picture.size
    shift = random.uniform(-0.03, 0.03, (4, 2)) * (width, height)
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float) + shift
    seen = picture.transform(
        (width, height), Image.Transform.PERSPECTIVE, _coefficients(corners, width, height),
        Image.Resampling.BILINEAR, fillcolor=200,
    )  # fmt: skip
    if look.is_hard:
        seen = _moved(seen, random)
    seen = _smaller(seen, NEAR_M / look.distance)
    seen = seen.filter(ImageFilter.GaussianBlur(random.uniform(0.6, 1.3)))
    grey = np.asarray(_smaller(seen, look.share), dtype=np.float32) * _light(seen.size, look, random)
    if look.is_hard:
        grey = _shaded(grey, random)
    grey = grey + random.normal(0, 7, grey.shape).astype(np.float32)
    return Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8))


def _smaller(picture: Picture, share: float) -> Picture:
    if share == 1.0:
        return picture
    size = (round(picture.width * share), round(picture.height * share))
    return picture.resize(size, Image.Resampling.BOX)


def _light(size: tuple[int, int], look: Look, random: np.random.Generator) -> np.ndarray:
    """Uneven light over a frame."""
    width, height = (round(side * look.share) for side in size)
    along = np.linspace(random.uniform(0.5, 1.0), random.uniform(0.5, 1.0), width)[None, :]
    down = np.linspace(random.uniform(0.75, 1.0), random.uniform(0.75, 1.0), height)[:, None]
    return (along * down).astype(np.float32)


def _moved(picture: Picture, random: np.random.Generator) -> Picture:
    """Motion in any direction while the frame is exposed: the mean of the picture along a short line."""
    reach, angle = random.uniform(0, MOTION_MM) * PX_MM / 2, random.uniform(0, np.pi)
    size = int(np.ceil(reach)) + 1
    kernel = np.zeros((2 * size + 1, 2 * size + 1))
    for step in np.linspace(-reach, reach, 41):
        x, y = size + step * np.cos(angle), size + step * np.sin(angle)
        column, row = int(x), int(y)
        right, below = x - column, y - row
        kernel[row : row + 2, column : column + 2] += np.outer((1 - below, below), (1 - right, right))
    grey = np.asarray(picture, dtype=np.float32)
    return Image.fromarray(
        ndimage.convolve(grey, (kernel / kernel.sum()).astype(np.float32)).astype(np.uint8)
    )


def _shaded(grey: np.ndarray, random: np.random.Generator) -> np.ndarray:
    """A shadow's soft edge across, half as dark, and a lamp's glare of 10 to 25 mm anywhere."""
    px_mm = PX_MM * NEAR_M / AFAR_M
    height, width = grey.shape
    y, x = np.ogrid[0:height, 0:width]
    angle = random.uniform(0, np.pi)
    edge = (x - random.uniform(0.2, 0.8) * width) * np.cos(angle)
    edge = edge + (y - random.uniform(0.2, 0.8) * height) * np.sin(angle)
    shaded = grey * (1 - 0.5 / (1 + np.exp(np.clip(-edge / (3 * px_mm), -50, 50))))
    radius = random.uniform(10, 25) * px_mm
    away = (x - random.uniform(0, width)) ** 2 + (y - random.uniform(0, height)) ** 2
    glare: np.ndarray = random.uniform(60, 150) * np.exp(-away / (2 * radius**2))
    return np.asarray(shaded + glare)


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


Read = tuple[bool, bool]
"""Whether zxing-cpp and zbar got all settings."""


def scan(shown: Scene, picture: Picture, look: Look, seed: tuple[int, ...]) -> Read:
    """Three frames of every code; no frame depends on what was read before it."""
    read = {by_zxing: False, by_zbar: False}
    for number in range(FRAMES):
        for at, code in enumerate(shown.codes):
            seen = frame(
                picture.crop(_around(code, picture)), np.random.default_rng([*seed, number, at]), look
            )
            for reader, done in read.items():
                read[reader] = done or shown.texts[at] in reader(seen)
            if all(read.values()):
                return True, True
    return read[by_zxing], read[by_zbar]


def trial(shown: Scene, kind: str, seed: int) -> Read:
    """One scan of one damaged placard, or of a whole one in another way of looking."""
    if kind in LOOKS:
        return scan(shown, shown.picture, LOOKS[kind], (seed, len(DAMAGES) + sorted(LOOKS).index(kind)))
    number = sorted(DAMAGES).index(kind)
    hurt = DAMAGES[kind](shown.picture.copy(), shown, np.random.default_rng([seed, number]))
    return scan(shown, hurt, NEAR, (seed, number))


KINDS = (*DAMAGES, *LOOKS)


def rates(trials: list[Read]) -> tuple[float, float]:
    """Per cent of scans that gave all settings, by each reader."""
    zxing, zbar = (100 * sum(read[at] for read in trials) / len(trials) for at in (0, 1))
    return zxing, zbar


def row(case: Case, shown: Scene, name: str, trials: list[Read]) -> None:
    """Print a line of the table, at once."""
    zxing, zbar = rates(trials)
    modules = "/".join(f"{module:.2f}" for module in shown.modules)
    head = f"{case.stock:<12}{case.ports:>3} {'+'.join(case.forms):<14}{case.level or '-':<2}{modules:<11}"
    print(f"{head}{name:<18}{zxing:>7.1f}{zbar:>7.1f}", flush=True)  # noqa: T201 — a bench prints


def main(trials: int, cases: list[Case], *, afar: bool) -> None:
    """Print the table: what happened, by decoder, by placard; then the sum by which levels are compared."""
    print(f"{trials} trials; scans that gave all settings, in per cent, by zxing-cpp and zbar")  # noqa: T201
    for case in cases:
        shown = scene(case)
        if afar:
            for distance in DISTANCES_M:
                look, numbers = Look(distance), (round(distance * 100),)
                found = [scan(shown, shown.picture, look, (seed, *numbers)) for seed in range(trials)]
                row(case, shown, f"{distance:.2f} m", found)
            continue
        every: list[Read] = []
        for kind in KINDS:
            found = [trial(shown, kind, seed) for seed in range(trials)]
            every += found
            row(case, shown, kind, found)
        row(case, shown, "all", every)


def cases_of(words: list[str]) -> list[Case]:
    """The placards that are named by stocks, numbers of ports, forms and levels; each has a default."""
    stocks = [word for word in words if "+" not in word and not word.isdigit() and len(word) > 1] or [
        "letter",
        "4x6",
    ]
    ports = [int(word) for word in words if word.isdigit()] or list(PORTS)
    named = [word.split("+") for word in words if "+" in word]
    forms = [(first, second) for first, second in named] or [USUAL, ("contact", "link")]
    named_levels: list[Level] = [level for level in placard_codes.SMALL_LEVELS if level in words]
    levels: list[Level | None] = [*named_levels] or [None]
    return [
        Case(stock, count, pair, level)  # type: ignore[arg-type]  # as they are typed
        for stock in stocks
        for count in ports
        for pair in forms
        for level in levels
    ]


if __name__ == "__main__":
    count, *names = sys.argv[1:] or ["200"]
    main(int(count), cases_of([name for name in names if name != "afar"]), afar="afar" in names)

"""How long a photo of 12 megapixels takes to read, and that no code is lost, beside a plain way in one run.

Run: python -m tests.bench.photos [seeds], some 7 minutes for 12 on two quiet cores. The plain way opens a
photo in its colours and searches all of it. Photos are of tags on a wall: even, or full of edges and dots;
their modules have so many pixels in the photo. The last table is of what a phone sends: the same pixels as a
JPEG of another quality. Seconds are of processors; nothing here asserts.
"""

import io
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from itertools import chain

import numpy as np
import zxingcpp
from PIL import ExifTags, Image, ImageDraw, ImageFilter

from tagmaker.symbols.ahead import ahead
from tagmaker.symbols.encode import code128, qr
from tagmaker.symbols.read import open_picture, read_codes
from tests.bench.placard_damage import Look, frame
from tests.symbols.pictures import CELL, picture

PHOTO, SMALL = (4000, 3000), (2000, 1500)
MODULES = (2.4, 2.8, 3.2, 3.6, 4.0, 5.0, 9.0)
QUALITIES = (40, 60, 75, 85)
CAMERA_QUALITY = 92
UPRIGHT = 6  # Exif: the photo is to be turned to the right
DPI = 203.2
QUARTER = Image.Transpose.ROTATE_90
FORMATS = (zxingcpp.BarcodeFormat.QRCode, zxingcpp.BarcodeFormat.Code128)
LOOKS = {"held still": Look(), "in motion, shade": Look(is_hard=True)}
Texts = frozenset[str]


def plain(photo: bytes) -> Texts:
    """All of a photo, as a short script would read it."""
    with Image.open(io.BytesIO(photo)) as opened:
        grey = opened.convert("L")
    return frozenset(code.text for code in zxingcpp.read_barcodes(grey, formats=FORMATS))


def here(photo: bytes) -> Texts:
    """A photo as the program reads it."""
    return frozenset(code.text for code in read_codes(open_picture(photo), DPI))


def wall(size: tuple[int, int], random: np.random.Generator, *, is_full: bool) -> Image.Image:
    """A wall; full of edges and speckles where that is asked."""
    photo = Image.new("L", size, int(random.integers(60, 190)))
    if is_full:
        rough = random.normal(128, 60, (size[1] // 8, size[0] // 8)).clip(0, 255).astype(np.uint8)
        photo = Image.blend(photo, Image.fromarray(rough).resize(size, Image.Resampling.BICUBIC), 0.4)
        pen = ImageDraw.Draw(photo)
        for _ in range(40):
            ends = [int(each) for each in random.uniform(0, max(size), 4)]
            pen.line(ends, fill=int(random.integers(0, 255)), width=int(random.integers(3, 30)))
    return photo


def tags(
    modules: Iterable[float], random: np.random.Generator, look: Look, size: tuple[int, int], *, is_full: bool
) -> Image.Image:
    """Tags beside each other as a camera sees them, QR codes and every fourth a Code 128."""
    photo = wall(size, random, is_full=is_full)
    x = y = 120
    for number, module in enumerate(modules):
        code = f"BB-{random.integers(1, 99)}/A/{('TRM', 'LIQ', 'GAS', 'COM')[number % 4]}/{number}"
        drawn = picture(code128(code) if number % 4 == 3 else qr(code))
        sides = [round(side * module / CELL) for side in drawn.size]
        label = drawn.resize(sides, Image.Resampling.BOX).point(lambda grey: 20 + grey * 225 // 255)
        if x + label.width > size[0] - 120:
            x, y = 120, y + 500
        photo.paste(label, (x, y))
        x += label.width + int(random.integers(60, 300))
    return frame(photo, random, look)


def jpeg(photo: Image.Image, quality: int, turn: int = 1) -> bytes:
    """A colour JPEG, as cameras write it, with the note of how the camera was held."""
    out, notes = io.BytesIO(), Image.Exif()
    notes[ExifTags.Base.Orientation] = turn
    photo.convert("RGB").save(out, "JPEG", quality=quality, exif=notes)
    return out.getvalue()


def seconds(work: Callable[[], object]) -> float:
    """Of processors, the least of five."""

    def once() -> float:
        began = time.process_time()
        work()
        return time.process_time() - began

    return min(once() for _ in range(5))


def times() -> Iterator[str]:
    """A photo of four tags, near and far; the last of each wall by a phone that is held upright."""
    yield "12 megapixels, px a module; s:   plain    here   ratio   codes of 4"
    for is_full in (False, True):
        for module, turn in ((9.0, 1), (5.0, 1), (3.2, 1), (5.0, UPRIGHT)):
            random = np.random.default_rng([7, int(module * 10)])
            photo = jpeg(tags([module] * 4, random, Look(), PHOTO, is_full=is_full), CAMERA_QUALITY, turn)
            both = [seconds(lambda: way(photo)) for way in (plain, here)]  # noqa: B023 — called at once
            where = f"{'full' if is_full else 'even'} wall, {module} px{', upright' if turn > 1 else ''}"
            read = f"{len(plain(photo))} and {len(here(photo))}"
            yield f"{where:<32}{both[0]:>6.3f}{both[1]:>8.3f}{both[1] / both[0]:>8.2f}   {read}"


def several() -> str:
    """Eight photos by one thread, and by as many as there are cores."""
    photo = jpeg(tags([5.0] * 4, np.random.default_rng(7), Look(), PHOTO, is_full=False), CAMERA_QUALITY)
    took = []
    for way in (map, ahead):
        began = time.perf_counter()
        list(way(here, [photo] * 8))
        took.append(time.perf_counter() - began)
    return f"8 photos, s of the clock: one after the other {took[0]:.2f}, several at once {took[1]:.2f}"


def lost(seeds: int) -> Iterator[str]:
    """Codes that one way reads and the other does not, by size of modules, upright and on its side."""
    yield "codes read:                                         plain   here   lost  gained"
    for name, look in LOOKS.items():
        for is_full in (False, True):
            for module in MODULES[:-1]:
                counts = {"": np.zeros(4, int), ", turned": np.zeros(4, int)}
                for seed in range(seeds):
                    random = np.random.default_rng([seed, int(module * 10), is_full])
                    mixed = [module, 5.0, module, module, module]
                    photo = tags(mixed, random, look, SMALL, is_full=is_full)
                    for side, count in counts.items():
                        seen = jpeg(photo.transpose(QUARTER) if side else photo, CAMERA_QUALITY)
                        there, own = plain(seen), here(seen)
                        count += [len(there), len(own), len(there - own), len(own - there)]
                for side, count in counts.items():
                    where = f"{name}, {'full' if is_full else 'even'} wall, {module} px{side}"
                    yield f"{where:<50}" + "".join(f"{each:>7}" for each in count)


def sent(seeds: int) -> Iterator[str]:
    """What a phone sends: codes of the camera's own photo that are lost by that, and gained."""
    yield f"codes in a camera's photo (quality {CAMERA_QUALITY}); lost, gained, MB of 12 MP by quality sent"
    for noise in (0.6, 1.6):
        for module in MODULES[:-2]:
            counts = {quality: np.zeros(3) for quality in QUALITIES}
            total = 0
            for seed in range(seeds):
                random = np.random.default_rng([seed, int(module * 10), 5])
                seen = tags([module] * 6, random, LOOKS["held still"], SMALL, is_full=bool(seed % 2))
                soft = seen.filter(ImageFilter.GaussianBlur(noise)) if noise < 1 else seen
                camera = jpeg(soft, CAMERA_QUALITY)
                with Image.open(io.BytesIO(camera)) as opened:
                    pixels = opened.convert("RGB")
                own = here(camera)
                total += len(own)
                for quality, count in counts.items():
                    content = jpeg(pixels, quality)
                    found = here(content)
                    count += [len(own - found), len(found - own), len(content) * 4 / 1e6 / seeds]
            told = "   ".join(f"{q}: -{c[0]:.0f} +{c[1]:.0f} {c[2]:.1f}" for q, c in counts.items())
            yield f"{'denoised' if noise < 1 else 'noisy':<9}{module} px, {total:>3}:  {told}"


if __name__ == "__main__":
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    for line in times():
        print(line, flush=True)  # noqa: T201 — a bench prints
    print(several(), flush=True)  # noqa: T201
    for line in chain(lost(many), sent(many)):
        print(line, flush=True)  # noqa: T201

"""Pages on their way back: photographed by a phone, or scanned in one bit.

Takes a filled-in page in colour; gives the bytes of a JPEG or of a PDF, by OpenCV and Pillow. A photo is
tilted, curled, shaded, blurred and noisy; a scan is turned a little, has specks, and lost what is light.
"""

import io
import math
from typing import Any, NamedTuple

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

__all__ = ["SCAN_DPI", "Photo", "photographed", "scanned"]

Picture = NDArray[np.uint8]
Floats = NDArray[Any]
GRID = 16  # pixels between the places that are projected; those between are interpolated
SCAN_DPI = 200


class Photo(NamedTuple):
    """How a photo is taken: tilt in degrees, curl in mm, turn in quarters, 8 to 12 megapixels."""

    tilt: float = 20.0
    curl: float = 6.0
    quarter: int = 0
    long_side: int = 4000
    is_shaded: bool = True
    blur: float = 1.0
    quality: int = 85


def photographed(page: Picture, mm: tuple[float, float], photo: Photo, chance: np.random.Generator) -> bytes:
    """A JPEG of a page of that size on a table."""
    high, wide = photo.long_side, photo.long_side * 3 // 4
    xs, ys = np.meshgrid(np.arange(0, wide + GRID, GRID), np.arange(0, high + GRID, GRID))
    mm_x, mm_y = _unprojected(_Camera(mm, photo, (wide, high), chance), xs.astype(float), ys.astype(float))
    scale = page.shape[1] / mm[0]
    maps = [
        cv2.resize((side * scale - 0.5).astype(np.float32), None, fx=GRID, fy=GRID)[GRID // 2 :, GRID // 2 :][
            :high, :wide
        ]
        for side in (mm_x, mm_y)
    ]
    table = tuple(float(each) for each in chance.uniform(40, 130, 3))
    shown = cv2.remap(page, maps[0], maps[1], cv2.INTER_AREA, None, cv2.BORDER_CONSTANT, table)
    light = _light(high, wide, chance, is_shaded=photo.is_shaded)
    lit: Floats = shown.astype(np.float32) * light[:, :, None]
    blurred: Floats = cv2.GaussianBlur(lit, (0, 0), photo.blur * chance.uniform(0.6, 1.0))
    blurred += _noise(high, wide, chance)[:, :, None]
    picture = np.rot90(blurred.clip(0, 255).astype(np.uint8), photo.quarter)
    _, content = cv2.imencode(
        ".jpg", np.ascontiguousarray(picture), [cv2.IMWRITE_JPEG_QUALITY, photo.quality]
    )
    return content.tobytes()


class _Camera:
    """Where a point of a curled page, in mm, falls in the picture."""

    def __init__(
        self, mm: tuple[float, float], photo: Photo, pixels: tuple[int, int], chance: np.random.Generator
    ) -> None:
        self.mm, self.curl = mm, photo.curl * chance.uniform(-1, 1)
        self.along = chance.random() < 0.5
        axis, tilt = chance.uniform(0, 2 * math.pi), math.radians(photo.tilt * chance.uniform(0.3, 1.0))
        turn = math.radians(chance.normal(0, 2.5))
        self.turned = (
            cv2.Rodrigues(np.array([0.0, 0.0, turn]))[0]
            @ (cv2.Rodrigues(np.array([math.cos(axis), math.sin(axis), 0.0]) * tilt)[0])
        )
        self.far = 1.4 * mm[1]
        self.middle = np.array(pixels) / 2 + chance.normal(0, 0.008, 2) * pixels
        self.focal = 1.0
        corners = self.project(np.array([0, mm[0], mm[0], 0.0]), np.array([0, 0, mm[1], mm[1]])) - self.middle
        fill = max(abs(corners).max(axis=0) / (np.array(pixels) / 2))
        self.focal = chance.uniform(0.86, 0.95) / fill

    def project(self, x: Floats, y: Floats) -> Floats:
        """Pixels of points of the page, as (…, 2)."""
        u = (y / self.mm[1] if self.along else x / self.mm[0]) * 2 - 1
        z = self.curl * (u * u - 1 / 3) + 0.25 * self.curl * np.sin(2.5 * u)
        points = np.stack([x - self.mm[0] / 2, y - self.mm[1] / 2, z], axis=-1) @ self.turned.T
        depth = points[..., 2:] + self.far
        return np.asarray(points[..., :2] / depth * self.far * self.focal + self.middle)


def _unprojected(camera: _Camera, xs: Floats, ys: Floats) -> tuple[Floats, Floats]:
    """The points of the page that pixels show, by going back and forth from a flat page's."""
    mm = camera.mm
    corners = np.array([(0, 0), (mm[0], 0), (mm[0], mm[1]), (0, mm[1])], np.float32)
    flat = camera.project(corners[:, 0].astype(float), corners[:, 1].astype(float)).astype(np.float32)
    back = cv2.getPerspectiveTransform(flat, corners)
    wanted = np.stack([xs, ys], axis=-1)
    at = cv2.perspectiveTransform(wanted.reshape(1, -1, 2), back).reshape(wanted.shape)
    for _ in range(4):
        missed = wanted - camera.project(at[..., 0], at[..., 1])
        moved = cv2.perspectiveTransform(wanted.reshape(1, -1, 2), back).reshape(wanted.shape)
        step = cv2.perspectiveTransform((wanted + missed).reshape(1, -1, 2), back).reshape(wanted.shape)
        at = at + step - moved
    return at[..., 0], at[..., 1]


def _light(high: int, wide: int, chance: np.random.Generator, *, is_shaded: bool) -> NDArray[np.float32]:
    """How bright each place is: a slope, and the shadow of the hand or the phone, its edge soft."""
    small = (high // 8, wide // 8)
    y, x = np.mgrid[0 : small[0], 0 : small[1]].astype(np.float32)
    angle = chance.uniform(0, 2 * math.pi)
    slope = (x / small[1] - 0.5) * math.cos(angle) + (y / small[0] - 0.5) * math.sin(angle)
    light: Floats = chance.uniform(0.78, 0.97) + slope * chance.uniform(0, 0.3)
    if is_shaded and chance.random() < 0.7:
        corners = chance.uniform(-0.2, 1.2, (int(chance.integers(3, 6)), 2)) * [small[1], small[0]]
        shadow: Floats = np.zeros(small, np.float32)
        cv2.fillPoly(shadow, [cv2.convexHull(corners.astype(np.int32))], 1.0)
        shadow = cv2.GaussianBlur(shadow, (0, 0), chance.uniform(1.5, 25))
        light = light * (1 - shadow * chance.uniform(0.2, 0.55))
    return np.asarray(cv2.resize(light.astype(np.float32), (wide, high)))


def _noise(high: int, wide: int, chance: np.random.Generator) -> Floats:
    """A camera's noise, one tile of it over and over."""
    tile = chance.standard_normal((512, 512), np.float32) * np.float32(chance.uniform(1.5, 4.0))
    return np.tile(tile, (high // 512 + 1, wide // 512 + 1))[:high, :wide]


def scanned(
    pages: list[Picture], mm: tuple[float, float], quarters: list[int], chance: np.random.Generator
) -> bytes:
    """A PDF of pages as a scanner gives it in one bit, 200 dots an inch, each turned by so many quarters."""
    pictures = [_one_bit(page, mm, quarter, chance) for page, quarter in zip(pages, quarters, strict=True)]
    out = io.BytesIO()
    pictures[0].save(out, "PDF", resolution=SCAN_DPI, save_all=True, append_images=pictures[1:])
    return out.getvalue()


def _one_bit(
    page: Picture, mm: tuple[float, float], quarter: int, chance: np.random.Generator
) -> Image.Image:
    """One page in black and white."""
    wide, high = (round(side / 25.4 * SCAN_DPI) for side in mm)
    grey = cv2.cvtColor(page, cv2.COLOR_BGR2GRAY)
    small = cv2.resize(grey, (wide, high), interpolation=cv2.INTER_AREA)
    turn = cv2.getRotationMatrix2D(
        (wide / 2, high / 2), chance.uniform(-1.2, 1.2), chance.uniform(0.995, 1.005)
    )
    turn[:, 2] = turn[:, 2] + chance.uniform(-8, 8, 2)
    turned: Floats = cv2.warpAffine(
        small, turn, (wide, high), None, cv2.INTER_LINEAR, cv2.BORDER_CONSTANT, (255, 255, 255)
    )
    noisy: Floats = turned + chance.normal(0, 5, turned.shape)
    black: NDArray[np.bool_] = noisy < 255 * chance.uniform(0.62, 0.74)
    black |= chance.random(black.shape) < 0.0004
    return Image.fromarray(np.rot90(~black, quarter))

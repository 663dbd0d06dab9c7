"""Programs that nobody here wrote, each told to put a PDF down in one bit a dot, as a label printer does.

Ghostscript, poppler's two and MuPDF. pdfium is the program's own and does not count. pdf.js is not run here:
npm brings it, with its canvas, in 69 MB (pdfjs-dist 4.10.38; by hand it gave 582 of 582 codes).
"""

import re
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from PIL import Image

__all__ = ["RENDERERS", "one_bit"]

RENDERERS: dict[str, tuple[str, ...]] = {
    "ghostscript": (
        *("gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=pngmono"),
        *("-r{dpi}", "-sOutputFile={out}/%d.png", "{pdf}"),
    ),
    "pdftoppm": ("pdftoppm", "-mono", "-r", "{dpi}", "{pdf}", "{out}/page"),
    "pdftocairo": ("pdftocairo", "-mono", "-png", "-r", "{dpi}", "{pdf}", "{out}/page"),
    "mutool": (
        "mutool",
        "draw",
        "-q",
        "-N",
        "-A",
        "0",
        "-r",
        "{dpi}",
        "-F",
        "pbm",
        "-o",
        "{out}/%d.pbm",
        "{pdf}",
    ),
}
"""The command of each, which writes a picture a page, the page's number at the end of its name.

MuPDF is told to make no grey edges: it would halftone them, which no printer of one bit does.
"""
NUMBER = re.compile(r"\d+$")


def one_bit(renderer: str, pdf: Path, dpi: float) -> Iterator[tuple[int, Image.Image]]:
    """Each page of a PDF, numbered from 1, in black and white; a renderer that complains fails."""
    with tempfile.TemporaryDirectory() as out:
        command = [part.format(dpi=f"{dpi:g}", out=out, pdf=pdf) for part in RENDERERS[renderer]]
        done = subprocess.run(command, check=False, capture_output=True, text=True)
        assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
        for path in sorted(Path(out).iterdir(), key=_number):
            with Image.open(path) as picture:
                assert picture.mode == "1"
                yield _number(path), picture.convert("L")


def _number(path: Path) -> int:
    found = NUMBER.search(path.stem)
    assert found
    return int(found[0])

"""The project's own typeface within a page: the characters that it needs, so that I, l and 1 stay apart."""

import base64
import io
import string

from tagmaker.catalog.faces import BOLD, PLAIN, SLASHED_ZERO, face

__all__ = ["faces_css"]

WEIGHTS = {PLAIN: 400, BOLD: 700}
TYPED = string.digits + string.ascii_letters + string.punctuation + " "  # what is written on a walk
DROPPED = ["GSUB", "GPOS", "GDEF", "meta"]


def faces_css(text: str) -> str:
    """@font-face rules, their fonts within, for a text and whatever is typed; the family is "walk"."""
    return "\n".join(
        "@font-face { font-family: walk; "
        f"font-weight: {weight}; src: url(data:font/woff;base64,{_subset(name, text + TYPED)}); }}"
        for name, weight in WEIGHTS.items()
    )


def _subset(name: str, text: str) -> str:
    """A face's glyphs for these characters, as a web font in base64; the same text gives the same bytes."""
    from fontTools.subset import Options, Subsetter  # noqa: PLC0415 — heavy, and `--help` needs none of it
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    with TTFont(face(name).file.path, recalcTimestamp=False) as font:
        for table in font["cmap"].tables:
            if ord("0") in table.cmap:
                table.cmap[ord("0")] = SLASHED_ZERO
        subsetter = Subsetter(
            Options(drop_tables=DROPPED, hinting=False, name_IDs=[], recalc_timestamp=False)
        )
        subsetter.populate(text=text)
        subsetter.subset(font)
        font.flavor = "woff"
        out = io.BytesIO()
        font.save(out)
    return base64.b64encode(out.getvalue()).decode("ascii")

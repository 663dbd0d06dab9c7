"""Web fonts: whole faces as files, their signs and widths those of the typeface."""

import io

import pytest
from fontTools.ttLib import TTFont

from tagmaker.typeset.fonts import BOLD, PLAIN, SLASHED_ZERO, face
from tagmaker.typeset.web_fonts import web_font


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_a_whole_face_has_every_sign_as_wide_as_it_is_measured(name: str) -> None:
    """The zero is the slashed one, and no pair of letters moves closer together."""
    with TTFont(io.BytesIO(web_font(name))) as font:
        signs = font.getBestCmap()
        widths = {chr(code): font["hmtx"].metrics[glyph][0] for code, glyph in signs.items()}
        zero = TTFont(face(name).file.path).getGlyphID(SLASHED_ZERO)
        assert (font.flavor, font.getGlyphID(signs[ord("0")])) == ("woff", zero)
        assert {"GPOS", "GSUB", "kern"}.isdisjoint(font.keys())
        units = font["head"].unitsPerEm
    assert {sign: width / units for sign, width in widths.items()} == face(name).advances

"""Web fonts: whole faces as files, their signs and widths those of the typeface."""

import base64
import io
import re

import pytest
from fontTools.ttLib import TTFont
from fontTools.ttLib.sfnt import SFNTReader, SFNTWriter

from tagmaker.typeset.fonts import BOLD, PLAIN, SLASHED_ZERO, face
from tagmaker.typeset.web_fonts import faces_css, web_font
from tagmaker.typeset.woff import woff


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


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_the_file_is_that_of_another_writer(name: str) -> None:
    """The same tables, with all sums and places, are the same bytes as fontTools writes."""
    reader = SFNTReader(io.BytesIO(web_font(name)))
    tables = {str(tag): bytes(reader[tag]) for tag in reader.keys()}  # noqa: SIM118 — it is no dictionary
    out = io.BytesIO()
    writer = SFNTWriter(out, len(tables), flavor="woff")
    for tag in sorted(tables):
        writer[tag] = tables[tag]
    writer.close()
    assert woff(tables) == web_font(name) == out.getvalue()


def test_a_page_has_the_signs_of_its_text_alone() -> None:
    """Besides those that are typed; each is as wide as it is measured, and a composed one keeps its parts."""
    fonts = re.findall("base64,([^)]+)", faces_css("½ Å 廊"))
    for name, font in zip((PLAIN, BOLD), fonts, strict=True):
        with TTFont(io.BytesIO(base64.b64decode(font))) as cut, TTFont(face(name).file.path) as whole:
            signs = cut.getBestCmap()
            assert {chr(sign) for sign in signs if sign > ord("~")} == {"½", "Å"}
            numbers = {cut.getGlyphID(glyph) for glyph in signs.values()}
            places = cut["loca"].locations
            filled = {at for at in range(len(places) - 1) if places[at] < places[at + 1]}
            parts = {
                whole.getGlyphID(part)
                for number in numbers
                if whole["glyf"][glyph := whole.getGlyphName(number)].isComposite()
                for part in whole["glyf"][glyph].getComponentNames(whole["glyf"])
            }
            assert parts
            assert filled == (numbers | parts | {0}) - {cut.getGlyphID(signs[ord(" ")])}

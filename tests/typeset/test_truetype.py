"""Font files read and written as fontTools reads and writes them."""

import io
import struct
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from fontTools.ttLib.sfnt import SFNTWriter

from tagmaker.typeset.fonts import BOLD, PLAIN, SLASHED_ZERO, face, font_file
from tagmaker.typeset.truetype import TrueType, packed
from tagmaker.typeset.web_fonts import web_font


@pytest.mark.parametrize("name", [PLAIN, BOLD])
def test_every_figure_is_what_fonttools_reads(name: str) -> None:
    """Of every glyph and every character."""
    ours = font_file(name)
    with TTFont(face(name).file.path) as font:
        order = font.getGlyphOrder()
        assert ours.units == font["head"].unitsPerEm
        assert ours.cap_height == font["OS/2"].sCapHeight
        assert ours.descent == -font["hhea"].descent
        assert ours.advances == [font["hmtx"].metrics[glyph][0] for glyph in order]
        assert ours.places == list(font["loca"].locations)
        assert ours.glyphs == {code: font.getGlyphID(glyph) for code, glyph in font.getBestCmap().items()}
        assert list(ours.glyphs) == sorted(ours.glyphs)
        assert ours.named(SLASHED_ZERO) == font.getGlyphID(SLASHED_ZERO)


def test_a_font_without_the_glyph_is_refused() -> None:
    """A zero that looks like an O would be a wrong setting."""
    with pytest.raises(ValueError, match="is not in list"):
        font_file(PLAIN).named("zero.alt99")


def test_a_web_font_is_written_as_fonttools_writes_it() -> None:
    """To the byte, checksums included."""
    with TTFont(io.BytesIO(web_font(PLAIN))) as font:
        tables = {str(tag): font.reader[tag] for tag in font.reader.keys()}  # noqa: SIM118 — no mapping
    out = io.BytesIO()
    writer = SFNTWriter(out, len(tables), flavor="woff")
    for tag in sorted(tables):
        writer[tag] = tables[tag]
    writer.close()
    assert packed(tables) == out.getvalue() == web_font(PLAIN)


def test_places_in_bytes_and_one_width_for_many_glyphs_are_read() -> None:
    """As some fonts have them: only the first widths are written, and the last of them is for the rest."""
    plain = font_file(PLAIN)
    ours = TrueType(Path(face(PLAIN).file.path).read_bytes())
    head, hhea, places = ours.tables["head"], ours.tables["hhea"], plain.places
    ours.tables["head"] = head[:50] + b"\0\1" + head[52:]
    ours.tables["loca"] = struct.pack(f">{len(places)}L", *places)
    ours.tables["hhea"] = hhea[:34] + struct.pack(">H", 300)
    assert ours.places == places
    assert ours.advances == plain.advances[:300] + [plain.advances[299]] * (len(plain.advances) - 300)

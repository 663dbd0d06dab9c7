"""The placard's check sum is the CRC-32 that everybody computes."""

import zlib

from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.tags.placard_text import crc_line
from tests.checksums import crc32


def test_the_published_check_value() -> None:
    """CRC-32 of ASCII "123456789" is CBF43926, the published check value [memory; zlib agrees]."""
    assert crc_line("123456789") == "CRC CBF43926"
    assert zlib.crc32(b"123456789") == crc32(b"123456789") == 0xCBF43926


@settings(max_examples=50, deadline=None)
@given(st.text(max_size=200))
def test_any_text_has_the_same_crc_bit_by_bit(text: str) -> None:
    """The line is eight capital hexadecimal digits of the CRC-32 of the text's UTF-8 bytes."""
    text = text.encode("utf-8", "ignore").decode("utf-8")
    assert crc_line(text) == f"CRC {crc32(text.encode()):08X}"

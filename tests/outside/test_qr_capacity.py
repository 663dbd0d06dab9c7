"""QR versions hold what ISO/IEC 18004 says that they hold; counted at the boundary, never bit by bit."""

import pytest
import zxingcpp

from tagmaker.symbols.encode import qr

BYTES = {
    "M": (14, 26, 42, 62, 84, 106, 122, 152, 180, 213),
    "Q": (11, 20, 32, 46, 60, 74, 86, 108, 130, 151),
}
"""Byte capacities of versions 1 to 10, ISO/IEC 18004 [computed with an independent encoder]."""
CASES = [
    (level, version, capacity)
    for level, capacities in BYTES.items()
    for version, capacity in enumerate(capacities, start=1)
]


def side(version: int) -> int:
    """Modules on a side: 17 + 4 a version, ISO/IEC 18004 [read]."""
    return 17 + 4 * version


@pytest.mark.parametrize(("level", "version", "capacity"), CASES)
def test_a_version_holds_its_bytes_and_not_one_more(level: str, version: int, capacity: int) -> None:
    """So many small letters, which only the byte mode holds, fill a version; one more needs the next."""
    assert (side(version), side(version)) == (
        qr("b" * capacity, level).columns,
        qr("b" * capacity, level).rows,
    )
    assert side(version + 1) == qr("b" * (capacity + 1), level).columns


@pytest.mark.parametrize(("level", "version", "capacity"), CASES)
def test_the_independent_encoder_agrees(level: str, version: int, capacity: int) -> None:
    """zxing-cpp, which shares no code with the encoder used, takes the same version for the same text."""
    kind = zxingcpp.BarcodeFormat.QRCode
    for length, expected in ((capacity, side(version)), (capacity + 1, side(version + 1))):
        code = zxingcpp.create_barcode("b" * length, kind, ec_level=level)
        image = zxingcpp.write_barcode_to_image(code, scale=1, add_quiet_zones=False)
        assert (expected, expected) == image.shape == (qr("b" * length, level).rows, expected)

"""The quick placing gives what qrcode places: module for module, under the mask with the least against it."""

import string

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from qrcode import util
from qrcode.main import QRCode

from tagmaker.symbols.qr_modules import modules, side

CODE_SIGNS = string.ascii_uppercase + string.digits + "-/"
LEVELS = {"L": 1, "M": 0, "Q": 3, "H": 2}
TEXTS = st.one_of(
    st.text(CODE_SIGNS, min_size=1, max_size=60),
    st.text(string.digits, min_size=1, max_size=60),
    st.text(string.printable, min_size=1, max_size=300),
    st.text(min_size=1, max_size=80).filter(lambda text: text.isprintable()),
)


def by_qrcode(text: str, level: int) -> list[tuple[int, list[str]]]:
    """What qrcode's finished symbol under each of the eight masks weighs, and its rows."""
    code = QRCode(error_correction=level, border=0)
    code.add_data(text)
    code.best_fit()
    found = []
    for mask in range(8):
        code.makeImpl(False, mask)  # noqa: FBT003 — not a trial
        rows = ["".join("1" if dark else "0" for dark in row) for row in code.modules]
        found.append((util.lost_point(code.modules), rows))
    return found


@settings(max_examples=60, deadline=None)
@given(TEXTS, st.sampled_from(list(LEVELS)))
@example("BB-1/A/LIQ", "M")
@example("BB-500/G/COM/FC-12345/ON", "M")
@example("1234567890" * 4 + "/BB-1", "Q")
@example("A" * 1200, "L")  # counts of characters in more bits, several blocks of two lengths
@example("7" * 1900, "M")
@example("A" + "7" * 19 + "B", "M")  # one run of one mode
@example("A" + "7" * 20, "M")  # two
@example("7" * 12, "M")
@example("BB-1/a", "M")
def test_it_is_qrcodes_symbol_under_the_mask_with_least_against_it(text: str, level: str) -> None:
    """Of the eight symbols that qrcode makes, the first with the lowest of its own counts."""
    _, expected = min(by_qrcode(text, LEVELS[level]), key=lambda found: found[0])
    assert (len(expected), int("".join(f"{row}0" for row in expected), 2)) == modules(text, LEVELS[level])
    assert side(text, LEVELS[level]) == len(expected)


def test_a_text_that_no_symbol_holds_is_refused() -> None:
    """The largest holds 1,273 bytes at level H, ISO/IEC 18004 [memory]."""
    assert modules("x" * 1273, LEVELS["H"])[0] == 177
    with pytest.raises(ValueError, match="no QR code holds so much"):
        modules("x" * 1274, LEVELS["H"])

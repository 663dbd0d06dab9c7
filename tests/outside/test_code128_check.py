"""Code 128 as its standard has it (ISO/IEC 15417): character widths, check character, quiet zone."""

import itertools
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.symbols.encode import CODE128_QUIET, Symbol, code128

TABLE = (
    "212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 "
    "112232 122132 122231 113222 123122 123221 223211 221132 221231 213212 223112 312131 "
    "311222 321122 321221 312212 322112 322211 212123 212321 232121 111323 131123 131321 "
    "112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 "
    "313121 211331 231131 213113 213311 213131 311123 311321 331121 312113 312311 332111 "
    "314111 221411 431111 111224 111422 121124 121421 141122 141221 112214 112412 122114 "
    "122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241 114212 "
    "124112 124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 "
    "114311 411113 411311 113141 114131 311141 411131 211412 211214 211232"
)
"""Widths of bars and spaces of values 0 to 105, ISO/IEC 15417 table 1 [memory]."""
WIDTHS = TABLE.split()
STOP = "2331112"  # [memory]
START_A, START_B, START_C = 103, 104, 105
CODE_C, CODE_B = 99, 100
PRINTED = "".join(chr(code) for code in range(32, 127))


def test_the_widths_are_a_code() -> None:
    """What the standard says of its table: 106 different characters of 11 modules, bars even."""
    assert len(set(WIDTHS)) == len(WIDTHS) == 106
    assert {sum(map(int, widths)) for widths in WIDTHS} == {11}
    assert {sum(map(int, widths[::2])) % 2 for widths in WIDTHS} == {0}


def test_the_worked_example() -> None:
    """Start A, "PJJ123C": weighted sum 878, mod 103 = 54, ISO/IEC 15417 [read, recomputed]."""
    characters = [START_A, *(ord(sign) - 32 for sign in "PJJ123C")]
    assert weighted_sum(characters) == 878
    assert weighted_sum(characters) % 103 == 54


def test_the_worked_example_in_our_own_bars() -> None:
    """Our symbol of the same text begins in code set B, 104 for 103: every other value is the example's."""
    start, *data, check = values(code128("PJJ123C"))
    assert (start, data) == (START_B, [ord(sign) - 32 for sign in "PJJ123C"])
    assert check == 54 - START_A + START_B


def test_modules_are_eleven_a_character_and_thirteen_for_the_stop() -> None:
    """Start, seven characters and the check character of 11 modules, and the stop of 13 [read]."""
    assert code128("PJJ123C").columns == 11 * (1 + 7 + 1) + 13


def test_the_quiet_zone_is_ten_modules() -> None:
    """At either end, ISO/IEC 15417 [read]."""
    assert CODE128_QUIET == 10


@settings(max_examples=100, deadline=None)
@given(
    st.text(string.ascii_uppercase + string.digits + "-/+", min_size=1, max_size=40)
    | st.text(PRINTED, min_size=1)
)
def test_any_symbols_bars_spell_its_text_and_its_check_character(text: str) -> None:
    """Bars to values by the standard's table, values to text by its code sets, the check by its sum."""
    *characters, check = values(code128(text))
    assert weighted_sum(characters) % 103 == check
    assert spelt(characters) == text


@pytest.mark.parametrize(
    "text", ["00", "99", "1234", "AB123456CD", "9901/A/TRM", "7", "99A", "2024-06/99999"]
)
def test_digits_in_pairs_are_spelt_too(text: str) -> None:
    """Where the encoder takes code set C for runs of digits, the bars still spell the text."""
    assert spelt(values(code128(text))[:-1]) == text


def weighted_sum(characters: list[int]) -> int:
    """The start's value, and every other value times its place."""
    return characters[0] + sum(place * value for place, value in enumerate(characters[1:], start=1))


def widths_of(symbol: Symbol) -> str:
    """The widths of bars and spaces from the left."""
    edges = [edge for column, _, columns, _ in symbol.runs for edge in (column, column + columns)]
    assert (edges[0], edges[-1]) == (0, symbol.columns)
    return "".join(str(right - left) for left, right in itertools.pairwise(edges))


def values(symbol: Symbol) -> list[int]:
    """A symbol's character values by the standard's table, from the start to the check, the stop left out."""
    widths = widths_of(symbol)
    assert widths.endswith(STOP)
    characters = widths.removesuffix(STOP)
    return [WIDTHS.index(characters[place : place + 6]) for place in range(0, len(characters), 6)]


def spelt(characters: list[int]) -> str:
    """The text of values, start first, in code sets B and C."""
    start, *data = characters
    in_c, text = {START_B: False, START_C: True}[start], ""
    for value in data:
        if value == (CODE_B if in_c else CODE_C):
            in_c = not in_c
        else:
            text += f"{value:02}" if in_c else chr(value + 32)
    return text

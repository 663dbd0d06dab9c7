"""The modules of a QR code as qrcode places them, by whole numbers: its search for a mask is 20 times slower.

Every symbol of one version and level is that of no data, with modules turned over by the bits of its
codewords. How the symbol of no data looks under each mask is learnt from qrcode once. All eight masks of a
symbol are then side by side in one number, and each feature of ISO/IEC 18004 that counts against a mask is
found in all of them by a few shifts. 0.2 ms a symbol, and a test compares every module with qrcode's own
result. What is learnt rests on qrcode's internals, hence its pin.
"""

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain, count, zip_longest
from operator import itemgetter
from typing import Any

from qrcode import base, util
from qrcode.main import QRCode

__all__ = ["modules", "side"]

PLAIN = re.compile(rb"[0-9A-Z $%*+\-./:]+")  # the signs of the alphanumeric mode
LONG = 20  # digits in a row that are better in a mode of their own, and at most so many signs in one mode
DIGITS = re.compile(rb"[0-9]{%d}" % LONG)
MASKS = range(8)
VERSIONS_MOST = 40
MODE_BITS = 4  # of a run's head, before its count
Bodies = list[tuple[int, int, str]]
"""Of each run of a text its mode, length and bits."""
PADS = f"{util.PAD0:08b}{util.PAD1:08b}"
TIMING = 6  # the column of modules that only keep time
DIGITS_OF = bytes.maketrans(b"\0\1", b"01")
FINDER_REACH = 10  # modules on from the first: seven of a finder's ratios, 1:1:3:1:1, and four light ones


def modules(text: str, level: int) -> tuple[int, int]:
    """The side of the smallest symbol of a text, and its modules, a bit each, row by row.

    The first module is the highest bit; a light one follows each row. `level` is qrcode's number. Raises
    ValueError for a text that no symbol holds.
    """
    bodies = _bodies(text)
    version = _version(bodies, level)
    placed = _placed(version, level)
    return placed.side, placed.modules(_codewords(_bits(bodies, version), version, level))


def side(text: str, level: int) -> int:
    """The side of the smallest symbol of a text, before it is made."""
    data = text.encode()
    if _is_plain(data):
        return _plain_side(len(data), level)
    return _version(_bodies(text), level) * 4 + 17


@cache
def _plain_side(count: int, level: int) -> int:
    """The side of the smallest symbol of so many signs of the alphanumeric mode: any of them."""
    return _version(_bodies("A" * count), level) * 4 + 17


# --- codewords -------------------------------------------------------------------------------------------


class _Pairs(dict[bytes, str]):
    """Two signs of the alphanumeric mode in 11 bits, one in 6; each pair is made once."""

    def __missing__(self, signs: bytes) -> str:
        first, *second = [util.ALPHA_NUM.index(sign) for sign in signs]
        bits = self[signs] = f"{first * 45 + second[0]:011b}" if second else f"{first:06b}"
        return bits


PAIRS = _Pairs()


def _chunks(data: bytes) -> list[tuple[int, bytes]]:
    """The data in runs, each with its mode, as qrcode divides them; most codes are one run of one mode."""
    if _is_plain(data):
        return [(util.MODE_ALPHA_NUM, data)]
    return [(chunk.mode, chunk.data) for chunk in util.optimal_data_chunks(data, LONG)]


def _is_plain(data: bytes) -> bool:
    """Whether the data are one run of the alphanumeric mode."""
    return PLAIN.fullmatch(data) is not None and DIGITS.search(data) is None and not data.isdigit()


def _in_bits(mode: int, data: bytes) -> str:
    """A run of data without its head."""
    if mode == util.MODE_ALPHA_NUM:
        return "".join([PAIRS[data[at : at + 2]] for at in range(0, len(data), 2)])
    if mode == util.MODE_NUMBER:
        threes = [data[at : at + 3] for at in range(0, len(data), 3)]
        return "".join(f"{int(three):0{util.NUMBER_LENGTH[len(three)]}b}" for three in threes)
    return f"{int.from_bytes(data):0{8 * len(data)}b}"


@lru_cache(maxsize=16)
def _bodies(text: str) -> Bodies:
    """The runs of a text; of a placard's text several levels are asked for."""
    return [(mode, len(data), _in_bits(mode, data)) for mode, data in _chunks(text.encode())]


def _version(bodies: Bodies, level: int) -> int:
    """The lowest version that holds the data; a count is longer in higher versions."""
    version = 1
    while version <= VERSIONS_MOST:
        sizes = util.mode_sizes_for_version(version)
        length = sum([MODE_BITS + sizes[mode] + len(body) for mode, _, body in bodies])
        version = bisect_left(util.BIT_LIMIT_TABLE[level], length, version)
        if version <= VERSIONS_MOST and util.mode_sizes_for_version(version) is sizes:
            return version
    raise ValueError("no QR code holds so much")


def _bits(bodies: Bodies, version: int) -> str:
    """The data's bits, each run after its head."""
    sizes = util.mode_sizes_for_version(version)
    return "".join([f"{mode:0{MODE_BITS}b}{count:0{sizes[mode]}b}{body}" for mode, count, body in bodies])


def _codewords(bits: str, version: int, level: int) -> bytes:
    """The data filled up to what the version holds, with its error correction, in the order of placing."""
    blocks = _blocks(version, level)
    room = 8 * sum(block.data_count for block in blocks)
    bits += "0" * min(4, room - len(bits))
    bits += "0" * (-len(bits) % 8)
    bits += (PADS * (room // 16 + 1))[: room - len(bits)]
    left = int(bits, 2).to_bytes(room // 8)
    data: list[bytes] = []
    checks: list[bytes] = []
    for block in blocks:
        own, left = left[: block.data_count], left[block.data_count :]
        data.append(own)
        checks.append(_check(own, block.total_count - block.data_count))
    if len(blocks) == 1:
        return data[0] + checks[0]
    turns = chain(zip_longest(*data), zip_longest(*checks))
    return bytes(word for turn in turns for word in turn if word is not None)


@cache
def _blocks(version: int, level: int) -> list[Any]:
    """The blocks of a symbol, each with how many codewords of data it has and how many in all."""
    return list(base.rs_blocks(version, level))


@cache
def _remainders(count: int) -> list[int]:
    """What each leading codeword leaves when divided by the polynomial of so many check codewords."""
    divisor = base.Polynomial([1], 0)
    for power in range(count):
        divisor *= base.Polynomial([1, base.gexp(power)], 0)
    of_bits = [_left_of(base.Polynomial([1 << bit], count) % divisor, count) for bit in range(8)]
    left = [0]
    for each in of_bits:
        left += [each ^ before for before in left]
    return left


def _left_of(remainder: Any, count: int) -> int:
    """A remainder's codewords as one number, leading zeros included."""
    words = [remainder[at] for at in range(len(remainder))]
    return int.from_bytes(bytes(words).rjust(count, b"\0"))


def _check(data: bytes, count: int) -> bytes:
    """The check codewords of a block, by division of polynomials, a codeword at a time."""
    remainders, high, keep = _remainders(count), 8 * (count - 1), (1 << 8 * (count - 1)) - 1
    left = 0
    for word in data:
        left = (left & keep) << 8 ^ remainders[left >> high ^ word]
    return left.to_bytes(count)


# --- placing ---------------------------------------------------------------------------------------------


@cache
def _placed(version: int, level: int) -> "_Placed":
    """Made once for each version and level that a job uses."""
    return _Placed(version, level)


class _Placed:
    """How symbols of one version and level are placed, learnt from qrcode, and how masks are weighed."""

    def __init__(self, version: int, level: int) -> None:
        code = QRCode(version, error_correction=level, border=0)
        self.side = version * 4 + 17
        self.step = self.side + 1  # from row to row: a light module follows each
        self.size = self.side * self.step
        self.starts = [mask * self.size for mask in MASKS]
        self.each = sum(1 << start for start in self.starts)
        self.one = (1 << self.size) - 1
        self.next = {step: self._inside(step, 1) for step in (1, self.step)}
        self.whole = {step: self._inside(step, FINDER_REACH) for step in (1, self.step)}
        frames = list(_frames(code))
        is_free = [dark is None for dark in frames[0]]
        free = _number(is_free)
        self.all_plain = sum(
            (_number(frame) | _mask(mask, self.side) & free) << start
            for mask, frame, start in zip(MASKS, frames, self.starts, strict=True)
        )
        bits = 8 * sum(block.total_count for block in _blocks(version, level))
        self.order = self._order(is_free, bits)

    def _inside(self, step: int, reach: int) -> int:
        """The modules of all masks from which `reach` higher ones, in rows or columns, are inside."""
        columns, rows = (self.side - reach, self.side) if step == 1 else (self.side, self.side - reach)
        one = sum(((1 << columns) - 1) << row * self.step + 1 for row in range(rows))
        return one * self.each

    def _order(self, is_free: Sequence[bool], bits: int) -> Callable[[str], Sequence[str]]:
        """Of every module, the bit that turns it over, from 1; 0 for none.

        Bits go up and down in turn in pairs of columns, from the right, and leave out the column of timing.
        """
        rows, places, turned = range(0, self.size, self.step), [0] * self.size, count(1)
        for pair in range(self.side // 2):
            right = self.side - 1 - 2 * pair
            right -= right <= TIMING
            for row in rows if pair % 2 else reversed(rows):
                for at in (row + right, row + right - 1):
                    if is_free[at]:
                        places[at] = next(turned)
        return itemgetter(*(bit if bit <= bits else 0 for bit in places))  # a few may be left over

    def modules(self, codewords: bytes) -> int:
        """The symbol under the mask with least against it."""
        bits = f"0{int.from_bytes(codewords):0{8 * len(codewords)}b}"
        masked = int("".join(self.order(bits)), 2) * self.each ^ self.all_plain
        lost = self.lost(masked)
        return masked >> lost.index(min(lost)) * self.size & self.one

    def lost(self, masked: int) -> list[int]:
        """What counts against each mask, as ISO/IEC 18004 has it [memory]."""
        along, long_rows, row_starts = self._alike(masked, 1)
        down, long_columns, column_starts = self._alike(masked, self.step)
        blocks = along & along >> self.step & down
        in_rows, in_columns = self._finders(masked, 1), self._finders(masked, self.step)
        one, half, fifth = self.one, self.side**2 / 2, self.side**2 / 20
        return [
            (long_rows >> at & one).bit_count()
            + (long_columns >> at & one).bit_count()
            + 2 * ((row_starts >> at & one).bit_count() + (column_starts >> at & one).bit_count())
            + 3 * (blocks >> at & one).bit_count()
            + 40 * ((in_rows >> at & one).bit_count() + (in_columns >> at & one).bit_count())
            + 10 * int(abs((masked >> at & one).bit_count() - half) / fifth)
            for at in self.starts
        ]

    def _alike(self, masked: int, step: int) -> tuple[int, int, int]:
        """Where a module is as its next; where five are alike; and where such a run begins.

        A run of n counts n - 2 against its mask: one for each five in it, and two for itself.
        """
        alike = self.next[step] & ~(masked ^ masked >> step)
        three = alike & alike >> step
        five = three & three >> 2 * step
        return alike, five, five & ~(five << step)

    def _finders(self, masked: int, step: int) -> int:
        """Where a finder's ratios are found with four light modules before or after them."""
        light = ~masked
        two = light & light >> step
        four = two & two >> 2 * step
        three_dark = masked & masked >> step & masked >> 2 * step
        finder = masked & light >> step & three_dark >> 2 * step & light >> 5 * step & masked >> 6 * step
        return self.whole[step] & (finder & four >> 7 * step | four & finder >> 4 * step)


def _frames(code: QRCode) -> Iterator[list[bool | None]]:
    """What qrcode places beside data, row by row, with each mask's own number in it; None where data go.

    A light module follows each row.
    """
    code.data_cache = b""
    code.map_data = lambda *_: None
    code.makeImpl(False, 0)  # noqa: FBT003 — not a trial: with the mask's own number in it
    for mask in MASKS:
        code.setup_type_info(False, mask)  # noqa: FBT003 — as above
        yield [dark for row in code.modules for dark in (*row, False)]


def _mask(mask: int, side: int) -> int:
    """A mask over a whole symbol: 12 rows and 12 columns of it come again and again."""
    rows = [f"{(row * (side // 12 + 1))[:side]}0" for row in _tile(mask)]
    return int("".join(rows[row % 12] for row in range(side)), 2)


@cache
def _tile(mask: int) -> list[str]:
    """The first 12 rows and columns of a mask, "1" for a module that it turns over."""
    turns = util.mask_func(mask)
    return ["".join("1" if turns(row, column) else "0" for column in range(12)) for row in range(12)]


def _number(flat: Sequence[bool | None]) -> int:
    """Modules as a number, the first as its highest bit."""
    return int(bytes(map(bool, flat)).translate(DIGITS_OF), 2)

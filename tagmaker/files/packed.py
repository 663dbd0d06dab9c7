"""Records as bytes, which pass between processes and wait on disk; of the same program and run alone."""

import pickle
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Generic, SupportsBytes, TypeVar, overload

__all__ = ["Packed", "pack", "unpack"]

Item = TypeVar("Item")


def pack(record: object) -> bytes:
    """A record as bytes."""
    return pickle.dumps(record, pickle.HIGHEST_PROTOCOL)


def unpack(content: SupportsBytes) -> Any:
    """The record again, from wherever its bytes wait."""
    return pickle.loads(bytes(content))  # noqa: S301 — written by this run


class Packed(Sequence[Item], Generic[Item]):
    """Records that wait as bytes: each is made again whenever it is asked for.

    `made` makes an item of a record.
    """

    def __init__(self, waiting: Sequence[SupportsBytes], made: Callable[[Any], Item]) -> None:
        self.waiting, self.made = waiting, made

    def __len__(self) -> int:
        return len(self.waiting)

    def __iter__(self) -> Iterator[Item]:
        return (self.made(unpack(each)) for each in self.waiting)

    @overload
    def __getitem__(self, at: int) -> Item: ...
    @overload
    def __getitem__(self, at: slice) -> "Packed[Item]": ...
    def __getitem__(self, at: int | slice) -> "Item | Packed[Item]":
        if isinstance(at, slice):
            return Packed(self.waiting[at], self.made)
        return self.made(unpack(self.waiting[at]))

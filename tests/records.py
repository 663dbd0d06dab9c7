"""A record with some fields changed, whether it is the program's (msgspec) or a sketch of the tests'."""

import dataclasses
from typing import Any, TypeVar

import msgspec

__all__ = ["plain", "replace"]

Record = TypeVar("Record")


def replace(record: Record, **changes: Any) -> Record:
    """The same record with these fields changed."""
    if isinstance(record, msgspec.Struct):
        return msgspec.structs.replace(record, **changes)
    return dataclasses.replace(record, **changes)  # type: ignore[type-var]


def plain(record: object) -> Any:
    """A record, or records, as plain JSON values."""
    return msgspec.json.decode(msgspec.json.encode(record))

"""A command's result as the JSON object that `--json` prints."""

import json
from collections.abc import Iterable

import msgspec
from msgspec import Struct

from tagmaker.problems import Problem

__all__ = ["json_object"]


def json_object(result: Struct | None, problems: Iterable[Problem] | None = None) -> str:
    """A result's fields as one JSON object on one line, with `problems` as its last key where given.

    The text is ASCII, so that it reads the same in every encoding of a terminal or pipe.
    """
    content = {} if result is None else msgspec.to_builtins(result)
    if problems is not None:
        content["problems"] = [msgspec.to_builtins(each.outline) for each in problems]
    return json.dumps(content)

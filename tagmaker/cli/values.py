"""Values of options that need no library: texts, paths, and what was not given.

typer builds a validator of pydantic for each option, given or not; that library takes a third of a short
command's time to load. What is plainly right is taken here; all else, with what is said of it, is typer's.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from tagmaker.files.plain import is_readable, is_there

__all__ = ["take_plain_values"]


class _Value:
    """Reads the values of one option or argument, in the place of what typer would build for it."""

    def __init__(self, parameter: Any) -> None:
        self.kind = parameter.type_descriptor.annotation
        self.typers: Callable[[], Any] = parameter.get_runtime_param

    def coerce(self, value: Any, param: Any, ctx: Any) -> Any:
        """The value as the command gets it; typer's own answer where it is not plainly right."""
        if value is None:
            return () if param.multiple or param.nargs == -1 else None
        taken = _plain(value, self.kind)
        return self.typers().coerce(value, param=param, ctx=ctx) if taken is None else taken


def take_plain_values(parameters: list[Any]) -> list[Any]:
    """The parameters of a command, each of which takes plain values by itself from now on.

    A typer that reads values in another way is left as it is.
    """
    for each in parameters:
        if hasattr(each, "type_descriptor") and "get_runtime_param" not in vars(each):
            value = _Value(each)
            vars(each)["get_runtime_param"] = lambda value=value: value
        if hasattr(each, "type_descriptor") and each.type_descriptor.annotation == list[Path]:
            vars(each)["display_type"] = lambda _context: "<paths>"  # in the help; typer shows Python's word
    return parameters


def _plain(value: Any, kind: Any) -> Any:
    """A value of a kind; None where typer must look at it."""
    if kind is str or kind is Path:
        return _text(value) if kind is str else _path(value)
    if kind == list[str] or kind == list[Path]:
        taken = [_plain(each, str if kind == list[str] else Path) for each in value]
        return None if None in taken else taken
    return value if type(value) is kind and kind is int else None  # a default


def _text(value: Any) -> str | None:
    """A text; none with bytes that are no text, which a shell passes on as halves of surrogate pairs."""
    is_text = isinstance(value, str) and not any(
        sign == "\0" or "\ud800" <= sign <= "\udfff" for sign in value
    )
    return value if is_text else None


def _path(value: Any) -> Path | None:
    """A path that is not there, or may be read; typer says what is wrong with others."""
    text = _text(str(value) if isinstance(value, Path) else value)
    path = Path(text) if text is not None else None
    return path if path is None or not is_there(path) or is_readable(path) else None

"""Answers to wrong usage: what was probably meant, as text or as the object of `--json`."""

import re
import shlex
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

import typer

from tagmaker.cli.options import WrongUsage, json_object
from tagmaker.cli.printing import print_lines
from tagmaker.cli.show import count
from tagmaker.files.plain import is_there
from tagmaker.problems import Where, error

__all__ = ["EXTRA", "MEANT", "answer"]

MEANT: Mapping[str, str] = {
    **dict.fromkeys(("-v", "-V", "-version", "version"), "--version"),
    **dict.fromkeys(("-?", "/?", "-help", "help"), "--help"),
    **dict.fromkeys(("validate", "lint", "verify"), "check"),
    **dict.fromkeys(("labels", "label", "print", "tags", "placards", "build", "generate", "run"), "make"),
    **dict.fromkeys(("new", "init", "create"), "start"),
    **dict.fromkeys(("diff", "compare"), "changes"),
    **dict.fromkeys(("import", "schedule"), "read"),
    **dict.fromkeys(("docs", "man"), "manual"),
}
"""Words that people try, with the command or option that does it."""
ALSO: Mapping[str, str] = {
    "verify": "; what came back from the walk is compared by: tagmaker readback FILES --job JOB"
}
EXTRA: Mapping[str, tuple[str, ...]] = {
    "make": ("-o",), "stocks": ("-o",), "align": ("-o",), "check": ("--box",), "switches": ("--box",),
    "read": ("--job",), "start": ("--from",), "room": ("--near",),
}  # fmt: skip
"""The option that a word too many was probably meant for, by command."""
TOO_MANY = re.compile(r"Got unexpected extra argument(?:\(s\)|s)? \((.*)\)$", re.DOTALL)
TAG = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]*)*[0-9][A-Za-z0-9-]*")
PLAIN: Mapping[str, str] = {
    "int_parsing": "{input!r} is not a whole number",
    "int_parsing_size": "it is not a number of usual size",
    "greater_than_equal": "{input} is less than {ge}",
    "less_than_equal": "{input} is more than {le}",
}
"""What is printed for the kinds of errors of the library that reads the options' values."""


def answer(reason: typer.TyperException, words: list[str], commands: Collection[str]) -> None:
    """Print what was wrong, and what was probably meant; `commands` are the names of all."""
    context = getattr(reason, "ctx", None)
    if not words and context is not None:
        print_lines(reason.format_message().split("\n"), err=True)  # the program's name alone: its help
        return
    message, hint = _message(reason, words)
    where = " ".join(["tagmaker", *(word for word in words[:1] if word in commands)])
    if "--json" in words:
        print_lines([json_object(None, [error("usage-wrong", message, Where(where), hint)])])
        return
    lines = message.split("\n")
    if context is not None:
        usage = context.get_usage().split("\n")
        lines = [*usage, f"Try '{where} -h' for help.", "", f"Error: {message}"]
    print_lines([*lines, *([f"    {hint}"] if hint else [])], err=True)


def _message(reason: typer.TyperException, words: list[str]) -> tuple[str, str]:
    """The message and the hint."""
    if isinstance(reason, WrongUsage):
        return reason.message, reason.hint
    if words[0] in MEANT and _is_first(reason):
        return f"there is no {_kind(words[0])} {words[0]!r}", _meant(words)
    if found := TOO_MANY.match(reason.message):
        return _too_many(reason, _extra(found[1], words), words)
    return _plain(reason), ""


def _is_first(reason: typer.TyperException) -> bool:
    """Whether it is the program's own words that are wrong, not those of a command."""
    context = getattr(reason, "ctx", None)
    return context is not None and context.parent is None


def _kind(word: str) -> str:
    return "option" if word.startswith(("-", "/")) else "command"


def _meant(words: list[str]) -> str:
    """The call that was meant, with the words that came after."""
    meant, rest = MEANT[words[0]], words[1:]
    calls = {"--help": [*rest[:1], meant], "--version": [meant]}
    call = calls.get(meant, [meant, *rest])
    return f"did you mean: {_call(call)}{ALSO.get(words[0], '')}"


def _call(words: Iterable[str]) -> str:
    return f"tagmaker {shlex.join(words)}"


def _too_many(reason: typer.TyperException, extra: list[str], words: list[str]) -> tuple[str, str]:
    """Words too many, and the options that they were probably meant for."""
    context = getattr(reason, "ctx", None)
    command = context.command.name if context else ""
    message = f"{count(len(extra), 'word')} too many: {' '.join(extra)!r}"
    options = EXTRA.get(command, ())
    is_box = options == ("--box",)
    if (len(extra) > 1 and not is_box) or (is_box and any(is_there(Path(each)) for each in extra)):
        options = ()  # a file or folder that is there is another job, no box
    elif command == "make" and TAG.fullmatch(extra[0]):
        options = ("-o", "--box")  # a box's tag, or a folder of that name
    calls = [_call([*_without(words, extra), *_pairs(option, extra)]) for option in options]
    return message, f"did you mean: {' or: '.join(calls)}" if calls else ""


def _extra(text: str, words: list[str]) -> list[str]:
    """The words too many, as they were typed, of which typer gives one text."""
    extra: list[str] = []
    for word in words[1:]:
        if text == word or text.startswith(f"{word} "):
            extra.append(word)
            text = text[len(word) + 1 :]
    return extra


def _without(words: list[str], extra: list[str]) -> list[str]:
    """The words but for the last of each that is too many."""
    left = words[::-1]
    for word in extra:
        if word in left:
            left.remove(word)
    return left[::-1]


def _pairs(option: str, extra: list[str]) -> list[str]:
    return [word for each in extra for word in (option, each)]


def _plain(reason: typer.TyperException) -> str:
    """The message without the words of the library that reads values."""
    message = reason.format_message()
    errors = getattr(reason.__cause__, "errors", None)
    if errors is None:
        return message
    first = errors()[0]
    values = {"input": first["input"], **first.get("ctx", {})}
    text = PLAIN[first["type"]].format(**values) if first["type"] in PLAIN else first["msg"]
    return message.removesuffix(reason.message) + text.removeprefix("Value error, ")

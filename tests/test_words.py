"""Users read plain trade English: no text that the program prints, reports or documents has a banned word."""

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.banned_words import BANNED
from tests.paths import ROOT

PATTERNS = {pattern: re.compile(pattern, re.IGNORECASE) for pattern in BANNED}
VALUE = re.compile(r"\{[^{}]*\}")
CODE = re.compile(r"```.*?```|`[^`\n]*`", re.DOTALL)
LAYOUTS = sorted((ROOT / "layouts").rglob("*.toml"))
MODULES = sorted((ROOT / "tagmaker").rglob("*.py"))
PAGES = [ROOT / "README.md", *sorted((ROOT / "tagmaker" / "manual").glob("*.md"))]


def values(content: object) -> Iterator[str]:
    """Every text among the values of a TOML file; keys are not printed."""
    if isinstance(content, dict):
        for value in content.values():
            yield from values(value)
    elif isinstance(content, list):
        for value in content:
            yield from values(value)
    elif isinstance(content, str):
        yield from content.splitlines()


def messages(path: Path) -> Iterator[str]:
    """Every text of a module that may be shown: its strings of several words, a command's help among them."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    hidden = {id(each) for each in ast.walk(tree) if isinstance(each, ast.JoinedStr) for each in each.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            is_help = path.parent.name == "cli" and getattr(node, "name", "") == path.stem
            hidden |= {id(each.value) for each in node.body if isinstance(each, ast.Expr) and not is_help}
    for node in ast.walk(tree):
        if id(node) in hidden:
            continue
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(each.value) if isinstance(each, ast.Constant) else "{}" for each in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value:
            yield from node.value.splitlines()


def faults(texts: Iterator[str]) -> list[str]:
    """What is banned in these texts, with what to write."""
    return [
        f"{text.strip()!r}: not {found[0]!r} but {BANNED[pattern]}"
        for text in texts
        for pattern, banned in PATTERNS.items()
        if (found := banned.search(VALUE.sub("{}", text)))
    ]


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.name)
def test_printed_words_are_plain(path: Path) -> None:
    """Labels, placards, sheets and what a new job folder explains."""
    if path.name != "columns.toml":  # other people's words, in which schedules are written
        assert faults(values(tomllib.loads(path.read_text(encoding="utf-8")))) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_messages_are_plain(path: Path) -> None:
    """Problems, hints, what commands print, their help."""
    assert faults(messages(path)) == []


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_pages_are_plain(path: Path) -> None:
    """README and manual, code aside."""
    assert faults(iter(CODE.sub("", path.read_text(encoding="utf-8")).splitlines())) == []


def test_a_banned_word_is_found() -> None:
    """In a sentence, in another case, beside a value."""
    texts = ["Mend it", "{} is no tag", "a cable lands here"]
    assert len(faults(iter(texts))) == 2

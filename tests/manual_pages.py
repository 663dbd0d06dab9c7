"""What the documents hold: the README and the manual's pages, taken apart into prose, blocks and commands."""

import re
from collections.abc import Iterator

from tagmaker.cli.commands import COMMANDS
from tagmaker.workflows.manual import PAGES, page_text
from tests.paths import ROOT

__all__ = ["DOCUMENTS", "README", "blocks", "code_spans", "command_names", "keys_of_lists", "prose"]

README = (ROOT / "README.md").read_text(encoding="utf-8")
DOCUMENTS = {"README": README} | {page: page_text(page) for page in PAGES}
FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(language: str) -> Iterator[tuple[str, str]]:
    """Every block of code in a language, with the document that it stands in."""
    for document, text in DOCUMENTS.items():
        yield from ((document, block) for kind, block in FENCED.findall(text) if kind == language)


def prose(text: str) -> str:
    """A document without its blocks of code."""
    return FENCED.sub("", text)


def code_spans(text: str) -> list[str]:
    """What the prose of a document sets as code."""
    return [" ".join(span.split()) for span in re.findall(r"`([^`]+)`", prose(text))]


def command_names() -> list[str]:
    """Every command of the program."""
    return [name for name, _, _ in COMMANDS]


def keys_of_lists(page: str) -> dict[str, set[str]]:
    """The keys that a page explains, by the table that heads them: "- `key`, `other`: meaning"."""
    keys: dict[str, set[str]] = {}
    for section in re.split(r"^## ", page, flags=re.MULTILINE)[1:]:
        table = re.search(r"\w+", section)
        items = re.findall(r"^- ((?:`\w+`(?:, )?)+):", section, re.MULTILINE)
        if table and section.startswith("`["):
            keys[table[0]] = {key for item in items for key in re.findall(r"\w+", item)}
    return keys

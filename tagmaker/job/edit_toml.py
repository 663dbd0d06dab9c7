"""Changes of a TOML file that keep its comments, order, style and line ends.

Takes a file's bytes and the changes; gives its new bytes, or the problem. Only the lines of the table that is
changed are rewritten, by tomlkit. What comes out is read again, and must be exactly what the changes ask for:
else nothing is given. All changes are made in one pass: indices are those of the file as it was.
"""

import copy
import datetime as dt
import itertools
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import tomlkit
from msgspec import Struct
from tomlkit.exceptions import TOMLKitError

from tagmaker.files.toml import TomlFile, parsed_toml, plain_text
from tagmaker.files.toml_lines import Path as KeyPath
from tagmaker.problems import Problem, Where, error

__all__ = ["AddTable", "RemoveTable", "SetKeys", "TomlChange", "TomlValue", "edited_toml"]

TomlValue = str | int | bool | dt.date | tuple[str, ...] | Mapping[str, str]
BOM = "\ufeff"
LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+\Z")
BLANK = re.compile(r"[ \t]*(?:#.*)?$")
UNMADE = (TOMLKitError, KeyError, IndexError, TypeError, ValueError)
"""What tomlkit raises on tables that are not written as it was expected; another way is tried then."""
LONG_TEXTS = ('"""', "'''")
CANNOT = "the file is written in a way that cannot be changed here"
CANNOT_HINT = "change it in a text editor"


class SetKeys(Struct, frozen=True):
    """Give keys of a table new values, None to remove a key.

    `path` is the table's: ("job",), or ("box", 2) for the third [[box]]. A table of a single name that is not
    there is added after [job].
    """

    path: KeyPath
    values: Mapping[str, TomlValue | None]


class AddTable(Struct, frozen=True):
    """Add a [[name]] with these keys after the last one."""

    name: str
    values: Mapping[str, TomlValue]


class RemoveTable(Struct, frozen=True):
    """Remove the [[name]] with that index, from 0, and the tables that belong to it."""

    name: str
    index: int


TomlChange = SetKeys | AddTable | RemoveTable


def edited_toml(content: bytes, changes: Sequence[TomlChange], shown: str) -> bytes | Problem:
    """The file's bytes with the changes made, or why they cannot be."""
    try:
        raw = content.decode()
    except UnicodeDecodeError:
        return error("file-encoding", f"{shown} is not UTF-8 text", Where(shown), "save it as UTF-8 text")
    mark = BOM if raw.startswith(BOM) else ""
    lines = LINE.findall(raw[len(mark) :])
    file = _read(lines, shown)
    if isinstance(file, Problem):
        return file
    wanted = _wanted(file.content, changes, shown)
    if isinstance(wanted, Problem):
        return wanted
    for way in (_by_blocks, _as_whole):
        new = way(lines, file, changes)
        read = _read(new, shown)
        if isinstance(read, TomlFile) and read.content == wanted:
            return (mark + "".join(new)).encode()
    return error("edit-refused", f"{shown}: {CANNOT}", Where(shown), CANNOT_HINT)


def _read(lines: Sequence[str], shown: str) -> TomlFile | Problem:
    """The lines as the program reads them."""
    text = plain_text("".join(lines), shown)
    return text if isinstance(text, Problem) else parsed_toml(text, shown)


# --- what changes ask for, apart from how the file is written


def _wanted(
    content: Mapping[str, object], changes: Sequence[TomlChange], shown: str
) -> Mapping[str, object] | Problem:
    """The file's content after the changes, or the problem where one names what is not there."""
    wanted: Any = copy.deepcopy(dict(content))
    for change in changes:
        if isinstance(change, SetKeys):
            table = _table(wanted, change.path)
            if not isinstance(table, dict):
                return _missing(shown, change.path)
            _set_plain(table, change.values)
        elif not isinstance(wanted.setdefault(change.name, []), list):
            return _missing(shown, (change.name,))
        elif isinstance(change, AddTable):
            wanted[change.name].append({key: _plain(value) for key, value in change.values.items()})
        elif not 0 <= change.index < len(wanted[change.name]):
            return _missing(shown, (change.name, change.index))
    for name, gone in _removed(changes).items():
        wanted[name] = [row for at, row in enumerate(wanted[name]) if at not in gone]
    return {
        key: value
        for key, value in wanted.items()
        if value or (key in content and (isinstance(value, dict) or content[key] == value))
    }


def _removed(changes: Iterable[TomlChange]) -> dict[str, set[int]]:
    """The indices of the tables to remove, by name."""
    removed: dict[str, set[int]] = {}
    for change in changes:
        if isinstance(change, RemoveTable):
            removed.setdefault(change.name, set()).add(change.index)
    return removed


def _missing(shown: str, path: KeyPath) -> Problem:
    name = f"{path[0]} number {int(path[1]) + 1}" if len(path) > 1 else str(path[0])
    return error("edit-refused", f"{shown} has no table {name}", Where(shown), "look at what it holds now")


def _table(content: Any, path: KeyPath) -> Any:
    """The table at a path; one of a single name is made where it is missing. None where there is none."""
    if len(path) == 1:
        return content.setdefault(path[0], {})
    rows, at = content.get(path[0]), int(path[1])
    return rows[at] if isinstance(rows, list) and 0 <= at < len(rows) else None


def _set_plain(table: dict[str, object], values: Mapping[str, TomlValue | None]) -> None:
    for key, value in values.items():
        if value is None:
            table.pop(key, None)
        else:
            table[key] = _plain(value)


def _plain(value: TomlValue) -> object:
    """A value as tomli gives it."""
    if isinstance(value, tuple):
        return list(value)
    return dict(value) if isinstance(value, Mapping) else value


# --- the lines of one table


@dataclass
class _Block:
    """A table's header with its keys, and the comments and blank lines below them.

    Lines before the first header are a block without a path; `added` are the tables put in after this one.
    """

    path: KeyPath
    keys: list[str]
    rest: list[str]
    added: list[str] = field(default_factory=list)


def _blocks(lines: Sequence[str], file: TomlFile) -> list[_Block]:
    """The lines, divided at every table that has a header of its own."""
    headed = [
        (len(path), line - 1, path)
        for path, line in file.lines.items()
        if lines[line - 1].lstrip(" \t").startswith("[") and _is_table(file.content, path)
    ]
    # a header [a.b] gives its line to a as well: the longest path is its own
    paths: dict[int, KeyPath] = {0: ()} | {
        line: path for _, line, path in sorted(headed, key=lambda each: each[0])
    }
    starts = sorted(paths)
    blocks: list[_Block] = []
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        last = end
        while last > start + bool(paths[start]) and BLANK.match(lines[last - 1].rstrip("\r\n")):
            last -= 1
        if any(sign in line for line in lines[start:last] for sign in LONG_TEXTS) and not _parses(
            lines[start:last]
        ):
            last = end  # what looks like a comment is the end of a long text
        blocks.append(_Block(paths[start], list(lines[start:last]), list(lines[last:end])))
    return blocks


def _parses(lines: Sequence[str]) -> bool:
    """Whether lines are sound TOML by themselves."""
    try:
        tomlkit.parse("".join(line.rstrip("\r\n") + "\n" for line in lines))
    except UNMADE:
        return False
    return True


def _is_table(content: Any, path: KeyPath) -> bool:
    for part in path:
        content = content[part]
    return isinstance(content, dict)


def _by_blocks(lines: Sequence[str], file: TomlFile, changes: Sequence[TomlChange]) -> list[str]:
    """The lines with each change made in its own table's lines; empty where one has none of its own."""
    blocks = _blocks(lines, file)
    by_path = {block.path: block for block in blocks}
    last_of = {block.path[0]: block for block in blocks if block.path}
    end = _end(lines)
    new_tables: dict[KeyPath, dict[str, Any]] = {}
    for change in changes:
        if isinstance(change, SetKeys):
            block = by_path.get(change.path)
            if block:
                block.keys = _with_keys(block, change.values, end)
            else:
                _set_plain(new_tables.setdefault(change.path, {}), change.values)
        elif isinstance(change, AddTable):
            below = last_of.get(change.name, blocks[-1])
            below.added += _table_lines(f"[[{_key(change.name)}]]", change.values, end)
    for path, values in new_tables.items():
        if values:
            below = last_of.get("job", blocks[-1])
            below.added += _table_lines(f"[{_key(str(path[0]))}]", values, end)
    _remove(blocks, changes)
    return _joined(blocks, end)


def _remove(blocks: list[_Block], changes: Sequence[TomlChange]) -> None:
    """Empty the blocks of tables to remove, with the blank line above each; comments stay."""
    removed = _removed(changes)
    for above, block in itertools.pairwise([_Block((), [], []), *blocks]):
        if len(block.path) > 1 and block.path[1] in removed.get(str(block.path[0]), ()):
            block.keys = []
            if above.rest and not above.rest[-1].strip():
                above.rest.pop()


def _joined(blocks: list[_Block], end: str) -> list[str]:
    """The lines of all blocks; tables are put in below the keys of theirs, with a blank line around them."""
    joined: list[str] = []
    for block in blocks:
        added = block.added
        if added and not (joined or block.keys):
            added = added[1:]
        below = [end] if added and block.rest and block.rest[0].strip() else []
        joined += [*block.keys, *added, *below, *block.rest]
    return [line if line.endswith(("\n", "\r")) else line + end for line in joined[:-1]] + joined[-1:]


def _with_keys(block: _Block, values: Mapping[str, TomlValue | None], end: str) -> list[str]:
    """A block's lines with keys set, each untouched line with its own end; nothing where tomlkit fails."""
    text = "".join(line.rstrip("\r\n") + "\n" for line in block.keys)
    try:
        document = tomlkit.parse(text)
        # of one table alone: [[box]] is the first of its array, [box.mains] a table in a table
        names = [part for part in block.path if isinstance(part, str)]
        _set_keys(document, [*names, 0] if isinstance(block.path[-1], int) else names, values)
        return _with_ends(block.keys, LINE.findall(document.as_string()), end)
    except UNMADE:
        return []


def _set_keys(document: Any, path: Sequence[str | int], values: Mapping[str, TomlValue | None]) -> None:
    """Set keys of a table of a document."""
    for part in path:
        document = document[part]
    for key, value in values.items():
        if value is not None:
            document[key] = _item(value)
        elif key in document:
            del document[key]


def _item(value: TomlValue) -> object:
    """A value as tomlkit writes it: a table within braces."""
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    return tomlkit.item(list(value)) if isinstance(value, tuple) else tomlkit.item(value)


def _table_lines(header: str, values: Mapping[str, TomlValue], end: str) -> list[str]:
    """A new table, a blank line above it."""
    body = tomlkit.document()
    for key, value in values.items():
        body[key] = _item(value)
    return [line + end for line in ("", header, *body.as_string().splitlines())]


def _with_ends(old: Sequence[str], new: Sequence[str], end: str) -> list[str]:
    """New lines, those that are as before at the beginning and the end with their own line ends."""
    bare = [line.rstrip("\r\n") for line in old]
    made = [line.rstrip("\r\n") for line in new]
    least = min(len(bare), len(made))
    head = next((at for at in range(least) if bare[at] != made[at]), least)
    tail = next((at for at in range(least - head) if bare[-1 - at] != made[-1 - at]), least - head)
    middle = [line + end for line in made[head : len(made) - tail]]
    return [*old[:head], *middle, *old[len(old) - tail :]]


def _end(lines: Sequence[str]) -> str:
    """The line end of a file: that of its first line."""
    first = lines[0] if lines else "\n"
    return first[len(first.rstrip("\r\n")) :] or "\n"


def _key(name: str) -> str:
    return tomlkit.key(name).as_string()


# --- files that write their tables in another way


def _as_whole(lines: Sequence[str], file: TomlFile, changes: Sequence[TomlChange]) -> list[str]:
    """The lines with the changes made by tomlkit to the whole file: dotted keys, tables in braces."""
    try:
        document: Any = tomlkit.parse("".join(line.rstrip("\r\n") + "\n" for line in lines))
        for change in changes:
            if isinstance(change, SetKeys):
                _set_keys(document, change.path, change.values)
            elif isinstance(change, AddTable):
                is_inline = isinstance(document[change.name], tomlkit.items.Array)
                row = tomlkit.inline_table() if is_inline else tomlkit.table()
                row.update({key: _item(value) for key, value in change.values.items()})
                document[change.name].append(row)
        for name, gone in _removed(changes).items():
            for at in sorted(gone, reverse=True):
                del document[name][at]
            if len(gone) == len(file.content[name]):  # type: ignore[arg-type]
                del document[name]
        return _with_ends(lines, LINE.findall(document.as_string()), _end(lines))
    except UNMADE:
        return []

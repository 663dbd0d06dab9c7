"""Every touch of the disk is in `files/`, and only `catalog/` knows the folder `layouts/`.

An import contract cannot see `open`: this reads the syntax tree of every module. It sees what a module calls
itself, not what a library does with a path that it is given (the typefaces' readers are given one).
"""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import tagmaker

PACKAGE = Path(tagmaker.__file__).parent
METHODS = {
    "chmod", "exists", "glob", "hardlink_to", "is_dir", "is_file", "is_symlink", "iterdir", "lchmod", "lstat",
    "mkdir", "open", "read_bytes", "read_text", "rename", "rglob", "rmdir", "samefile", "stat", "symlink_to",
    "touch", "unlink", "write_bytes", "write_text",
}  # fmt: skip
"""Methods of paths that look at the disk or change it; `replace` is not among them, as texts have it too."""
MODULES = {"fileinput", "fcntl", "glob", "mmap", "shutil", "tempfile"}
PATHS = {"file", "file_path", "folder", "out", "path", "place", "source_path", "target"}
"""Names that paths have in this program."""
OS = {"SEEK_END", "_exit", "cpu_count", "environ", "sched_getaffinity"}
"""What of `os` is no file: the environment, processes and processors."""
EXCEPTIONS = {
    ("cli/printing.py", "os.open"): "/dev/null in place of a closed pipe: no file is opened",
    ("cli/printing.py", "os.devnull"): "as above",
    ("cli/printing.py", "os.O_WRONLY"): "as above",
    ("cli/printing.py", "os.dup2"): "as above",
    ("cli/printing.py", "os.close"): "as above",
    ("site/paper/typed.py", ".open()"): "Pillow opens bytes in memory, not a file",
    ("symbols/read.py", ".open()"): "as above",
    ("symbols/greys.py", "import mmap"): "memory of no file",
}


def touches(tree: ast.Module) -> Iterator[str]:
    """Whatever a module does to the disk by itself."""
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="open")):
                yield "open()"
            case ast.Attribute(value=ast.Name(id="os"), attr=name) if name not in OS:
                yield f"os.{name}"
            case ast.Call(func=ast.Attribute(value=of, attr=name)) if name in METHODS and not _is_os(of):
                yield f".{name}()"
            case ast.Import(names=names):
                yield from (f"import {each.name}" for each in names if each.name.split(".")[0] in MODULES)
                yield from (f"import {each.name}" for each in names if each.name == "os" and each.asname)
            case ast.ImportFrom(module=str(module), names=names) if module.split(".")[0] in {*MODULES, "os"}:
                yield f"from {module}"
            case _:
                pass


def _is_os(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id == "os"


def system_spelling(tree: ast.Module) -> Iterator[str]:
    """Paths that a module makes texts of in the system's own spelling: JSON and CSV have `/` everywhere."""
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id="str"), args=[ast.BinOp(op=ast.Div())]):
                yield "str(a / b)"
            case ast.Call(func=ast.Name(id="str"), args=[ast.Name(id=name) | ast.Attribute(attr=name)]) if (
                name in PATHS
            ):
                yield f"str({name})"
            case _:
                pass


def names_layouts(tree: ast.Module) -> bool:
    """Whether a module imports or asks for the folder of the shipped files."""
    return any(
        getattr(node, key, "") == "layouts" for node in ast.walk(tree) for key in ("name", "id", "attr")
    )


def modules(*, outside: str) -> dict[str, ast.Module]:
    """The syntax trees of all modules but those of a room, by their paths."""
    return {name: tree for name, tree in _trees().items() if not name.startswith(outside)}


@cache
def _trees() -> dict[str, ast.Module]:
    """All modules, read once for all tests."""
    paths = {path.relative_to(PACKAGE).as_posix(): path for path in sorted(PACKAGE.rglob("*.py"))}
    return {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in paths.items()}


def test_files_alone_touches_the_disk() -> None:
    """All others call its functions; each exception is named with its reason, and still needed."""
    found = {(name, touch) for name, tree in modules(outside="files/").items() for touch in touches(tree)}
    assert found == set(EXCEPTIONS)


def test_paths_become_texts_with_slashes() -> None:
    """On every system: what one wrote another reads, and JSON is the same everywhere."""
    found = {name: list(system_spelling(tree)) for name, tree in modules(outside="nowhere/").items()}
    assert {name: paths for name, paths in found.items() if paths} == {}


@pytest.mark.parametrize("text", ["str(path)", "Where(str(job.folder))", "str(folder / 'a')", "f(str(out))"])
def test_a_path_in_the_systems_spelling_is_seen(text: str) -> None:
    """Alone, of a record, or put together."""
    assert len(list(system_spelling(ast.parse(text)))) == 1


def test_the_catalog_alone_knows_where_layouts_is() -> None:
    """All others ask it for a file by its name."""
    assert [name for name, tree in modules(outside="catalog/").items() if names_layouts(tree)] == []


@pytest.mark.parametrize(
    ("text", "touch"),
    [
        ("open('a')", "open()"),
        ("Path('a').open('w')", ".open()"),
        ("path.read_text()", ".read_text()"),
        ("if path.exists(): pass", ".exists()"),
        ("[*folder.rglob('*')]", ".rglob()"),
        ("os.remove('a')", "os.remove"),
        ("os.path.realpath('a')", "os.path"),
        ("from os.path import exists", "from os.path"),
        ("from os import remove", "from os"),
        ("import os as system", "import os"),
        ("def f():\n    import shutil", "import shutil"),
        ("from tempfile import TemporaryFile", "from tempfile"),
    ],
)
def test_a_touch_is_seen(text: str, touch: str) -> None:
    """Each way of reaching the disk, wherever it is in a module."""
    assert list(touches(ast.parse(text))) == [touch]


@pytest.mark.parametrize(
    "text", ["from tagmaker.catalog.folders import layouts", "folders.layouts()", "layouts() / 'a'"]
)
def test_a_look_for_layouts_is_seen(text: str) -> None:
    """Imported, or by way of its module."""
    assert names_layouts(ast.parse(text))


@pytest.mark.parametrize("text", ["import os\nos.environ", "text.replace('a', 'b')", "reopen()"])
def test_what_is_no_touch_is_passed(text: str) -> None:
    """Environment, texts and other names."""
    assert list(touches(ast.parse(text))) == []

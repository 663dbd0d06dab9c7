"""The stages of `schemas`: read sample files → note what readers ask for → make the schemas → write them.

A reader that is given a file with `asked` notes each key with what it may hold, so that a schema cannot
differ from what is read; several files of one sort together show which keys are always required. The schema
of plan.json is that of its records.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import msgspec

from tagmaker.catalog.columns import REQUIRED
from tagmaker.catalog.family import read_family
from tagmaker.catalog.folders import names
from tagmaker.catalog.shipped import shipped_text
from tagmaker.catalog.stock import read_stock
from tagmaker.files.plain import is_folder, is_there
from tagmaker.files.toml import QUANTITY, KeyRead, Table, TomlFile, toml_of
from tagmaker.files.write import write_file
from tagmaker.job.read import read_job_file
from tagmaker.problems import CODES, Problem, ProblemOutline, Severity, Where, error
from tagmaker.revisions.plan_file import PlanFile

__all__ = ["SCHEMAS", "schema", "schemas"]

Json = dict[str, object]
DIALECT = "https://json-schema.org/draft/2020-12/schema"
FULL_JOB = """
[job]
name = "a"
family = "four-port-boards"
[print]
[bands]
[[box]]
tag = "A"
ports = 4
mains = {}
[[unit]]
unit = "B"
box = "A"
port = "A"
[[walk_item]]
key = "c"
text = "d"
[[system]]
tag = "e"
heights = {}
charge = {}
test = {}
"""
BOXES_OWN_FAMILY = '[job]\nname = "a"\n[[box]]\ntag = "A"\nports = 4\nfamily = "four-port-boards"\n'
"""A job that has its family in the box; `FULL_JOB` has every table, so that each is asked for its keys."""


def schema(sort: str) -> Json:
    """The schema of one sort of file (a key of `SCHEMAS`): job, family, stock, plan or problems."""
    return {"$schema": DIALECT, "title": f"tagmaker {sort}", **SCHEMAS[sort]()}


def schemas(folder: Path) -> tuple[tuple[Path, ...], tuple[Problem, ...]]:
    """Write every schema into a folder that exists; the files, and a problem for each that failed."""
    if not is_folder(folder):
        message = f"{folder} {'is not a folder' if is_there(folder) else 'does not exist'}"
        return (), (error("output-blocked", message, Where(folder.as_posix()), "name an existing folder"),)
    files = {folder / f"{sort}.schema.json": schema(sort) for sort in SCHEMAS}
    written = [write_file(file, _text(content)) for file, content in files.items()]
    return tuple(files), tuple(problem for problem in written if problem)


def _text(content: Json) -> bytes:
    return (json.dumps(content, indent=2, ensure_ascii=False) + "\n").encode()


def _job() -> Json:
    runs = [_asks(text, lambda file: read_job_file(file, Path())) for text in (FULL_JOB, BOXES_OWN_FAMILY)]
    tree = _object(runs)
    # cells of a row are read one way, from here or from a schedule: no reader of TOML says what they require
    _within(tree, "unit", "items")["required"] = list(REQUIRED)
    _within(tree, "columns")["additionalProperties"] = {"type": "string"}  # headers, which nobody can list
    _within(tree, "system", "items", "charge")["additionalProperties"] = QUANTITY  # diameters likewise
    return tree | {"required": ["job", "box"]}


def _family() -> Json:
    return _object(
        [_asks(text, lambda file: read_family("", Table.whole(file, []))) for text in _shipped("families")]
    )


def _stock() -> Json:
    return _object(
        [_asks(text, lambda file: read_stock("", Table.whole(file, []))) for text in _shipped("stocks")]
    )


def _plan() -> Json:
    return msgspec.json.schema(PlanFile)


def _problems() -> Json:
    """The `problems` of every `--json`."""
    made = msgspec.json.schema(tuple[ProblemOutline, ...])
    fields = _within(made, "$defs", "ProblemOutline")
    known = {"severity": {"enum": [str(each) for each in Severity]}, "code": {"enum": list(CODES)}}
    fields["properties"] = _within(fields, "properties") | known
    return made


SCHEMAS: Mapping[str, Callable[[], Json]] = {
    "job": _job, "family": _family, "stock": _stock, "plan": _plan, "problems": _problems,
}  # fmt: skip
"""Every sort of file with what makes its schema."""


def _shipped(kind: str) -> list[str]:
    """The texts of all shipped files of a kind."""
    return [shipped_text(f"{kind}/{name}.toml") for name in names(kind, None)]


def _asks(text: str, read: Callable[[TomlFile], object]) -> list[KeyRead]:
    """Every key that a reader asked for while it read a file of this text."""
    asked: list[KeyRead] = []
    read(toml_of(text, asked=asked))
    return asked


def _object(runs: Iterable[list[KeyRead]]) -> Json:
    """The schema of a file from what each run asked of it; a 0 in a path is the row of a list of tables."""
    return _table([[(each.path, each) for each in run] for run in runs])


Asks = list[tuple[tuple[str | int, ...], KeyRead]]


def _table(runs: list[Asks]) -> Json:
    """The schema of a table; a key is required where every run that has the table required it."""
    keys = dict.fromkeys(str(path[0]) for run in runs for path, _ in run)
    required = [key for key in keys if all(_is_required(key, run) for run in runs if run)]
    properties = {key: _key(key, runs) for key in sorted(keys)}
    made: Json = {"type": "object", "properties": properties, "additionalProperties": False}
    return made | ({"required": sorted(required)} if required else {})


def _is_required(key: str, run: Asks) -> bool:
    return any(path == (key,) and each.required for path, each in run)


def _key(key: str, runs: list[Asks]) -> Json:
    """What a key may hold: a table or list of tables from the keys within, or what its readers noted."""
    own: Json = {}
    for run in runs:
        for path, each in run:
            own |= each.schema if path == (key,) else {}
    if "enum" in own:
        return {"enum": own["enum"]}
    within = [[(path[1:], each) for path, each in run if path[0] == key and len(path) > 1] for run in runs]
    if not any(within):
        return own
    if own["type"] == "array":
        return {
            "type": "array",
            "items": _table([[(path[1:], each) for path, each in run if path[0] == 0] for run in within]),
        }
    return _table(within)


def _within(tree: Json, *keys: str) -> Json:
    """The part of a schema under these keys, through `properties` for a table; {} where there is none."""
    for key in keys:
        properties = tree.get("properties")
        found = tree.get(key) or (properties.get(key) if isinstance(properties, dict) else None)
        tree = found if isinstance(found, dict) else {}
    return tree

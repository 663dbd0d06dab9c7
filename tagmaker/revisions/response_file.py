"""response.json: the calls of a response test, for other programs, for what comes back and for the next test.

Written by `response` and read back by `response --since` and `readback`. It keeps a digest of each file of
its folder, so that one that was filled in is never replaced, and where each field of response.pdf is, so that
paper is read by what was printed.
"""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from tagmaker.files.changed import Manifest
from tagmaker.files.plain import is_folder, read_plain
from tagmaker.files.sealed import BLANK, is_sealed, sealed
from tagmaker.plan.response import SystemCalls
from tagmaker.plan.response_words import PORTS_AT_MOST
from tagmaker.problems import Problem, ProblemOutline, Where, error
from tagmaker.revisions.form_pages import FormPage

__all__ = [
    "RESPONSE_FILE",
    "ResponseFile",
    "is_right",
    "read_manifest",
    "read_response_file",
    "read_test",
    "response_json",
]

RESPONSE_FILE = "response.json"
BYTES_AT_MOST = 20_000_000
ROUNDS_AT_MOST = 99
HINT = "name the response.json that `tagmaker response` wrote"


class ResponseFile(Struct, frozen=True):
    """The whole file; the fields are its keys. `digests` has SHA-256 of each file by name."""

    systems: tuple[SystemCalls, ...]
    digests: dict[str, str] = {}
    problems: tuple[ProblemOutline, ...] = ()
    form_pages: tuple[FormPage, ...] = ()


def response_json(
    systems: Iterable[SystemCalls],
    files: Mapping[str, str],
    problems: Iterable[Problem],
    pages: Iterable[FormPage] = (),
) -> bytes:
    """The file's bytes; `files` are the digests of the others by name, `pages` those of response.pdf."""
    outlines = tuple(problem.outline for problem in problems)
    content = ResponseFile(tuple(systems), {**files, RESPONSE_FILE: BLANK}, outlines, tuple(pages))
    text = json.dumps(msgspec.to_builtins(content), ensure_ascii=False, separators=(",", ":"))
    return sealed(
        msgspec.json.format(text.encode(errors="backslashreplace"), indent=1) + b"\n", RESPONSE_FILE
    )


def read_manifest(out: Path) -> Manifest:
    """What the test in a folder consists of; an empty manifest where there is none."""
    try:
        content = read_plain(out / RESPONSE_FILE, BYTES_AT_MOST)
        digests = msgspec.json.decode(content, type=ResponseFile).digests
    except (OSError, msgspec.MsgspecError, RecursionError):
        return Manifest()
    is_intact = is_sealed(content, RESPONSE_FILE, digests.get(RESPONSE_FILE, ""))
    return Manifest(
        frozenset(digests), is_whole=True, plan_name=RESPONSE_FILE, digests=digests, is_intact=is_intact
    )


def read_response_file(path: Path) -> tuple[SystemCalls, ...] | Problem:
    """The calls of an earlier test; the problem where the file is none."""
    path = path / RESPONSE_FILE if is_folder(path) else path
    where = Where(path.name)
    try:
        content = read_plain(path, BYTES_AT_MOST)
    except OSError as reason:
        return error("plan-unreadable", f"{path} cannot be read: {reason.strerror}", where, HINT)
    found = _file_of(content)
    if found is None or not found.systems:
        return error("plan-unreadable", f"{path} is not a response.json of this program", where, HINT)
    if not is_sealed(content, RESPONSE_FILE, found.digests.get(RESPONSE_FILE, "")):
        return error("plan-unreadable", f"{path} was changed after it was written", where, HINT)
    return found.systems


def read_test(content: bytes) -> ResponseFile | None:
    """The file of these bytes; None where its calls are none that this program writes.

    One that was changed since has no places of fields: paper is not read by them.
    """
    found = _file_of(content)
    if found is None or is_sealed(content, RESPONSE_FILE, found.digests.get(RESPONSE_FILE, "")):
        return found
    return replace(found, form_pages=())


def _file_of(content: bytes) -> ResponseFile | None:
    """The file of these bytes; None where its calls are none that this program writes."""
    try:
        found = msgspec.json.decode(content, type=ResponseFile)
    except (msgspec.MsgspecError, RecursionError):
        return None
    return found if all(map(is_right, found.systems)) else None


def is_right(calls: SystemCalls) -> bool:
    """Whether every port has a word of as many letters as there are rounds, and is named once."""
    words = all(
        len(call.calls) == calls.rounds and set(call.calls) <= {"H", "C"} and call.port
        for call in calls.ports
    )
    names = {(call.box.upper(), call.port) for call in calls.ports}
    is_small = len(names) <= PORTS_AT_MOST and 0 < calls.rounds <= ROUNDS_AT_MOST
    return words and len(names) == len(calls.ports) and is_small

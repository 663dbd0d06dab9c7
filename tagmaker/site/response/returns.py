"""Files of a response test as they came back: tables filled in, logs of temperatures, and tests at hand.

Takes paths; gives what belongs to response tests, and apart from it the files that do not. A table names its
test by a digest; the words are in response.json, which is looked for beside each table, and in a form.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from tagmaker.files.plain import files_below, is_folder, is_plain_file, read_plain
from tagmaker.plan.response import SystemCalls
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.revisions.form_pages import FormPage
from tagmaker.revisions.response_file import (
    BYTES_AT_MOST,
    RESPONSE_FILE,
    ResponseFile,
    is_right,
    read_test,
)
from tagmaker.site.response.temperatures import TemperatureLog, is_log, read_log
from tagmaker.tags.response import (
    READINGS,
    FilledRow,
    filled_rows,
    is_response_field,
    read_kept_text,
    rows_of_form,
    table_of,
)

__all__ = ["ResponseReturns", "form_return", "is_response_form", "read_response_returns"]

TABLE_HINT = "hand in response.csv as it was filled in, or a log with the columns time and round"
TEST_FILE = re.compile(r"response(-\d+)?\.json", re.ASCII)
"""A response.json, or one of several that were put into one folder and numbered."""
FORM_HINT = "hand in the form that was filled in, or type its readings into response.csv"


class ResponseReturns(Struct, frozen=True):
    """What came back: rows and logs, each with its file, the tests at hand, and the files that are none.

    `pages` are those of the tests at hand, as printed. `on_paper` are sources with handwriting: their rows
    are blank until it is typed, and count as not seen.
    """

    rest: tuple[Path, ...] = ()
    rows: tuple[tuple[str, FilledRow], ...] = ()
    logs: tuple[tuple[str, TemperatureLog], ...] = ()
    tests: tuple[SystemCalls, ...] = ()
    problems: tuple[Problem, ...] = ()
    pages: tuple[FormPage, ...] = ()
    on_paper: frozenset[str] = frozenset()

    def joined(self, *others: "ResponseReturns") -> "ResponseReturns":
        """What came back in all of them."""
        every = (self, *others)
        return ResponseReturns(
            tuple(file for each in every for file in each.rest),
            tuple(row for each in every for row in each.rows),
            tuple(log for each in every for log in each.logs),
            tuple(test for each in every for test in each.tests),
            tuple(problem for each in every for problem in each.problems),
            tuple(page for each in every for page in each.pages),
            self.on_paper.union(*(each.on_paper for each in others)),
        )


def read_response_returns(paths: Iterable[Path]) -> ResponseReturns:
    """Divide the files, folders searched, into those of response tests and the rest."""
    files = [file for path in paths for file in (files_below(path) if is_folder(path) else [path])]
    rest: list[Path] = []
    rows: list[tuple[str, FilledRow]] = []
    logs: list[tuple[str, TemperatureLog]] = []
    problems: list[Problem] = []
    tests: dict[str, SystemCalls] = {}
    pages: dict[str, FormPage] = {}
    for path in dict.fromkeys(map(_test_path, files)):
        if test := _test_at(path):
            tests |= {each.plan: each for each in test.systems}
            pages |= {each.code: each for each in test.form_pages}
    for file in files:
        if TEST_FILE.fullmatch(file.name):
            problems += _not_a_test(file)
            continue
        if file.suffix.lower() not in {".csv", ".tsv"}:
            rest.append(file)
            continue
        found = _read_table(file)
        if isinstance(found, Problem):
            problems.append(found)
        elif isinstance(found, TemperatureLog):
            logs.append((file.as_posix(), found))
        else:
            rows += [(file.as_posix(), row) for row in found]
    return ResponseReturns(
        tuple(rest),
        tuple(rows),
        tuple(logs),
        tuple(tests.values()),
        tuple(problems),
        tuple(pages.values()),
    )


def _test_path(file: Path) -> Path:
    """The file itself where it is a response.json, else where the one beside it would be."""
    return file if TEST_FILE.fullmatch(file.name) else file.with_name(RESPONSE_FILE)


def _test_at(path: Path) -> ResponseFile | None:
    """The tests of a response.json; None where it is not there, or is none."""
    try:
        return read_test(read_plain(path, BYTES_AT_MOST)) if is_plain_file(path) else None
    except OSError:
        return None


def _not_a_test(file: Path) -> Iterator[Problem]:
    """An error for a response.json that cannot be read: the tests that it had are not at hand."""
    if _test_at(file) is None:
        message = f"{file.name} cannot be read, or was not written by this program"
        yield error(
            "return-unreadable", message, Where(file.as_posix()), "hand in the file as it was written"
        )


def _read_table(path: Path) -> list[FilledRow] | TemperatureLog | Problem:
    where = Where(path.as_posix())
    try:
        text = read_plain(path, BYTES_AT_MOST).decode("utf-8-sig")
    except OSError as reason:
        return error("return-unreadable", f"{path.name} cannot be read: {reason.strerror or reason}", where)
    except UnicodeDecodeError:
        return error("return-unreadable", f"{path.name} is not a text in UTF-8", where, TABLE_HINT)
    table = table_of(text)
    if isinstance(table, list) and table and is_log(table[0]):
        found: list[FilledRow] | TemperatureLog | str = read_log(table)
    else:
        found = filled_rows(text)
    if isinstance(found, str):
        return error("return-unreadable", f"{path.name} {found}", where, TABLE_HINT)
    return found


# --- forms --------------------------------------------------------------------------------------------------


def is_response_form(values: Mapping[str, bool | str]) -> bool:
    """Whether the fields of a form are those of a response test."""
    return any(is_response_field(name) for name in values)


def form_return(source: str, values: Mapping[str, bool | str]) -> ResponseReturns:
    """A form's rows, and the tests that its hidden texts keep.

    A box of which nothing is called is in no hidden text: its rows name no test.
    """
    kept = {name: _kept(str(value)) for name, value in values.items() if name.endswith("/response-for")}
    if not kept or not all(kept.values()):
        message = "the hidden text of its response test is missing, or was changed; nothing of it counts"
        return ResponseReturns(problems=(error("response-unknown", message, Where(source), FORM_HINT),))
    tests = [test for found in kept.values() for test in found]
    of_box = {call.box.upper(): test for test in tests for call in test.ports}
    rows: list[tuple[str, FilledRow]] = []
    problems: list[Problem] = []
    texts = {name: value.strip().upper() for name, value in values.items() if isinstance(value, str)}
    by_test: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for name, value in texts.items():
        test = of_box.get(name.partition("/")[0].upper())
        head = (test.plan, test.system) if test else ("", "")
        by_test.setdefault(head, []).append((name, READINGS.get(value, "")))
        problems += _not_a_reading(source, name, value)
    for head, fields in by_test.items():
        rows += [(source, row) for row in rows_of_form(fields, *head)]
    return ResponseReturns(rows=tuple(rows), tests=tuple(tests), problems=tuple(problems))


def _not_a_reading(source: str, name: str, value: str) -> Iterator[Problem]:
    """A warning for a cell that holds something else than a reading: it counts as not seen."""
    if value and not READINGS.get(value, "") and "/response/" in name:
        message = f"{name} has {value!r}: a reading is H, C, 0, ? or nothing"
        yield warning("response-unknown", message, Where(source), "it counts as not seen")


def _kept(text: str) -> list[SystemCalls]:
    """The test that a form's hidden text keeps; none where the text is not whole."""
    test = read_kept_text(text)
    return [test] if test and test.ports and is_right(test) else []

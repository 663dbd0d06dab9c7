"""Problems are values: what, where, how to mend it, and which boxes it touches."""

import re

import msgspec
import pytest

from tagmaker.problems import (
    CODES,
    Problem,
    Severity,
    Where,
    column_letters,
    error,
    for_boxes,
    has_errors,
    note,
    warning,
)

WHERE = Where("ports.csv", 7)


def test_text_of_a_problem_begins_with_its_place() -> None:
    """File, line, severity, message and code on one line; the hint on a line of its own."""
    problem = error("port-overloaded", "port A carries too much", WHERE, "move a unit")
    assert problem.as_text() == (
        "ports.csv:7: error: port A carries too much [port-overloaded]\n    move a unit"
    )


def test_text_without_a_hint_is_one_line() -> None:
    """No hint, no empty line."""
    assert note("pair-needless", "a pair", WHERE).as_text() == "ports.csv:7: note: a pair [pair-needless]"


def test_place_of_a_whole_file_has_no_line() -> None:
    """Line 0 stands for the whole file and is not printed."""
    assert (str(Where("job.toml")), str(Where("job.toml", 1))) == ("job.toml", "job.toml:1")


@pytest.mark.parametrize(
    ("where", "text"),
    [
        (Where("ports.xlsx", 7, "Schedule", 3), "ports.xlsx:Schedule!C7"),
        (Where("ports.xlsx", 7, "Level 2", 28), "ports.xlsx:Level 2!AB7"),
        (Where("ports.xlsx", 0, "Notes", 0, 2), "ports.xlsx:Notes"),
    ],
)
def test_place_in_a_workbook_is_a_cell(where: Where, text: str) -> None:
    """File, sheet and cell, as a spreadsheet names it; a whole sheet has no cell."""
    assert str(where) == text


@pytest.mark.parametrize(
    ("number", "letters"), [(0, ""), (1, "A"), (26, "Z"), (27, "AA"), (52, "AZ"), (702, "ZZ"), (16384, "XFD")]
)
def test_columns_have_letters(number: int, letters: str) -> None:
    """As spreadsheets count them: 16,384 columns end at XFD (ECMA-376, from memory)."""
    assert column_letters(number) == letters


def test_places_are_in_the_order_of_files_sheets_rows_and_columns() -> None:
    """Sheets in their own order, not by name; a line of CSV before the next."""
    ordered = [
        Where("a.csv", 9), Where("b.xlsx"), Where("b.xlsx", 9, "Z", 1, 0), Where("b.xlsx", 9, "Z", 2, 0),
        Where("b.xlsx", 10, "Z", 1, 0), Where("b.xlsx", 2, "A", 1, 1),
    ]  # fmt: skip
    mixed = [ordered[at] for at in (3, 0, 5, 1, 4, 2)]
    assert ordered == sorted(mixed, key=lambda where: where.order)


def test_json_of_a_problem() -> None:
    """Five texts, as `--json` promises."""
    problem = warning("port-crowded", "six units", WHERE, "ask the manual", ("BX-1",))
    assert msgspec.to_builtins(problem.outline) == {
        "severity": "warning",
        "code": "port-crowded",
        "message": "six units",
        "where": "ports.csv:7",
        "hint": "ask the manual",
    }


def test_each_maker_has_its_severity() -> None:
    """`error`, `warning` and `note` make what they say."""
    made = [make("box-empty", "empty", WHERE).severity for make in (error, warning, note)]
    assert made == [Severity.ERROR, Severity.WARNING, Severity.NOTE]


def test_unknown_code_is_a_bug() -> None:
    """A code that the table lacks cannot be used."""
    with pytest.raises(KeyError, match="no-such-code"):
        Problem(Severity.ERROR, "no-such-code", "what", WHERE)


@pytest.mark.parametrize("code", CODES)
def test_code_is_hyphenated_and_explained(code: str) -> None:
    """Every code is lower-case words with hyphens; its meaning is a sentence."""
    assert re.fullmatch(r"[a-z]+(-[a-z]+)+", code)
    assert re.fullmatch(r"[A-Z][^\n]{10,}\.", CODES[code])


def test_only_errors_stop_make() -> None:
    """Warnings and notes do not."""
    mild = [warning("port-crowded", "six", WHERE), note("pair-needless", "a pair", WHERE)]
    assert [has_errors([]), has_errors(mild)] == [False, False]
    assert has_errors([*mild, error("box-empty", "empty", WHERE)])


def test_problems_of_some_boxes() -> None:
    """A box's problems are its own and the whole job's; no box named means all."""
    whole = error("toml-syntax", "broken", WHERE)
    one = error("box-empty", "empty", WHERE, boxes=("BX-1",))
    both = error("unit-twice", "twice", WHERE, boxes=("BX-1", "BX-2"))
    assert for_boxes([whole, one, both], []) == (whole, one, both)
    assert for_boxes([whole, one, both], ["BX-1"]) == (whole, one, both)
    assert for_boxes([whole, one, both], ["BX-2"]) == (whole, both)
    assert for_boxes([whole, one, both], ["BX-3"]) == (whole,)

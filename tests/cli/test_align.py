"""`align` as a person meets it: the page, the two questions, and what is kept."""

from pathlib import Path

import pytest

from tagmaker.catalog.alignment import alignment_file, alignment_of
from tests.cli.commands import run, there

NAME = "letter-30-67x25"


def test_two_readings_are_kept_and_shown() -> None:
    """Shift and scale as they are kept, with the file; then the stock is forgotten."""
    done = run("align", NAME, "--first", "26.3,25.5", "--second", "190.87, 254.9")
    kept = f"{NAME}: shift +1.50, +0.50 mm, scale 99.20%, 100.00%; kept in {alignment_file()}\n"
    assert (done.exit_code, done.stdout, done.stderr) == (0, kept, "")
    forgotten = run("align", NAME, "--forget")
    assert (forgotten.exit_code, forgotten.stdout) == (0, f"{NAME}: forgotten in {alignment_file()}\n")
    assert alignment_of(NAME) is None


def test_a_wrong_name_forgets_nothing() -> None:
    """Else the labels that it was meant for stay shifted."""
    done = run("align", "letter-30", "--forget")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "STOCK: error: no label stock is named 'letter-30' [stock-unknown]" in done.stderr


def test_a_reading_that_cannot_be_right_is_refused() -> None:
    """1, its problem, and no line of success."""
    done = run("align", NAME, "--first", "41,25", "--second", "190.9,254.4")
    assert (done.exit_code, done.stdout) == (1, "")
    assert "align: error: '41,25' is too far from its cross [value-wrong]" in done.stderr


def test_a_page_is_written_then_the_readings_are_asked_for() -> None:
    """First the page to print, then cross 1, then cross 2."""
    done = run("align", NAME, "-o", "page.pdf", typed="25.2,25.1\n191.1,254.5\n")
    assert done.exit_code == 0
    assert Path("page.pdf").read_bytes().startswith(b"%PDF-")
    places = [done.stdout.index(text) for text in ("page.pdf is written", "at 100 %", "Cross 1", "Cross 2")]
    assert sorted(places) == places
    assert f"{NAME}: shift +0.20, +0.10 mm" in done.stdout


@pytest.mark.parametrize(("name", "file"), [("no-such", "page.pdf"), (NAME, "page.txt")])
def test_nothing_is_asked_where_no_page_was_written(name: str, file: str) -> None:
    """An unknown stock, or a file of another kind: 1, and no question."""
    done = run("align", name, "-o", file)
    assert (done.exit_code, done.stdout, there()) == (1, "", [])
    assert done.stderr.count("error:") == 1

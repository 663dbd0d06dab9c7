"""`stocks` as a person meets it: two lines a stock, a job's own ones too."""

import re
from pathlib import Path

import pytest

from tagmaker.cli.stocks import listing_lines
from tagmaker.workflows.stocks import stocks
from tests.cli.commands import OVERLOADED, result, run, there


def test_listing_for_a_terminal() -> None:
    """Two lines a stock: what it is; what for, from how far, of what, for how long."""
    listed, _ = stocks(None)
    lines = listing_lines(each for each in listed.stocks if each.name == "letter-80-44x13")
    assert lines[0] == "letter-80-44x13  Letter sheet, 80 small terminal labels of 44.5 x 12.7 mm"
    assert re.fullmatch(
        r"    for terminal; reads from \d\.\d m; QR code, modules of 0\.40 mm or more; "
        r"white polyester film, permanent adhesive \(lasting\)",
        lines[1],
    )
    assert lines[2].startswith("    too small: terminal box from 0.")
    assert "terminal kind from 0." in lines[2]
    assert len(lines) == 3


def test_a_stock_that_holds_no_caution_says_so() -> None:
    """It is refused for spare ports."""
    listed, _ = stocks(None)
    lines = listing_lines(each for each in listed.stocks if each.name == "roll-flag-102x25-300dpi")
    assert lines[-1] == "    refused for spare ports (pipe): it holds no caution"


def test_a_stock_without_a_code_is_listed_so() -> None:
    """12 mm hold no QR code that reads, and a strip's cells hold none; bars have a limit of their own."""
    listed, _ = stocks(None)
    second = {each.name: listing_lines([each])[1] for each in listed.stocks}
    assert "; no code; " in second["tape-12-cut-45-300dpi"]
    assert "; no code; " in second["tape-12-strip-300dpi"]
    assert "; bar code, bars of 0.25 mm or more; " in second["tape-12-cut-90-203dpi"]


@pytest.mark.parametrize("job", ["job", "job/job.toml"])
def test_a_jobs_own_stocks_are_listed_whether_folder_or_file_is_named(job: str, place: Path) -> None:
    """A job's path is the same for every command."""
    OVERLOADED.write(place / "job")
    (place / "job" / "stocks").mkdir()
    own = 'title = "Ours"\nsource = "this test"\nkind = "roll"\nlabel_mm = [60, 30]\n'
    (place / "job" / "stocks" / "own.toml").write_text(own, encoding="utf-8")
    assert "own  Ours" in run("stocks", "--job", job).stdout.splitlines()
    assert "own  Ours" not in run("stocks").stdout.splitlines()


def test_drawing_says_where_the_picture_is() -> None:
    """A line, or as JSON the file; named after the stock where no name is given."""
    done = run("stocks", "letter-30-67x25")
    assert (done.exit_code, done.stdout) == (0, "letter-30-67x25.pdf: drawing of letter-30-67x25\n")
    assert Path("letter-30-67x25.pdf").read_bytes().startswith(b"%PDF-")
    as_json = run("stocks", "letter-30-67x25", "-o", "sheet.png", "--json")
    assert result(as_json) == {"out": "sheet.png", "problems": []}


def test_a_stock_that_is_not_there_is_not_drawn() -> None:
    """1, the nearest name, and no line of success."""
    done = run("stocks", "letter-30-67x26")
    assert (done.exit_code, done.stdout, there()) == (1, "", [])
    assert "did you mean 'letter-30-67x25'?" in done.stderr


def test_a_file_without_a_stock_to_draw_is_wrong_usage() -> None:
    """The list goes to the terminal: nothing is written where a file was asked for."""
    done = run("stocks", "-o", "sheet.png")
    assert done.exit_code == 2
    assert "-o goes with NAME" in done.stderr
    assert not Path("sheet.png").exists()

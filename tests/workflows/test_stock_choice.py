"""Stocks tried on a job: what is reported of each is what `check` reports once the job names it."""

from pathlib import Path

import pytest

from tagmaker.catalog.stock import Use
from tagmaker.job.prints import PRINT_USES
from tagmaker.problems import Problem
from tagmaker.revisions.selection import Selection
from tagmaker.workflows.check import check
from tagmaker.workflows.paper import paper
from tagmaker.workflows.stock_choice import ERRORS_SHOWN, StockTried, stock_choice
from tests.job_files import BOX, HEAD, write_files

UNITS = "".join(
    f'[[unit]]\nunit = "{unit}"\nbox = "BX-1"\nport = "{port}"\ncapacity = "24 kBtu/h"\nroom = "Shop"\n'
    'liquid = "3/8 in"\ngas = "5/8 in"\ninsulation = "3/4 in"\ncable = "0.3 in"\n'
    for unit, port in (("FC-1", "A"), ("FCU-LEVEL-2-NORTH-131", "B"))
)
OWN = (
    'title = "Own roll"\nsource = "x"\nkind = "roll"\nlabel_mm = [60, 30]\nsuits = ["pipe"]\n'
    'material = "paper"\nlife = "temporary"\n'
)


def job_with(folder: Path, *lines: str) -> Path:
    """A job with these lines in [print] and a stock of its own."""
    text = "\n".join((HEAD, "[print]", *lines, BOX, UNITS))
    return write_files(folder, {"job.toml": text, "stocks/own.toml": OWN})


def told(problems: tuple[Problem, ...]) -> set[tuple[str, str, str]]:
    """Problems without their places: a line more in the file moves those."""
    return {(str(each.severity), each.code, each.message) for each in problems}


@pytest.mark.parametrize("use", PRINT_USES)
def test_a_stock_fits_where_check_finds_no_error_with_it(use: Use, tmp_path: Path) -> None:
    """For every stock of every use; warnings and notes are the same too."""
    stage = Selection(stage="rough-in") if use == "pipe_rough_in" else Selection()
    anyway = told(check(job_with(tmp_path / "bare"), stage).problems)
    choice = stock_choice(job_with(tmp_path / "job"), use)
    assert choice.problems == ()
    assert len(choice.stocks) > 5
    for tried in choice.stocks:
        lines = [f'{use} = "{tried.key}"'] if tried.key else []
        expected = told(check(job_with(tmp_path / "named", *lines), stage).problems) - anyway
        found = told(tried.problems) - anyway
        assert tried.fits == all(severity != "error" for severity, _, _ in expected), tried.key
        if tried.fits:
            assert found == expected, tried.key
        else:
            assert found, tried.key
            assert found <= expected, tried.key
            assert len(found) <= ERRORS_SHOWN + 1


def test_every_stock_that_suits_is_tried_the_jobs_own_too(tmp_path: Path) -> None:
    """The present one first, then those that fit; each with a picture of its label's size."""
    job = job_with(tmp_path / "job", 'pipe = "letter-8-tie-on-102x64"')
    stocks = stock_choice(job, "pipe").stocks
    assert (stocks[0].key, stocks[0].is_present) == ("letter-8-tie-on-102x64", True)
    assert [each.is_present for each in stocks[1:]] == [False] * (len(stocks) - 1)
    assert [each.fits for each in stocks] == sorted((each.fits for each in stocks), reverse=True)
    keys = {each.key for each in stocks}
    assert {"", "own", "letter-30-67x25", "roll-pipe-wrap-406x38-203dpi"} <= keys
    assert "letter-80-44x13" not in keys
    own = next(each for each in stocks if each.key == "own")
    assert "stock-temporary" in {each.code for each in own.problems}
    for each in stocks:
        assert each.picture.startswith(b"\x89PNG")
        assert each.picture_mm == each.stock.label_mm


def shape_of(stocks: tuple[StockTried, ...], key: str) -> str:
    """The shape in which a stock would be used."""
    return next(each for each in stocks if each.key == key).stock.shape


def test_a_stock_that_is_not_named_has_the_shape_that_needs_no_diameter(tmp_path: Path) -> None:
    """The same sheet of labels is a tie-on tag where no stock is named, a label where it is."""
    stocks = stock_choice(job_with(tmp_path / "job"), "pipe").stocks
    assert (shape_of(stocks, ""), shape_of(stocks, "letter-30-67x25")) == ("tie-on", "label")


def test_a_default_that_follows_from_the_other_stage_is_present_once(tmp_path: Path) -> None:
    """Tie-on tags named for the pipes serve the rough-in too: there nothing is named."""
    stocks = stock_choice(
        job_with(tmp_path / "job", 'pipe = "letter-8-tie-on-102x64"'), "pipe_rough_in"
    ).stocks
    assert [each.key for each in stocks if each.is_present] == [""]
    assert stocks[0].stock.name == "letter-8-tie-on-102x64"


def test_a_stock_that_cannot_be_read_can_be_replaced(tmp_path: Path) -> None:
    """The job's present one is unknown: the others are tried all the same."""
    job = job_with(tmp_path / "job", 'pipe = "no-such-stock"')
    found = paper(job)
    assert [each.code for each in found.problems] == ["stock-unknown"]
    pipe = found.stocks[0]
    assert (pipe.use, pipe.stock, pipe.is_named) == ("pipe", None, True)
    assert any(each.key == "letter-30-67x25" and each.fits for each in stock_choice(job, "pipe").stocks)


def test_a_broken_stock_file_is_reported_and_the_rest_tried(tmp_path: Path) -> None:
    """A stock of the job's own without a size."""
    job = job_with(tmp_path / "job")
    (job / "stocks" / "own.toml").write_text('title = "x"\nsource = "x"\nkind = "roll"\n', "utf-8")
    choice = stock_choice(job, "placard")
    assert [each.code for each in choice.problems] == ["key-missing"]
    assert len(choice.stocks) > 5


def test_a_job_that_cannot_be_planned_has_no_choice(tmp_path: Path) -> None:
    """Its problems are given."""
    job = write_files(tmp_path / "job", {"job.toml": HEAD})
    assert stock_choice(job, "pipe").stocks == ()
    assert stock_choice(job, "pipe").problems == check(job).problems != ()


def test_progress_goes_from_the_first_stock_to_the_last(tmp_path: Path) -> None:
    """One call a stock."""
    steps: list[tuple[int, int]] = []
    stock_choice(job_with(tmp_path / "job"), "placard", progress=lambda done, of: steps.append((done, of)))
    count = steps[-1][1]
    assert steps == [(done, count) for done in range(1, count + 1)]

"""[print]: every use has a stock that works; what the job names is taken as it is, or told."""

from pathlib import Path

import pytest

from tagmaker.job.prints import DEFAULT_LABELS, Prints, default_prints
from tagmaker.job.read import read_job
from tagmaker.problems import Problem
from tests.job_files import BOX, HEAD, UNIT, write_files
from tests.strategies import stock_named

USES = ("pipe", "pipe_rough_in", "cable", "terminal", "placard")


def read(folder: Path, *lines: str) -> tuple[Prints, tuple[Problem, ...]]:
    """The prints of a job with these lines in [print], and what is wrong with them."""
    job, problems = read_job(
        write_files(folder, {"job.toml": "\n".join((HEAD, "[print]", *lines, BOX, UNIT))})
    )
    assert job
    return job.prints, problems


def test_a_job_that_names_none_prints_on_the_defaults(tmp_path: Path) -> None:
    """A job read from disk and one made without have the same."""
    assert read(tmp_path) == (default_prints(), ())
    assert tuple(default_prints().stocks) == USES


def test_defaults_take_the_shape_that_needs_no_diameter() -> None:
    """Pipes get a tie-on tag with a hole, cables a flag, terminals a label, all of one sheet of labels."""
    stocks = default_prints().stocks
    assert {use: (stock.name, stock.shape) for use, stock in stocks.items() if use != "placard"} == {
        "pipe": (DEFAULT_LABELS, "tie-on"),
        "pipe_rough_in": (DEFAULT_LABELS, "tie-on"),
        "cable": (DEFAULT_LABELS, "flag"),
        "terminal": (DEFAULT_LABELS, "label"),
    }
    assert all(stock.is_default for stock in stocks.values())


@pytest.mark.parametrize("use", USES[:4])
def test_a_named_stock_is_taken_as_it_is(use: str, tmp_path: Path) -> None:
    """Even the default one, if the job names it: then it must fit what it goes round."""
    prints, problems = read(tmp_path, f'{use} = "{DEFAULT_LABELS}"')
    assert problems == ()
    assert prints.stocks[use] == stock_named(DEFAULT_LABELS)
    assert not prints.stocks[use].is_default


@pytest.mark.parametrize(
    ("named", "pipe", "before"),
    [
        ('pipe = "letter-8-tie-on-102x64"', "letter-8-tie-on-102x64", "letter-8-tie-on-102x64"),
        (
            'pipe_rough_in = "roll-tie-on-76x51-203dpi"',
            "roll-tie-on-76x51-203dpi",
            "roll-tie-on-76x51-203dpi",
        ),
        ('pipe = "roll-pipe-wrap-254x38-203dpi"', "roll-pipe-wrap-254x38-203dpi", "roll-tie-on-76x51-203dpi"),
        ('pipe = "roll-flag-102x25-300dpi"', "roll-flag-102x25-300dpi", "roll-tie-on-76x51-300dpi"),
        ('pipe = "letter-5-pipe-wrap-254x38"', "letter-5-pipe-wrap-254x38", DEFAULT_LABELS),
        ('pipe_rough_in = "roll-51x25-203dpi"', DEFAULT_LABELS, "roll-51x25-203dpi"),
    ],
)
def test_the_other_stage_of_pipes_has_a_tie_on_stock_too(
    named: str, pipe: str, before: str, tmp_path: Path
) -> None:
    """A tie-on tag is better than a ring on adhesive sheet: the same stock, or the same printer's roll."""
    prints, problems = read(tmp_path, named)
    assert problems == ()
    assert (prints.stocks["pipe"].name, prints.stocks["pipe_rough_in"].name) == (pipe, before)
    assert prints.stocks["pipe_rough_in"].shape in {"tie-on", "label"}


def test_a_stock_that_is_named_for_each_stage_is_taken(tmp_path: Path) -> None:
    """Nothing is put in the place of what the job names, not even of the default's name."""
    prints, _ = read(tmp_path, f'pipe = "letter-8-tie-on-102x64"\npipe_rough_in = "{DEFAULT_LABELS}"')
    assert prints.stocks["pipe_rough_in"] == stock_named(DEFAULT_LABELS)


def test_locators_are_printed_where_a_stock_is_named_for_them(tmp_path: Path) -> None:
    """A label for the ceiling is asked for, not assumed."""
    assert "locator" not in read(tmp_path / "without")[0].stocks
    prints, problems = read(tmp_path / "with", 'locator = "a4-21-63x38"')
    assert (prints.stocks["locator"].name, problems) == ("a4-21-63x38", ())


def test_a_strip_needs_the_pitch_of_the_terminals(tmp_path: Path) -> None:
    """It is measured on the box, never assumed."""
    _, (problem,) = read(tmp_path, 'terminal = "tape-12-strip-300dpi"')
    assert problem.as_text() == (
        "job.toml:6: error: stock 'tape-12-strip-300dpi' is a strip: it needs the pitch of the terminals "
        '[key-missing]\n    measure it and write terminal_pitch = "0.3 in"'
    )


def test_a_pitch_is_a_length(tmp_path: Path) -> None:
    """With its unit, like every length."""
    strip = 'terminal = "tape-12-strip-300dpi"'
    prints, problems = read(tmp_path / "good", strip, 'terminal_pitch = "0.4 in"')
    assert problems == ()
    assert prints.terminal_pitch
    assert float(prints.terminal_pitch.mm) == pytest.approx(10.16)
    _, bad = read(tmp_path / "bad", strip, 'terminal_pitch = "0.4"')
    assert "length-unit" in [problem.code for problem in bad]


PAGE = "https://example.org/placard.html"


@pytest.mark.parametrize(
    ("lines", "forms", "link"),
    [
        ((), ("contact", "text"), ""),
        (('placard_code = ["text"]',), ("text", "text"), ""),
        (('placard_code = ["contact", "contact"]',), ("contact", "contact"), ""),
        (('placard_code = ["text", "contact"]',), ("text", "contact"), ""),
        (('placard_code = ["contact", "link"]', f'link = "{PAGE}"'), ("contact", "link"), PAGE),
        (
            ('placard_code = ["link"]', 'link = "https://[2001:db8::1]:8443"'),
            ("link",) * 2,
            "https://[2001:db8::1]:8443",
        ),
    ],
)
def test_the_forms_of_a_placards_codes(
    lines: tuple[str, ...], forms: tuple[str, ...], link: str, tmp_path: Path
) -> None:
    """Two, in the order that the job gives; one alone is that of both corners."""
    prints, problems = read(tmp_path, *lines)
    assert (prints.placard_codes, prints.link, problems) == (forms, link, ())


@pytest.mark.parametrize(
    "value", ['["contcat"]', '["text", "link", "contact"]', "[]", "[1]", "3", '["text", ""]']
)
def test_other_forms_are_refused(value: str, tmp_path: Path) -> None:
    """One problem at the key's line; the codes are then as they would be without it."""
    prints, problems = read(tmp_path, f"placard_code = {value}")
    assert [(problem.code, str(problem.where)) for problem in problems] == [("value-wrong", "job.toml:6")]
    assert prints.placard_codes == default_prints().placard_codes


@pytest.mark.parametrize(
    "link",
    [
        "placard.html",
        "ftp://example.org/placard.html",
        "https://",
        "https://exa mple.org",
        "https://example.org/#page",
        "https://example.org/<script>",
        "https://user@example.org/",
        "https://example.org/Größe",
        "javascript:alert(1)",
        f"https://example.org/{'x' * 80}",
    ],
)
def test_a_link_that_no_code_can_carry_is_refused(link: str, tmp_path: Path) -> None:
    """Another scheme, no host, signs that an address cannot have, a fragment of its own, too long."""
    prints, problems = read(tmp_path, 'placard_code = ["contact", "link"]', f'link = "{link}"')
    assert [problem.code for problem in problems] == ["link-wrong"]
    assert prints.link == ""


def test_a_link_is_needed_where_a_code_is_one(tmp_path: Path) -> None:
    """Nobody else's page is taken for it."""
    (problem,) = read(tmp_path, 'placard_code = ["link"]')[1]
    assert (problem.code, str(problem.where)) == ("key-missing", "job.toml:6")


@pytest.mark.parametrize(
    ("lines", "code", "severity"),
    [
        ((f'link = "{PAGE}"',), "link-unused", "warning"),
        (('placard_code = ["link"]', 'link = "http://192.0.2.7:8080/"'), "link-plain", "note"),
    ],
)
def test_a_link_that_does_less_than_it_seems_is_told(
    lines: tuple[str, ...], code: str, severity: str, tmp_path: Path
) -> None:
    """One that no code carries, and one whose page is gone without a network."""
    (problem,) = read(tmp_path, *lines)[1]
    assert (problem.code, problem.severity) == (code, severity)


@pytest.mark.parametrize(
    ("use", "stock"), [("cable", "letter"), ("placard", "letter-30-67x25"), ("locator", "a4")]
)
def test_a_page_is_no_label_and_a_label_no_page(use: str, stock: str, tmp_path: Path) -> None:
    """A placard takes a page, all else labels."""
    (problem,) = read(tmp_path, f'{use} = "{stock}"')[1]
    assert (problem.code, str(problem.where)) == ("stock-unknown", "job.toml:6")
    assert f"stock '{stock}' cannot be used for a {use}" in problem.message

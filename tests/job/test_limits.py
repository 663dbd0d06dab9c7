"""How large a job may be, and where its files may lie; every limit is told, none is met with a traceback."""

import os
from pathlib import Path

import pytest

from tagmaker.files.toml import KEY_PARTS_AT_MOST, TOML_BYTES_AT_MOST, UNKNOWN_REPORTED
from tagmaker.job import read as read_module
from tagmaker.job.read import BOXES_AT_MOST
from tagmaker.problems import has_errors
from tagmaker.workflows import check, planning
from tests.job.reading import CSV, first_lines, read, told, unit
from tests.job_files import write_files
from tests.paths import ROOT
from tests.tables import table

HEAD = '[job]\nname = "Quay"\nfamily = "four-port-boards"\n'
BOX = '[[box]]\ntag = "BX-1"\nports = 4\n'
SMALL = HEAD + BOX + unit("FC-1")


# --- size and depth -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"{HEAD}revision = {'9' * 5000}\n", 4),
        (f"{HEAD}revision = 0x{'f' * 5000}\n", 4),
        (f"{HEAD}revision = 1{'_0' * 3000}\n", 4),
        (f"{HEAD}ports = 0b{'1' * 20_000}\n", 4),
    ],
)
def test_a_number_of_too_many_digits(text: str, line: int, tmp_path: Path) -> None:
    """In any base: Python refuses to write or read such a one, and nobody means it."""
    assert told(tmp_path, text) == [f"job.toml:{line}: error: a number of too many digits [toml-syntax]"]


@pytest.mark.parametrize("part", ["a", '"a b"', "'a'"])
@pytest.mark.parametrize("form", ["{} = 1\n", "[{}]\n", "x = {{ {} = 1 }}\n"])
def test_a_key_of_too_many_parts(part: str, form: str, tmp_path: Path) -> None:
    """The time it takes grows with the square of their number."""
    text = HEAD + form.format(" . ".join([part] * (KEY_PARTS_AT_MOST + 1)))
    assert told(tmp_path, text) == ["job.toml:4: error: a key of too many parts [toml-syntax]"]


def test_text_may_have_many_points(tmp_path: Path) -> None:
    """A name or a remark is no key."""
    text = SMALL.replace('"Quay"', '"Quay . . . . . . . . . . . . . . . . . . . . . . . . . . ."')
    assert told(tmp_path, f"# {'. ' * 200}\n{text}") == []


@pytest.mark.parametrize("text", ["a = " + "[" * 50_000, "a = " + "{b=" * 50_000, "[" * 50_000])
def test_nesting_too_deep(text: str, tmp_path: Path) -> None:
    """A problem in one line; no parser falls over it."""
    (problem,) = told(tmp_path, text)
    assert problem.endswith("[toml-syntax]")


def test_a_job_file_that_is_too_large(tmp_path: Path) -> None:
    """Refused before it is read."""
    text = SMALL + "#" * TOML_BYTES_AT_MOST
    assert told(tmp_path, text) == ["job.toml: error: job.toml is larger than 8 MB [file-unreadable]"]


def test_long_texts_and_remarks_take_no_more_than_their_length(tmp_path: Path) -> None:
    """Each of these once took a hundred bytes a character, or time without end."""
    remarks, letters = "#\n" * 300_000, "x" * 300_000
    text = f'{SMALL}{remarks}[x]\na = "\\n{letters}"\nb = """\\n"{letters}"""\n'
    assert told(tmp_path, text) == ["job.toml:300012: error: unknown key 'x' [key-unknown]"]


def test_too_many_boxes(tmp_path: Path) -> None:
    """The number is told; the boxes over it are not looked at."""
    boxes = "".join(f'[[box]]\ntag = "B{number}"\nports = 4\n' for number in range(BOXES_AT_MOST + 1))
    first, *_ = told(tmp_path, HEAD + boxes)
    assert first == "job.toml:4: error: there are 2,001 [[box]]; the limit is 2,000 [value-wrong]"


def test_too_many_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of all schedules and of the job file count together; here the limit is a thousandth."""
    monkeypatch.setattr(read_module, "ROWS_AT_MOST", 100)
    rows = "".join(f"U{number},BX-1,A,1\n" for number in range(60))
    text = HEAD + 'schedule = ["a.csv", "b.csv"]\n' + BOX
    problems = told(tmp_path, text, a_csv=CSV + rows, b_csv=CSV + rows.replace("U", "V"))
    assert "job.toml:4: error: there are 120 rows; the limit is 100 [value-wrong]" in problems


def test_too_many_tables_of_any_other_sort(tmp_path: Path) -> None:
    """A job has no hundred things of its own to tick."""
    items = '[[walk_item]]\nkey = "a"\ntext = "b"\nrole = "verifier"\nper = "box"\n' * 101
    problems = told(tmp_path, SMALL + items)
    assert "job.toml:12: error: there are 101 [[walk_item]]; the limit is 100 [value-wrong]" in problems


def test_unknown_keys_are_not_all_told(tmp_path: Path) -> None:
    """The first few with what was meant, of the others how many there are."""
    problems = told(tmp_path, HEAD + "".join(f"key{number} = 1\n" for number in range(500)) + BOX)
    unknown = [problem for problem in problems if "[key-unknown]" in problem]
    assert len(unknown) == UNKNOWN_REPORTED + 1
    assert unknown[-1] == "job.toml:14: error: 490 more unknown keys after this one [key-unknown]"


def test_units_that_all_disagree_are_told_in_time(tmp_path: Path) -> None:
    """Thousands of rows on one port, each single or joined in turn."""
    rows = "".join(f"U{number},BX-1,{'A' if number % 2 else 'A+B'},1\n" for number in range(4000))
    problems = told(tmp_path, HEAD + 'schedule = "a.csv"\n' + BOX, a_csv=CSV + rows)
    assert problems == []
    assert has_errors(planning.plan(tmp_path).problems)


# --- families and stocks ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    [
        ("ports_per_board = 4", "ports_per_board = 27", "'ports_per_board' must be a whole number, 1 to 26"),
        ("switches = 4", "switches = 1000", "'switches' must be a whole number, 1 to 10"),
    ],
)
def test_a_family_has_boards_as_people_build_them(old: str, new: str, wrong: str, tmp_path: Path) -> None:
    """A board of a million switches would be drawn for ever."""
    family = (ROOT / "layouts/families/four-port-boards.toml").read_text("utf-8")
    text = SMALL.replace("four-port-boards", "own")
    problems = told(tmp_path, text, families__own_toml=family.replace(old, new))
    assert any(wrong in problem for problem in problems)


@pytest.mark.parametrize(
    ("old", "new", "wrong"),
    table(
        """
    columns = 3     | columns = 1000000 | 'columns' must be a whole number, 1 to 200
    rows = 10       | rows = 1000000    | 'rows' must be a whole number, 1 to 200
    [215.9, 279.4]  | [215.9, 999999.0] | a page is longer than 2000 mm
    [215.9, 279.4]  | [1999.0, 1999.0]  | a page has more than 150,000,000 dots
    dots_per_mm = 0 | dots_per_mm = 101 | must be a whole number, 0 to 100
    """
    ),
)
def test_a_stock_is_paper_that_people_have(old: str, new: str, wrong: str, tmp_path: Path) -> None:
    """What cannot be drawn and read back in memory is refused when it is read."""
    stock = (ROOT / "layouts/stocks/letter-30-67x25.toml").read_text("utf-8")
    assert old in stock
    problems = told(tmp_path, f'{SMALL}[print]\npipe = "own"\n', stocks__own_toml=stock.replace(old, new))
    assert any(wrong in problem for problem in problems)


@pytest.mark.parametrize("stock", ["", "kind = 7\n", "a = [\n", 'kind = "roll"\n'])
@pytest.mark.parametrize("use", ["pipe", "terminal", "placard", "locator"])
def test_a_broken_stock_stops_the_job_and_no_more(stock: str, use: str, tmp_path: Path) -> None:
    """Whatever is wrong with its file, and whatever it was to serve."""
    write_files(tmp_path, {"job.toml": f'{SMALL}[print]\n{use} = "own"\n', "stocks/own.toml": stock})
    assert has_errors(check.check(tmp_path).problems)


@pytest.mark.parametrize("use", ["pipe", "cable", "locator"])
def test_a_strip_serves_terminals_alone(use: str, tmp_path: Path) -> None:
    """Its cells are a board's terminals: on a pipe they would say nothing."""
    text = f'{SMALL}[print]\n{use} = "tape-12-strip-300dpi"\nterminal_pitch = "0.3 in"\n'
    (problem,) = told(tmp_path, text)
    assert problem.endswith("is a strip, which is only for terminals [stock-unsuited]")


def test_terminals_do_not_lie_a_mile_apart(tmp_path: Path) -> None:
    """A strip would be as long."""
    text = f'{SMALL}[print]\nterminal = "tape-12-strip-300dpi"\nterminal_pitch = "5280 ft"\n'
    problems = told(tmp_path, text)
    assert "job.toml:14: error: the terminal pitch must be at most 100 mm [length-wrong]" in problems


def test_bands_without_number(tmp_path: Path) -> None:
    """A slip in the interval would print a line's bands for ever."""
    row = 'liquid = "3/8 in"\ngas = "3/4 in"\ninsulation = "3/4 in"\nrun = "300 ft"\n'
    text = f'{HEAD}refrigerant = "R-32"\n{BOX}{unit("FC-1")}{row}[bands]\ninterval = "0.001 mm"\n'
    write_files(tmp_path, {"job.toml": text})
    problems = first_lines(check.check(tmp_path).problems)
    assert [problem for problem in problems if "[band-incomplete]" in problem] == [
        f"job.toml:8: warning: no bands for BX-1 · A · {line} · FC-1: there would be 91,440,001; "
        "the limit is 500 [band-incomplete]"
        for line in ("LIQUID", "GAS")
    ]


# --- where files lie ----------------------------------------------------------------------------------------


def linked(folder: Path, name: str, target: Path | str) -> None:
    """A link in a job's folder."""
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).symlink_to(target)


@pytest.mark.parametrize("name", ["../secret.csv", "/etc/passwd", "a/../../secret.csv", "inside/secret.csv"])
def test_a_schedule_outside_the_job_is_not_read(name: str, tmp_path: Path) -> None:
    """By its path, or by a folder that is a link out of the job."""
    write_files(tmp_path, {"secret.csv": "SECRET,1\n"})
    job = tmp_path / "job"
    job.mkdir()
    linked(job, "inside", tmp_path)
    problems = told(job, f'{HEAD}schedule = "{name}"\n{BOX}')
    assert problems == [f"job.toml:4: error: schedule '{name}' is outside the job's folder [file-outside]"]


@pytest.mark.parametrize("target", ["/etc/passwd", "../secret.toml"])
@pytest.mark.parametrize("kind", ["families", "stocks"])
def test_a_link_out_of_the_job_is_not_read(kind: str, target: str, tmp_path: Path) -> None:
    """Not a family or stock of the job's own, and nothing of what it holds is told."""
    write_files(tmp_path, {"secret.toml": "password = 1\n"})
    job = tmp_path / "job"
    linked(job, f"{kind}/own.toml", Path(target) if target[0] == "/" else tmp_path / "secret.toml")
    used = (
        SMALL.replace("four-port-boards", "own") if kind == "families" else f'{SMALL}[print]\npipe = "own"\n'
    )
    problems = told(job, used)
    assert [problem.partition("error: ")[2] for problem in problems] == [
        f"{kind}/own.toml is outside the job's folder [file-outside]"
    ]


def test_a_job_file_that_is_a_link_out_of_its_folder_is_not_read(tmp_path: Path) -> None:
    """Whoever made the folder chose the link; whoever names a file chose the file."""
    job = write_files(tmp_path / "other", {"job.toml": SMALL})
    (tmp_path / "job").mkdir()
    linked(tmp_path / "job", "job.toml", job / "job.toml")
    assert first_lines(planning.plan(tmp_path / "job").problems) == [
        f"{tmp_path / 'job'}: error: job.toml is outside the job's folder [file-outside]"
    ]
    assert planning.plan(tmp_path / "job" / "job.toml").problems == ()


def test_links_within_a_job_are_followed(tmp_path: Path) -> None:
    """Tidy folders are nobody's attack."""
    write_files(tmp_path, {"lists/ports.csv": f"{CSV}FC-1,BX-1,A,24\n"})
    linked(tmp_path, "ports.csv", tmp_path / "lists" / "ports.csv")
    assert told(tmp_path, f'{HEAD}schedule = "ports.csv"\n{BOX}') == []


@pytest.mark.parametrize("name", ["job.toml", "ports.csv", "families/own.toml", "stocks/own.toml"])
def test_a_pipe_in_a_files_place_holds_nobody_up(name: str, tmp_path: Path) -> None:
    """It is reported as not a regular file, and nothing waits for it."""
    text = HEAD.replace("four-port-boards", "own" if "families" in name else "four-port-boards")
    pipe = 'pipe = "own"' if "stocks" in name else ""
    write_files(tmp_path, {"job.toml": f'{text}schedule = "ports.csv"\n{BOX}[print]\n{pipe}\n'})
    write_files(tmp_path, {"ports.csv": f"{CSV}FC-1,BX-1,A,24\n"})
    (tmp_path / name).unlink(missing_ok=True)
    (tmp_path / name).parent.mkdir(exist_ok=True)
    os.mkfifo(tmp_path / name)
    assert any("not a regular file" in problem for problem in first_lines(planning.plan(tmp_path).problems))


@pytest.mark.parametrize(
    "sign", ["\\u202e", "\\u2066", "\\u200f", "\\u061c", "\\u001b", "\\u0000", "\\u200b"]
)
def test_characters_that_turn_text_round_are_refused(sign: str, tmp_path: Path) -> None:
    """A room that reads otherwise than it is written; an escape of TOML is no way round."""
    problems = told(tmp_path, SMALL + f'room = "Lab {sign}A"\n')
    assert any("'room' must be one line of text" in problem for problem in problems)


def test_such_a_character_itself_is_told_with_its_line(tmp_path: Path) -> None:
    """In the file's text, wherever it stands."""
    job, (problem,) = read(tmp_path, f"{SMALL}# Lab \u202eA\n")
    assert job is None
    assert problem.as_text().startswith("job.toml:12: error: job.toml holds the control character U+202E")

"""The documents are true: what is undocumented, does not exist, or does not run, fails."""

import csv
import re
import shlex
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import get_args

import msgspec
import pytest
from typer.testing import CliRunner

from tagmaker.catalog.stock import read_stock
from tagmaker.cli.app import app
from tagmaker.files.toml import Table, TomlFile, read_toml
from tagmaker.outputs.register import COLUMNS
from tagmaker.plan.outline import BoxOutline
from tagmaker.problems import CODES, Problem
from tagmaker.revisions.plan_file import PlanFile
from tagmaker.revisions.selection import Selection
from tagmaker.tags import fields
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import TagKind
from tagmaker.tags.placard_text import placard_text
from tagmaker.workflows import check
from tagmaker.workflows.manual import PAGES
from tagmaker.workflows.planning import plan
from tagmaker.workflows.read import read
from tagmaker.workflows.schemas import schema
from tests.manual_pages import (
    DOCUMENTS,
    README,
    blocks,
    code_spans,
    command_names,
    keys_of_lists,
    prose,
)
from tests.measured import on_stocks
from tests.paths import EXAMPLES, ROOT

DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SCRIPTS = [(document, block) for document, block in blocks("sh") if ".ci/" not in block]
SET_UP = [block.strip() for document, block in blocks("sh") if document == "README" and ".ci/" in block]
LINES_AT_MOST = 150
COLUMNS_AT_MOST = 100
"""Turns that a reader on site stumbles over; "mains" sounds electrical."""


def options_of(command: str) -> set[str]:
    """The long options in a command's help, the help itself aside."""
    shown = CliRunner().invoke(app, [command, "--help"]).stdout
    return set(re.findall(r"^  (?:-\w, )?(--[a-z-]+)", shown, re.MULTILINE)) - {"--help"}


def rows_of_commands() -> dict[str, str]:
    """The README's table of commands: each row by the command that begins it."""
    return {
        row.split("`")[1].split()[1]: row for row in README.splitlines() if row.startswith("| `tagmaker ")
    }


# --- commands and options -----------------------------------------------------------------------------------


def test_the_readme_has_a_row_for_every_command() -> None:
    """A command that the table lacks does not exist for its user; a row without a command misleads."""
    assert sorted(rows_of_commands()) == sorted(command_names())


@pytest.mark.parametrize("command", command_names())
def test_the_readme_names_every_option_of_a_command(command: str) -> None:
    """And none that the command does not have; `-o` stands for `--out`."""
    row = rows_of_commands()[command]
    named = set(re.findall(r"--[a-z-]+", row)) | ({"--out"} if "-o " in row else set())
    assert named == options_of(command)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_documents_name_no_unknown_command_page_or_option(document: str) -> None:
    """`tagmaker WORD` is a command, `tagmaker manual PAGE` a page, `--option` an option of some command."""
    code = [*code_spans(DOCUMENTS[document]), *(line for page, block in SCRIPTS if page == document
            for line in block.splitlines())]  # fmt: skip
    called = [span.split() for span in code if span.startswith("tagmaker ")]
    words = {call[1] for call in called} - {"--install-completion"}
    pages = {call[2] for call in called if call[1:2] == ["manual"] and len(call) > 2}
    options = {option for span in code for option in re.findall(r"(?<!\S)--[a-z-]+", span)}
    known = {option for command in command_names() for option in options_of(command)}
    assert words <= set(command_names())
    assert pages - {"PAGE", "[PAGE]"} <= set(PAGES)
    assert options - {"--install-completion"} <= known


@pytest.mark.parametrize(("document", "script"), SCRIPTS)
def test_commands_of_the_documents_run(document: str, script: str, tmp_path: Path) -> None:
    """Each block of commands runs, line after line, beside the example jobs; a comment names an exit code."""
    assert document in DOCUMENTS
    shutil.copytree(EXAMPLES, tmp_path / "example_jobs")
    for line in script.splitlines():
        program, *arguments = shlex.split(line, comments=True)
        assert program == "tagmaker"
        run = subprocess.Popen(
            [sys.executable, "-m", "tagmaker", *arguments],
            cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env={"PATH": "", "HOME": str(tmp_path), "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        if arguments[0] == "desk":  # it runs until it is stopped
            assert run.stdout
            assert run.stdout.readline().startswith("http://127.0.0.1:")
            run.send_signal(signal.SIGINT)
        reported = run.communicate()[1]
        expected = re.search(r"# exit code (\d)$", line)
        assert run.returncode == int(expected[1] if expected else 0), line + reported


def test_the_two_set_up_commands_are_there() -> None:
    """One runs the main job, one the tests; CI sets up and tests as the second does."""
    main, tests = SET_UP
    assert main == ".ci/set-up && .venv/bin/tagmaker make example_jobs/clinic -o out"
    assert tests.startswith(".ci/set-up dev && .venv/bin/python -m pytest ")
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert f"python {tests.partition('.venv/bin/python ')[2]}" in ci
    assert "TAGMAKER_VENV=" in ci
    assert ".ci/set-up dev" in ci


# --- examples -----------------------------------------------------------------------------------------------

HEAD = '[job]\nname = "a"\nfamily = "four-port-boards"\n'
BOX = '[[box]]\ntag = "A"\nports = 4\n'
UNIT = '[[unit]]\nunit = "B"\nbox = "A"\nport = "A"\ncapacity = "12 kBtu/h"\n'
SCHEDULE = "Equipment,box,port,Load,Colour\nB,A,A,12,none\n"
FAMILY_JOB = '[job]\nname = "a"\nfamily = "own"\n[[box]]\ntag = "A"\nports = 4\n' + UNIT.replace(
    'port = "A"', 'port = "A+B"'
).replace("12 kBtu/h", "60 kBtu/h")


def problems_of(folder: Path) -> list[str]:
    """The codes of all problems of the job in a folder."""
    return [problem.code for problem in check.check(folder, Selection()).problems]


@pytest.mark.parametrize(("document", "text"), list(blocks("toml")))
def test_toml_examples_are_accepted(document: str, text: str, tmp_path: Path) -> None:
    """A whole job, a family, a stock, or part of a job: no problem, not even a warning."""
    assert document in DOCUMENTS
    if "port_names" in text:
        (tmp_path / "families").mkdir()
        (tmp_path / "families" / "own.toml").write_text(text, encoding="utf-8")
        text = FAMILY_JOB
    elif "label_mm" in text:
        (tmp_path / "own.toml").write_text(text, encoding="utf-8")
        assert stock_problems(tmp_path / "own.toml") == []
        return
    elif "[columns]" in text:
        (tmp_path / "ports.csv").write_text(SCHEDULE, encoding="utf-8")
        text = HEAD + 'schedule = "ports.csv"\n' + text + BOX
    elif "[job]" not in text:
        rows = "" if "[[box]]" in text else BOX + UNIT
        text = HEAD + ('refrigerant = "R-32"\n' if "[bands]" in text else "") + text + rows
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    assert [code for code in problems_of(tmp_path) if not code.startswith("band")] == []


def stock_problems(path: Path) -> list[Problem]:
    """What is wrong with a stock file."""
    file = read_toml(path, path.name)
    assert isinstance(file, TomlFile)
    problems: list[Problem] = []
    read_stock("own", Table.whole(file, problems))
    return problems


@pytest.mark.parametrize(("document", "text"), list(blocks("csv")))
def test_csv_examples_are_understood(document: str, text: str, tmp_path: Path) -> None:
    """A schedule without a problem, every row a unit or a box; or the head of the register."""
    assert document in DOCUMENTS
    if text.startswith("code,"):
        assert next(csv.reader([text])) == list(COLUMNS)
        return
    (tmp_path / "ports.csv").write_text(text, encoding="utf-8")
    understood = read(tmp_path / "ports.csv", None)
    assert not understood.problems
    if text.startswith("Box,"):
        assert [box.tag for box in understood.schedule.boxes] == ["BB-1", "BB-2"]
    else:
        assert str(understood.outline).count("AH-1") == 1


@pytest.mark.parametrize(("document", "text"), list(blocks("json")))
def test_json_examples_have_the_programs_keys(document: str, text: str) -> None:
    """Boxes as `switches --json` prints them."""
    assert document in DOCUMENTS
    boxes = msgspec.json.decode(text)["boxes"]
    again = msgspec.to_builtins(msgspec.convert(boxes, tuple[BoxOutline, ...]))
    assert msgspec.json.encode(again) == msgspec.json.encode(boxes)


# --- what other programs rely on ----------------------------------------------------------------------------

FILES_PAGE = DOCUMENTS["codes-and-files"]


def test_the_placard_text_shown_is_the_programs() -> None:
    """That of the clinic's box BB-21, to the last digit of its check sum."""
    planned = plan(EXAMPLES / "clinic").plan
    assert planned
    (box,) = (box for box in planned.boxes if box.row.tag == "BB-21")
    assert f"```text\n{placard_text(planned.job, box)}```" in FILES_PAGE


def code_patterns() -> list[str]:
    """The codes of tags as the page gives them, as patterns."""
    block = FILES_PAGE.partition("```text\n")[2].partition("```")[0]
    codes = [word for line in block.splitlines() for word in re.findall(r"BOX/\S+", line)]
    names = {"BOX": r"[A-Z0-9-]+", "PORT": "[A-Z]", "WHAT": "(?:LIQ|GAS|COM|TRM)", "UNIT": r"[A-Z0-9-]+"}
    return ["/".join(names.get(part, part) for part in code.split("/")) for code in codes]


def test_every_code_of_a_tag_is_as_the_page_gives_it() -> None:
    """All tags of a job with every kind of label match one pattern, and no pattern is without a tag."""
    from tagmaker.catalog.words import load_words  # noqa: PLC0415 — beside its only use

    planned = plan(EXAMPLES / "quay-hotel").plan
    assert planned
    stock = planned.job.prints.stocks["cable"]
    job = on_stocks(planned.job, dict.fromkeys(("splitter", "unit", "isolation"), stock))
    codes = [tag.code for box in planned.boxes for tag in box_tags(job, box, load_words())]
    found = {code: [each for each in code_patterns() if re.fullmatch(each, code)] for code in codes}
    assert {len(patterns) for patterns in found.values()} == {1}
    assert {patterns[0] for patterns in found.values()} == set(code_patterns())


def test_every_key_of_plan_json_and_every_kind_of_tag_is_explained() -> None:
    """As code, in the page on files."""
    words = {word for span in code_spans(FILES_PAGE) for word in re.findall(r"[\w-]+", span)}
    assert set(PlanFile.__struct_fields__) | set(get_args(TagKind)) <= words


def test_every_field_of_the_walk_is_explained() -> None:
    """With the box, letter, role and key as words."""
    box, letter = "BOX", "LETTER"
    port = [
        fields.port_field(box, letter, what) for what in ("pipe/ok", "pipe/found", "pipe/proved", "proved")
    ]
    box_wide = [fields.board_seen(box, "PLACE"), fields.box_item(box, "KEY"), fields.printed_for(box)]
    signs = [fields.sign(box, "ROLE"), fields.date(box, "ROLE"), fields.port_item(box, letter, "KEY")]
    names = [*port, *box_wide, *signs, fields.switch_on("BB-1", "left", 1, 4), "BOX/PLACE/BANK/SWITCH/off"]
    names.append(fields.printed_as(box, 1).replace("/1", "/PAGE"))
    assert [name for name in names if name not in FILES_PAGE] == []


# --- keys and codes -----------------------------------------------------------------------------------------


def keys(tree: object, *within: str) -> set[str]:
    """The keys that a schema's table may have."""
    for part in (*within, "properties"):
        tree = tree[part] if isinstance(tree, dict) else None
    return set(tree) if isinstance(tree, dict) else set()


@pytest.mark.parametrize("table", ["job", "print", "bands"])
def test_the_manual_explains_every_key_of_a_table(table: str) -> None:
    """Every key that the reader takes, and no other."""
    assert keys_of_lists(DOCUMENTS["job-file"])[table] == keys(schema("job"), "properties", table)


@pytest.mark.parametrize("table", ["box", "unit", "walk_item"])
def test_the_manual_explains_every_key_of_a_list_of_tables(table: str) -> None:
    """As above."""
    assert keys_of_lists(DOCUMENTS["job-file"])[table] == keys(schema("job"), "properties", table, "items")


def test_the_manual_explains_every_table_of_a_job() -> None:
    """Each has a section, and the pipes that feed a box all their keys."""
    page = DOCUMENTS["job-file"]
    assert set(keys_of_lists(page)) == keys(schema("job"))
    assert keys(schema("job"), "properties", "box", "items", "properties", "mains") <= set(code_spans(page))


@pytest.mark.parametrize("sort", ["family", "stock"])
def test_the_manual_shows_every_key_of_a_family_and_a_stock(sort: str) -> None:
    """In the example, or in the prose as code."""
    page = DOCUMENTS["families-and-stocks"]
    shown = {
        word for span in re.findall(r"^(\w+) =|^\[\[(\w+)\]\]|`(\w+)`", page, re.MULTILINE) for word in span
    }
    tree = schema(sort)
    lists = [keys(tree, "properties", each, "items") for each in ("bank", "rule") if each in keys(tree)]
    assert keys(tree).union(*lists) - shown == set()


@pytest.mark.parametrize(("code", "meaning"), CODES.items())
def test_the_manual_explains_every_problem_code(code: str, meaning: str) -> None:
    """With its meaning, whole."""
    assert f"- `{code}`: {meaning}" in " ".join(DOCUMENTS["problem-codes"].split())


# --- form and words -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_readme_and_developers_stay_short(text: str) -> None:
    """What is longer belongs into a page of the manual, or beside the code."""
    assert len(text.splitlines()) <= LINES_AT_MOST


@pytest.mark.parametrize("page", PAGES)
def test_pages_fit_a_terminal(page: str) -> None:
    """A title, then lines that no terminal breaks; a command or an example may be longer."""
    text = DOCUMENTS[page]
    assert re.match(r"# \S.+\n\n", text)
    assert [line for line in prose(text).splitlines() if len(line) > COLUMNS_AT_MOST] == []
    assert text.endswith("\n")


def test_the_glossary_gives_each_word_once_in_order() -> None:
    """Each list by the alphabet; a word that stands in two has two meanings."""
    lists = [
        re.findall(r"^- \*\*(.+?)\*\*", part, re.MULTILINE) for part in DOCUMENTS["glossary"].split("\n## ")
    ]
    words = [word.casefold() for each in lists for word in each]
    assert len(words) == len(set(words)) > 40
    assert lists == [sorted(each, key=str.casefold) for each in lists]


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_links_lead_to_files(text: str) -> None:
    """Pictures and pages that are there."""
    links = re.findall(r"\]\(([^)#]+)\)", text)
    assert [link for link in links if not (ROOT / link).is_file()] == []


def test_the_readme_links_every_page() -> None:
    """By its name."""
    assert re.findall(r"^\| \[([a-z-]+)\]\(tagmaker/manual/\1\.md\)", README, re.MULTILINE) == list(PAGES)


def test_what_the_mistakes_print_is_kept() -> None:
    """The example full of mistakes stands beside what it prints."""
    folder = EXAMPLES / "full-of-mistakes"
    run = subprocess.run(
        [sys.executable, "-m", "tagmaker", "check", str(folder)],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    printed = (folder / "what-it-prints.txt").read_text(encoding="utf-8")
    assert sorted(printed.splitlines()) == sorted((run.stderr + run.stdout).splitlines())


# --- DEVELOPERS ---------------------------------------------------------------------------------------------


def hazard_rows() -> list[tuple[str, str]]:
    """The hazard table's rows: what goes wrong, and each test that guards it."""
    table = DEVELOPERS.partition("## Hazards")[2]
    rows = [line.split("|")[1:-1] for line in table.splitlines() if line.startswith("|")]
    return [(cells[0].strip(), test) for cells in rows[2:] for test in re.findall(r"`([^`]+)`", cells[-1])]


@pytest.mark.parametrize(("hazard", "test"), hazard_rows())
def test_every_hazard_has_a_live_test(hazard: str, test: str) -> None:
    """A row of the hazard table names a test function that exists."""
    file, _, function = test.partition("::")
    source = (ROOT / file).read_text(encoding="utf-8")
    assert hazard
    assert re.search(rf"^def {re.escape(function)}\(", source, re.MULTILINE)


def test_the_hazard_table_is_not_empty() -> None:
    """The table that is checked is there."""
    assert len({hazard for hazard, _ in hazard_rows()}) >= 30


def test_developers_names_files_that_exist() -> None:
    """Each path that it sets as code, from the project's folder or from the package's."""
    spans = [
        span
        for span in code_spans(DEVELOPERS)
        if "NAME" not in span and re.fullmatch(r"[\w.-]*/[\w./-]*", span)
    ]
    there = [span for span in spans if (ROOT / span).exists() or (ROOT / "tagmaker" / span).exists()]
    assert len(spans) > 20
    assert [span for span in spans if span not in there] == []

"""`tagmaker scan` as a person meets it: what it prints, how it ends, what `--json` and `--rebuild` give."""

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from tagmaker.cli import app as cli
from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.judge import Verdict
from tagmaker.site.scans.landing import PROVES
from tagmaker.site.scans.rebuild import rebuild
from tagmaker.workflows import scan as scanning
from tests.records import plain, replace
from tests.site.papers import (
    LIBRARY,
    changed,
    kit,
    letters_of,
    library,
    made,
    placards,
    plan_of,
    tags_by_code,
)
from tests.strategies import BoxSketch, JobSketch, UnitSketch

FIRST, SECOND = placards(library())
A = ["BB-1/A/TRM", "BB-1/A/COM", "BB-1/A/LIQ", "BB-1/A/GAS"]
B = ["BB-1/B/TRM", "BB-1/B/COM", "BB-1/B/LIQ", "BB-1/B/GAS"]
CROSSED = [A[0], B[1], *A[2:], B[0], A[1], *B[2:]]


@pytest.fixture(autouse=True)
def _place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The library's job in a folder to stand in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    LIBRARY.write(tmp_path / "job")


def run(*words: str, typed: str = "") -> Result:
    """The command called with these words, with this on its standard input."""
    return CliRunner().invoke(cli.app, ["scan", *words], input=typed)


def lines(codes: list[str], name: str = "scans.txt") -> str:
    """A file of lines; its name."""
    Path(name).write_text("".join(f"{code}\n" for code in codes), encoding="utf-8")
    return name


def scanned(codes: list[str], *words: str) -> Result:
    """A file of these lines scanned against the job."""
    return run(lines(codes), "--job", "job", *words)


def result(done: Result) -> dict[str, Any]:
    """The one JSON object that was printed."""
    content = json.loads(done.stdout)
    assert isinstance(content, dict)
    return content


# --- what is printed ----------------------------------------------------------------------------------------


def test_a_walk_ends_with_each_terminal_and_what_it_proves() -> None:
    """A line a scan as it comes, a result a terminal, those never scanned, and how far to trust it."""
    done = scanned([*A, "BB-1/F/TRM", "BB-1/F/LIQ", "4006381333931"])
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "terminal BB-1 A: expects FC-1",
        "  BB-1/A/COM: agrees with terminal BB-1 A",
        "  BB-1/A/LIQ: agrees with terminal BB-1 A",
        "  BB-1/A/GAS: agrees with terminal BB-1 A",
        "terminal BB-1 F: second terminal of E+F; its pipes are expected, no cable",
        "  BB-1/F/LIQ: agrees with terminal BB-1 F",
        "unknown code: '4006381333931' (scans.txt:7)",
        "scanned: 6 tags, 1 unknown",
        "",
        "BB-1 A: tags agree",
        "BB-1 F: not complete; missing: gas line",
        "BB-1: not scanned: B C D E G H",
        "BB-2: not scanned: A B C D",
        "",
        PROVES,
    ]


def test_a_crossing_is_named_at_both_ends_with_how_to_mend_it() -> None:
    """In the results as when it was scanned."""
    done = scanned(CROSSED)
    assert done.exit_code == 1
    assert done.stdout.splitlines()[9:17] == [
        "",
        "BB-1 A: CROSSED; missing: cable",
        "    cable tagged BB-1 B at terminal BB-1 A",
        "    move this cable to BB-1 B, and find what belongs on BB-1 A",
        "BB-1 B: CROSSED; missing: cable",
        "    cable tagged BB-1 A at terminal BB-1 B",
        "    move this cable to BB-1 A, and find what belongs on BB-1 B",
        "BB-1: not scanned: C D E F G H",
    ]


def test_every_sort_of_code_is_said_in_words() -> None:
    """Box, port, what it hangs on, unit, end, and whether it is of the job."""
    job = [("BB-1/B/COM/FC-2/ON", "BB-1 · B · COMM CABLE · FC-2, unit end, cable that goes on")]
    job += [
        ("BB-1/A/GAS/FC-1", "BB-1 · A · GAS · FC-1, unit end"),
        ("BB-1/C/LIQ", "BB-1 · C · LIQUID, box end"),
    ]
    other = [("ZZ-9/A/TRM", "ZZ-9 · A · TERMINAL, box end"), ("BB-1/LOC", "BB-1 · LOCATOR, box end")]
    other += [("BB-1/SUC", "BB-1 · MAIN SUCTION, box end"), ("BB-1/HOT", "BB-1 · MAIN HOT GAS, box end")]
    told = [f"{code}: {words}" for code, words in (*job, *other)]
    plain = run(lines([code for code, _ in (*job, *other)]))
    assert plain.stdout.splitlines()[:-1] == told
    assert [each.differences for each in judged([code for code, _ in (*job, *other)])] == [()] * 7
    assert [each.belongs for each in judged([code for code, _ in (*job, *other)])] == [True] * 3 + [False] * 4


def judged(codes: list[str]) -> list[Verdict]:
    """The verdicts on a file of lines."""
    against = scanning.Against(Path("job"))
    return scanning.scan([Path(lines(codes))], against, None, (), lambda _line: None).verdicts


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (FIRST, ["placard BB-1 revision 2, of this job: as the job is today"]),
        (
            placards(plan_of(replace(LIBRARY, revision="1")))[1],
            [
                "placard BB-2 revision 1, of this job: DIFFERS, OLDER",
                "    the placard is of revision 1, the job of revision 2",
            ],
        ),
        (
            FIRST.replace("ON 3 4", "ON 3 5"),
            [
                "placard BB-1 REV 2 JOB ML-24: DAMAGED OR ALTERED",
                "    its CRC does not match: the text is damaged or was altered",
            ],
        ),
        (
            placards(plan_of(JobSketch((BoxSketch("ZZ-9", 4, (UnitSketch("U", "A"),)),))))[0],
            ["placard ZZ-9 revision 0, NOT of this job: DIFFERS", "    the job has no box ZZ-9"],
        ),
    ],
)
def test_a_placard_is_said_in_words(text: str, told: list[str]) -> None:
    """As the job is today, or exactly how it differs, or that it is damaged; exit 1 unless it is right."""
    done = scanned(text.splitlines())
    assert (done.stdout.splitlines(), done.exit_code) == ([*told, "scanned: 1 placard"], int(len(told) > 1))


def test_paper_of_an_older_revision_is_found_out(tmp_path: Path) -> None:
    """The finished PDFs of revision 1 against the job of revision 2: its tags belong, its placards differ."""
    out = made(replace(LIBRARY, revision="1"), tmp_path / "old")
    done = run(*(str(path) for path in sorted(out.glob("*.pdf"))), "--job", "job")
    told = done.stdout.splitlines()
    assert done.exit_code == 1
    assert told.count("    the placard is of revision 1, the job of revision 2") == 4
    assert [line for line in told if "NOT of this job" in line or "unknown" in line] == []
    assert told[-1] == f"scanned: 4 placards, {len(tags_by_code(library()))} tags"


def test_without_a_job_each_code_is_said_and_nothing_judged() -> None:
    """No landing check, no claim about what belongs."""
    done = run(lines([*CROSSED, *FIRST.splitlines()]))
    assert done.exit_code == 0
    assert "job" not in done.stdout.replace("JOB", "")
    assert done.stdout.splitlines()[-2:] == ["placard BB-1 revision 2", "scanned: 8 tags, 1 placard"]


def test_nothing_scanned_is_said() -> None:
    """An empty file is no mistake."""
    done = scanned([])
    assert (done.stdout, done.stderr, done.exit_code) == ("scanned: nothing\n", "", 0)


# --- how it ends --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("codes", "exit_code"),
    [
        (A, 0),
        (A[:2], 0),
        (CROSSED, 1),
        (A[1:], 0),
        (["ZZ-9/A/LIQ", "BB-1/A/LIQ/FC-99", "4006381333931"], 0),
        ([A[0], "ZZ-9/A/LIQ"], 1),
        (["BB-1/C/TRM", "BB-1/C/COM"], 1),
        (FIRST.splitlines(), 0),
        (FIRST.splitlines()[1:], 1),
        (FIRST.splitlines()[:-1], 1),
        (FIRST.replace("54", "45").splitlines(), 1),
        (placards(plan_of(changed(LIBRARY, UnitSketch("FC-1", "A"))))[0].splitlines(), 1),
    ],
)
def test_exit_code_1_means_crossed_or_a_placard_that_differs(codes: list[str], exit_code: int) -> None:
    """What is missing, unknown, of another job or not counted is told, and does not change it."""
    assert scanned(codes).exit_code == exit_code
    assert scanned(codes, "--json").exit_code == exit_code


def test_a_crossing_that_was_mended_ends_well() -> None:
    """Both terminals scanned again, whole and clean."""
    assert scanned([*CROSSED, *A, *B]).exit_code == 0


@pytest.mark.parametrize("words", [[], ["--job", "job"], ["scans.txt", "--job", "nosuch"], ["--nosuch", "x"]])
def test_wrong_usage_is_2(words: list[str]) -> None:
    """No file named, no such job, no such option."""
    lines(A)
    assert run(*words).exit_code == 2


def test_a_file_that_cannot_be_read_does_not_hide_the_others() -> None:
    """It is told on standard error, the rest is scanned, and the exit code is 1."""
    done = run(lines(A, "one.txt"), "nosuch.jpg", lines(B, "two.txt"), "--job", "job")
    assert done.exit_code == 1
    assert done.stderr.splitlines() == [
        "nosuch.jpg: error: there is no such file [file-unreadable]",
        "    name photos (.jpg, .png), PDFs (.pdf), or files of text in UTF-8, a code a line",
    ]
    assert "BB-1 A: tags agree\nBB-1 B: tags agree\n" in done.stdout


def test_a_job_with_errors_is_told_and_judged_as_far_as_it_goes() -> None:
    """The plan that there is; its errors on standard error, exit 1."""
    heavy = replace(LIBRARY.boxes[0].units[0], capacity="60 kBtu/h")
    changed(LIBRARY, heavy, *LIBRARY.boxes[0].units[1:]).write(Path("heavy"))
    done = run(lines(A), "--job", "heavy")
    assert (done.exit_code, "[port-overloaded]" in done.stderr) == (1, True)
    assert "BB-1 A: tags agree" in done.stdout


def test_a_job_that_cannot_be_planned_judges_nothing() -> None:
    """The codes are still said."""
    Path("broken").mkdir()
    done = run(lines(A), "--job", "broken")
    assert (done.exit_code, "[job-missing]" in done.stderr) == (1, True)
    assert done.stdout.splitlines()[0] == "BB-1/A/TRM: BB-1 · A · TERMINAL, box end"


def test_warnings_and_notes_of_the_job_are_no_part_of_it() -> None:
    """They were told when the job was made."""
    note = replace(LIBRARY.boxes[0].units[3], capacity="24 kBtu/h")
    changed(LIBRARY, note).write(Path("noted"))
    assert run(lines(["BB-1/E/TRM"]), "--job", "noted").stderr == ""


# --- standard input, sessions, several files ----------------------------------------------------------------


@pytest.mark.parametrize("typed", ["\ufeff", ""])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_standard_input_is_a_stream_of_lines(typed: str, end: str) -> None:
    """With a byte order mark or without, whatever ends a line."""
    done = run("-", "--job", "job", typed=typed + "".join(f"{code}{end}" for code in A))
    assert "BB-1 A: tags agree" in done.stdout
    assert "unknown" not in done.stdout


def test_a_session_is_gone_on_with() -> None:
    """Its lines count again, once; the terminal that was open still is."""
    words = ("-", "--job", "job", "--session", "walk.txt")
    assert "missing: liquid line, gas line" in run(*words, typed="\n".join(A[:2])).stdout
    done = run(*words, typed="\n".join(A[2:]))
    assert "BB-1 A: tags agree" in done.stdout
    assert Path("walk.txt").read_text(encoding="utf-8").split() == A
    assert run(*words).stdout == done.stdout


def test_a_session_is_also_a_file_of_lines() -> None:
    """Scanned as a file it comes to the same."""
    first = run("-", "--job", "job", "--session", "walk.txt", typed="\n".join(CROSSED))
    assert run("walk.txt", "--job", "job").stdout == first.stdout


def test_a_session_counts_though_only_files_are_scanned() -> None:
    """Without standard input its lines come first, and nothing is added to it."""
    Path("walk.txt").write_text("".join(f"{code}\n" for code in A), encoding="utf-8")
    done = run(lines(B), "--job", "job", "--session", "walk.txt")
    assert "BB-1 A: tags agree\nBB-1 B: tags agree\n" in done.stdout
    assert Path("walk.txt").read_text(encoding="utf-8").split() == A


def test_a_session_that_cannot_be_kept_is_a_problem() -> None:
    """Nothing is scanned that would be lost."""
    done = run("-", "--job", "job", "--session", "nosuch/walk.txt", typed="\n".join(A))
    assert (done.exit_code, done.stdout) == (1, "scanned: nothing\n")
    assert "[output-blocked]" in done.stderr


def test_no_file_goes_on_at_another_files_terminal() -> None:
    """What one person scanned last is not what another began with."""
    done = run(lines(A[:2], "one.txt"), lines(A[2:], "two.txt"), "--job", "job")
    assert "BB-1/A/LIQ: scan a terminal first; this tag is not counted" in done.stdout
    assert "BB-1 A: not complete; missing: liquid line, gas line" in done.stdout


def test_a_terminal_in_two_files_has_one_result() -> None:
    """What was found in both counts."""
    done = run(lines(A[:2], "one.txt"), lines([A[0], *A[2:]], "two.txt"), "--job", "job")
    assert "BB-1 A: tags agree" in done.stdout


# --- as JSON ------------------------------------------------------------------------------------------------


def test_json_has_every_scan_every_terminal_and_the_problems() -> None:
    """One object; nothing else is printed."""
    found = result(scanned([*A, "4006381333931", *SECOND.splitlines()], "--json"))
    assert list(found) == ["scans", "landing", "proves", "problems"]
    assert found["problems"] == []
    assert found["proves"] == PROVES
    assert [each["kind"] for each in found["scans"]] == ["tag"] * 4 + ["unknown", "placard"]
    assert found["scans"][1] == {
        "text": "BB-1/A/COM",
        "source": "scans.txt:2",
        "kind": "tag",
        "belongs": True,
        "box": "BB-1",
        "port": "A",
        "what": "COM",
        "unit": "",
        "end": "box",
        "differences": [],
        "age": "",
    }
    assert found["scans"][4] == {
        "text": "4006381333931",
        "source": "scans.txt:5",
        "kind": "unknown",
        "belongs": False,
        "differences": [],
        "age": "",
    }
    (box,) = plain(rebuild([scan_of(SECOND, "")]))
    head = {"text": SECOND, "source": "scans.txt:9", "kind": "placard", "belongs": True}
    assert found["scans"][5] == {**head, **box, "box": "BB-2", "differences": [], "age": "this revision"}


def test_json_gives_a_result_for_every_terminal() -> None:
    """Those never scanned too; each crossing with both ends and how to mend it."""
    landing = result(scanned([*CROSSED, "BB-1/C/TRM", "BB-1/C/GAS"], "--json"))["landing"]
    assert [(each["box"], each["port"]) for each in landing] == [
        *(("BB-1", letter) for letter in "ABCDEFGH"),
        *(("BB-2", letter) for letter in "ABCD"),
    ]
    crossing = {
        "terminal": "BB-1 A",
        "tag": "BB-1/B/COM",
        "message": "cable tagged BB-1 B at terminal BB-1 A",
        "mend": "move this cable to BB-1 B, and find what belongs on BB-1 A",
    }
    first = {"box": "BB-1", "port": "A", "result": "crossed", "missing": ["cable"], "crossed": [crossing]}
    assert landing[0] == first
    assert [each["result"] for each in landing] == ["crossed", "crossed", "missing"] + ["not scanned"] * 9
    assert landing[2]["missing"] == ["liquid line"]
    assert landing[3] == {"box": "BB-1", "port": "D", "result": "not scanned", "missing": [], "crossed": []}


def test_json_of_a_whole_right_job_agrees_everywhere() -> None:
    """Every terminal of the job with its own tags."""
    codes = [code for box in library().boxes for letter in letters_of(box) for code in kit(box, letter)]
    landing = result(scanned(codes, "--json"))["landing"]
    assert {each["result"] for each in landing} == {"agree"}


def test_json_without_a_job_judges_nothing() -> None:
    """Belongs is null, there is no landing check."""
    found = result(run(lines(CROSSED), "--json"))
    assert {each["belongs"] for each in found["scans"]} == {None}
    assert found["landing"] == []


def test_json_holds_a_damaged_placard() -> None:
    """Its fault is its difference."""
    (found,) = result(scanned(FIRST.replace("54", "55").splitlines(), "--json"))["scans"]
    assert found["differences"] == ["its CRC does not match: the text is damaged or was altered"]


def test_json_tells_problems_as_every_command_does() -> None:
    """In its list, not on standard error."""
    done = run("nosuch.jpg", "--json")
    (problem,) = result(done)["problems"]
    assert (problem["code"], problem["severity"], problem["where"]) == (
        "file-unreadable",
        "error",
        "nosuch.jpg",
    )
    assert (done.stderr, done.exit_code) == ("", 1)


# --- rebuilding ---------------------------------------------------------------------------------------------


def test_rebuild_prints_the_boxes_that_codes_tell_of() -> None:
    """Without a job; one object, and with --json its problems too."""
    texts = [*tags_by_code(library()), *FIRST.splitlines(), *SECOND.splitlines()]
    expected = plain(rebuild(scan_of(text, "") for text in (*tags_by_code(library()), FIRST, SECOND)))
    assert result(run(lines(texts), "--rebuild")) == {"boxes": expected}
    assert result(run(lines(texts), "--rebuild", "--json")) == {"boxes": expected, "problems": []}
    assert [box["tag"] for box in expected] == ["BB-1", "BB-2"]


def test_rebuild_of_a_damaged_placard_ends_with_1() -> None:
    """Its box is not there, which must not pass for all."""
    done = run(lines([*FIRST.replace("54", "55").splitlines(), *SECOND.splitlines()]), "--rebuild")
    assert ([box["tag"] for box in result(done)["boxes"]], done.exit_code) == (["BB-2"], 1)

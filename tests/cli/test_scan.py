"""`scan` as a person meets it: what it prints, how it ends, what `--json` and `--rebuild` give."""

from pathlib import Path

import pytest

from tagmaker.site.scans.landing import PROVES
from tests.cli.commands import NEXT, result, run, there
from tests.cli.scanning import CROSSED, FIRST, MOVE_IT, A, B, lines, scanned
from tests.records import replace
from tests.site.papers import LIBRARY, changed, library, made, placards, plan_of, tags_by_code
from tests.strategies import BoxSketch, JobSketch, UnitSketch

pytestmark = pytest.mark.usefixtures("library_job")


@pytest.mark.parametrize(
    ("page", "said", "is_wrong"),
    [
        (
            "WALK BB-1 1/2 ML-24 P02 3F2A91C2",
            "walk sheet of BB-1, page 1 of 2, revision P02, of this job",
            False,
        ),
        ("WALK BB-1 1/1 - 2 3F2A91C2", "walk sheet of BB-1, page 1 of 1, revision 2", False),
        (
            "WALK BB-1 1/1 ML-25 2 3F2A91C2",
            "walk sheet of BB-1, page 1 of 1, revision 2, NOT of this job",
            True,
        ),
        (
            "WALK BB-9 1/1 ML-24 2 3F2A91C2",
            "walk sheet of BB-9, page 1 of 1, revision 2, NOT of this job",
            True,
        ),
    ],
)
def test_a_page_of_the_walk_is_no_unknown_code(page: str, said: str, *, is_wrong: bool) -> None:
    """It is of this job or of another; the terminal stays open for one of its own box alone."""
    done = scanned([A[0], page, *A[1:]])
    assert done.stdout.splitlines()[1] == said
    assert ("  terminal BB-1 A is closed" in done.stdout) == is_wrong
    assert done.exit_code == int(is_wrong)


@pytest.mark.parametrize(
    ("page", "said", "is_wrong"),
    [
        (
            "SYSTEM HR-9 1/3 ML-24 P02 3F2A91C2",
            "system sheet of HR-9, page 1 of 3, revision P02, NOT of this job",
            True,
        ),
        (
            "DAYS HR-9 1/2 ML-24 P02 C 3F2A91C2",
            "first-days sheet of HR-9, page 1 of 2, revision P02, NOT of this job",
            True,
        ),
        (
            "RESPONSE HR-1 3/8 - P02 3F2A91C2 5D20A1B7",
            "sheet of response test 3F2A91C2 of system HR-1, page 3 of 8, revision P02",
            False,
        ),
        (
            "RESPONSE - 1/1 ML-25 P02 3F2A91C2 5D20A1B7",
            "sheet of response test 3F2A91C2, page 1 of 1, revision P02, NOT of this job",
            True,
        ),
    ],
)
def test_a_page_of_a_system_or_a_response_test_is_named(page: str, said: str, *, is_wrong: bool) -> None:
    """It is of no box: whoever scans it is at no terminal any more."""
    done = scanned([A[0], page, *A[1:]])
    assert done.stdout.splitlines()[1:3] == [
        said,
        "  terminal BB-1 A is closed: no tag counts until a terminal is scanned",
    ]
    assert done.exit_code == int(is_wrong)


def test_a_walk_ends_with_each_terminal_and_what_it_proves() -> None:
    """A line a scan as it comes, a result a terminal, those never scanned, and how far to trust it."""
    done = scanned([*A, "BB-1/F/TRM", "BB-1/F/LIQ", "4006381333931", "BB-1/F/GAS"])
    assert (done.exit_code, done.stderr) == (1, "")
    assert done.stdout.splitlines() == [
        "terminal BB-1 A: expects FC-1",
        "  BB-1/A/COM: agrees with terminal BB-1 A",
        "  BB-1/A/LIQ: agrees with terminal BB-1 A",
        "  BB-1/A/GAS: agrees with terminal BB-1 A",
        "terminal BB-1 F: second terminal of E+F; expect its pipes, no cable",
        "  BB-1/F/LIQ: agrees with terminal BB-1 F",
        "unknown code: '4006381333931' (scans.txt:7)",
        "  terminal BB-1 F is closed: no tag counts until a terminal is scanned",
        "BB-1/F/GAS: scan a terminal first; this tag is not counted",
        "scanned: 7 tags, 1 unknown",
        "",
        "BB-1 A: tags agree",
        "BB-1 F: not complete; missing: gas line; closed by an unknown code (scans.txt:7)",
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
        f"    {MOVE_IT} B; find what belongs on BB-1 A",
        "BB-1 B: CROSSED; missing: cable",
        "    cable tagged BB-1 A at terminal BB-1 B",
        f"    {MOVE_IT} A; find what belongs on BB-1 B",
        "BB-1: not scanned: C D E F G H",
    ]


def test_every_sort_of_code_is_said_in_words() -> None:
    """Box, port, what it hangs on, unit, end, and whether it is of the job."""
    job = [("BB-1/B/COM/FC-2/ON", "BB-1 · B · COMM CABLE · FC-2, at the unit, continuing cable")]
    job += [
        ("BB-1/A/GAS/FC-1", "BB-1 · A · GAS · FC-1, at the unit"),
        ("BB-1/C/LIQ", "BB-1 · C · LIQUID, at the box"),
    ]
    other = [("ZZ-9/A/TRM", "ZZ-9 · A · TERMINAL, at the box"), ("BB-1/LOC", "BB-1 · LOCATOR, at the box")]
    other += [
        ("BB-1/LIQ", "BB-1 · MAIN LIQUID, at the box"),
        ("BB-1/SUC", "BB-1 · MAIN SUCTION, at the box"),
        ("BB-1/HOT", "BB-1 · MAIN HOT GAS, at the box"),
    ]
    told = [f"{code}: {words}" for code, words in (*job, *other)]
    plain = run("scan", lines([code for code, _ in (*job, *other)]))
    assert plain.stdout.splitlines()[:-1] == told
    judged = run("scan", lines([f"{code}" for code, _ in (*job, *other)][::-1]), "--job", "job")
    seen = [line for line in judged.stdout.splitlines() if line.startswith("BB-1/")]
    assert seen[:3] == [f"{told[i]}, NOT of this job" for i in (7, 6, 5)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (FIRST, ["placard BB-1 revision 2, of this job: matches the current job"]),
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
    done = run("scan", *(str(path) for path in sorted(out.glob("*.pdf"))), "--job", "job")
    told = done.stdout.splitlines()
    assert done.exit_code == 1
    assert told.count("    the placard is of revision 1, the job of revision 2") == 4
    assert [line for line in told if "NOT of this job" in line or "unknown" in line] == []
    assert told[-1] == f"scanned: 4 placards, {len(tags_by_code(library()))} tags, 2 walk pages"


def test_without_a_job_each_code_is_said_and_nothing_judged() -> None:
    """No landing check, no claim about what belongs."""
    done = run("scan", lines([*CROSSED, *FIRST.splitlines()]))
    assert done.exit_code == 0
    assert "job" not in done.stdout.replace("JOB", "")
    assert done.stdout.splitlines()[-2:] == ["placard BB-1 revision 2", "scanned: 8 tags, 1 placard"]


def test_nothing_scanned_is_said() -> None:
    """An empty file is no mistake, but nobody takes it for a file of codes."""
    done = scanned([])
    assert (done.stdout, done.exit_code) == ("scanned: nothing\n", 0)
    assert "warning: no code was found in it [scan-empty]" in done.stderr


@pytest.mark.parametrize(
    ("codes", "exit_code"),
    [
        (A, 0),
        (A[:2], 0),
        (CROSSED, 1),
        (A[1:], 0),
        (["ZZ-9/A/LIQ"], 1),
        (["BB-1/A/LIQ/FC-99"], 1),
        (["4006381333931"], 1),
        ([*A, "BB-1/B/TRMBB-1/B/COM"], 1),
        ([A[0], "ZZ-9/A/LIQ"], 1),
        (["BB-1/C/TRM", "BB-1/C/COM"], 1),
        (FIRST.splitlines(), 0),
        (FIRST.splitlines()[1:], 1),
        (FIRST.splitlines()[:-1], 1),
        (FIRST.replace("54", "45").splitlines(), 1),
        (placards(plan_of(changed(LIBRARY, UnitSketch("FC-1", "A"))))[0].splitlines(), 1),
    ],
)
def test_exit_code_1_means_crossed_unknown_foreign_or_a_placard_that_differs(
    codes: list[str], exit_code: int
) -> None:
    """What is missing or not counted is reported, and does not change it."""
    assert scanned(codes).exit_code == exit_code
    assert scanned(codes, "--json").exit_code == exit_code


def test_a_crossing_that_was_mended_ends_well() -> None:
    """Both terminals scanned again, whole and clean."""
    assert scanned([*CROSSED, *A, *B]).exit_code == 0


@pytest.mark.parametrize("words", [[], ["--job", "job"], ["scans.txt", "--job", "nosuch"], ["--nosuch", "x"]])
def test_wrong_usage_is_2(words: list[str]) -> None:
    """No file named, no such job, no such option."""
    lines(A)
    assert run("scan", *words).exit_code == 2


def test_a_file_that_cannot_be_read_does_not_hide_the_others() -> None:
    """It is told on standard error, the rest is scanned, and the exit code is 1."""
    done = run("scan", lines(A, "one.txt"), "nosuch.jpg", lines(B, "two.txt"), "--job", "job")
    assert done.exit_code == 1
    assert done.stderr.splitlines() == [
        "nosuch.jpg: error: there is no such file [file-unreadable]",
        "    name photos (JPEG, PNG, BMP or WebP), PDFs, or UTF-8 text files with one code per line",
    ]
    assert "BB-1 A: tags agree\nBB-1 B: tags agree\n" in done.stdout


def test_a_job_with_errors_is_told_and_judged_as_far_as_it_goes() -> None:
    """The plan that there is; its errors on standard error, exit 1."""
    heavy = replace(LIBRARY.boxes[0].units[0], capacity="60 kBtu/h")
    changed(LIBRARY, heavy, *LIBRARY.boxes[0].units[1:]).write(Path("heavy"))
    done = run("scan", lines(A), "--job", "heavy")
    assert (done.exit_code, "[port-overloaded]" in done.stderr) == (1, True)
    assert "BB-1 A: tags agree" in done.stdout


def test_a_job_that_cannot_be_planned_judges_nothing() -> None:
    """The codes are still said."""
    Path("broken").mkdir()
    done = run("scan", lines(A), "--job", "broken")
    assert (done.exit_code, "[job-missing]" in done.stderr) == (1, True)
    assert done.stdout.splitlines()[0] == "BB-1/A/TRM: BB-1 · A · TERMINAL, at the box"


def test_warnings_and_notes_of_the_job_are_no_part_of_it() -> None:
    """They were told when the job was made."""
    note = replace(LIBRARY.boxes[0].units[3], capacity="24 kBtu/h")
    changed(LIBRARY, note).write(Path("noted"))
    assert run("scan", lines(["BB-1/E/TRM"]), "--job", "noted").stderr == ""


@pytest.mark.parametrize("typed", ["\ufeff", ""])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_standard_input_is_a_stream_of_lines(typed: str, end: str) -> None:
    """With a byte order mark or without, whatever ends a line."""
    done = run("scan", "-", "--job", "job", typed=typed + "".join(f"{code}{end}" for code in A))
    assert "BB-1 A: tags agree" in done.stdout
    assert "unknown" not in done.stdout


def test_a_session_is_gone_on_with() -> None:
    """Its lines count again, once; the terminal that was open still is."""
    words = ("-", "--job", "job", "--session", "walk.txt")
    assert "missing: liquid line, gas line" in run("scan", *words, typed="\n".join(A[:2])).stdout
    done = run("scan", *words, typed="\n".join(A[2:]))
    assert "BB-1 A: tags agree" in done.stdout
    assert Path("walk.txt").read_text(encoding="utf-8").split() == A
    assert run("scan", *words).stdout == done.stdout


def test_a_session_is_also_a_file_of_lines() -> None:
    """Scanned as a file it comes to the same."""
    first = run("scan", "-", "--job", "job", "--session", "walk.txt", typed="\n".join(CROSSED))
    assert run("scan", "walk.txt", "--job", "job").stdout == first.stdout


def test_a_session_counts_though_only_files_are_scanned() -> None:
    """Without standard input its lines come first, and nothing is added to it."""
    Path("walk.txt").write_text("".join(f"{code}\n" for code in A), encoding="utf-8")
    done = run("scan", lines(B), "--job", "job", "--session", "walk.txt")
    assert "BB-1 A: tags agree\nBB-1 B: tags agree\n" in done.stdout
    assert Path("walk.txt").read_text(encoding="utf-8").split() == A


def test_a_session_that_cannot_be_kept_is_a_problem() -> None:
    """Nothing is scanned that would be lost."""
    done = run("scan", "-", "--job", "job", "--session", "nosuch/walk.txt", typed="\n".join(A))
    assert (done.exit_code, done.stdout) == (1, "scanned: nothing\n")
    assert "[output-blocked]" in done.stderr


def test_no_file_goes_on_at_another_files_terminal() -> None:
    """What one person scanned last is not what another began with."""
    done = run("scan", lines(A[:2], "one.txt"), lines(A[2:], "two.txt"), "--job", "job")
    assert "BB-1/A/LIQ: scan a terminal first; this tag is not counted" in done.stdout
    assert "BB-1 A: not complete; missing: liquid line, gas line" in done.stdout


def test_a_terminal_in_two_files_has_one_result() -> None:
    """What was found in both counts."""
    done = run("scan", lines(A[:2], "one.txt"), lines([A[0], *A[2:]], "two.txt"), "--job", "job")
    assert "BB-1 A: tags agree" in done.stdout


@pytest.mark.parametrize("session", ["no-such-folder/session.txt", "."])
def test_a_session_that_cannot_be_kept_is_refused_before_a_line_is_lost(session: str) -> None:
    """1, with the place; nothing is asked for."""
    done = run("scan", "-", "--session", session)
    assert (done.exit_code, there()) == (1, ["job"])
    assert f"cannot keep the session in {session}" in done.stderr


def placard(sketch: JobSketch, box: int) -> str:
    """A file with a placard's text, as a hand scanner types it."""
    path = Path(f"placard-{sketch.revision}-{box}.txt")
    path.write_text(placards(plan_of(sketch))[box], encoding="utf-8")
    return str(path)


@pytest.mark.usefixtures("revisions")
def test_scan_since_places_a_placard() -> None:
    """This revision, unchanged since the one it names, or older; only the last is wrong."""
    run("make", "--no-proof", "job", "-o", "out")
    placed = {
        (LIBRARY, 0): ("placard BB-1 revision 2, of this job: matches the current job, unchanged since", 0),
        (LIBRARY, 1): ("placard BB-2 revision 2, of this job: DIFFERS, OLDER", 1),
        (NEXT, 1): ("placard BB-2 revision 3, of this job: matches the current job", 0),
    }
    for (sketch, box), (line, code) in placed.items():
        done = run("scan", placard(sketch, box), "--job", "next", "--since", "out/plan.json")
        assert (done.stdout.splitlines()[0], done.exit_code) == (line, code)


@pytest.mark.usefixtures("revisions")
def test_scan_with_a_plan_that_cannot_be_read_says_so() -> None:
    """It is an error, and the scans are judged by the job alone."""
    done = run("scan", placard(LIBRARY, 0), "--job", "next", "--since", "nowhere")
    assert done.exit_code == 1
    assert "[plan-unreadable]" in done.stderr
    assert "DIFFERS, OLDER" in done.stdout


def test_a_scanner_on_another_keyboard_layout_is_recognised() -> None:
    """Its codes are read on, the landing check too; the layout is reported once, for two files."""
    german = [code.translate(str.maketrans("-/YZ", "ß-ZY")) for code in (*A, *B)]
    done = run("scan", lines(german, "one.txt"), lines(german, "two.txt"), "--job", "job")
    assert "BB-1 A: tags agree\nBB-1 B: tags agree\n" in done.stdout
    assert "unknown" not in done.stdout
    assert done.exit_code == 0
    assert done.stderr.splitlines() == [
        "one.txt: note: codes were typed on a German keyboard layout, and were read by it [scan-keyboard]",
        "    set the scanner to the keyboard layout of the computer, or the computer to a US keyboard",
    ]


def test_a_live_scanner_on_another_keyboard_layout_is_recognised() -> None:
    """From the first code on; the session keeps what was typed, and reads the same."""
    french = [code.translate(str.maketrans("-/1AQM", ")!&QA?")) for code in A]
    done = run("scan", "-", "--job", "job", "--session", "walk.txt", typed="\n".join(french))
    assert "BB-1 A: tags agree" in done.stdout
    assert "a French keyboard layout" in done.stderr
    assert Path("walk.txt").read_text(encoding="utf-8").split() == french
    assert run("scan", "walk.txt", "--job", "job").stdout == done.stdout


def test_json_has_the_keyboard_layout_among_its_problems() -> None:
    """A note, and the codes as they were meant."""
    found = result(scanned(["BBß1-A-TRM"], "--json"))
    assert [each["text"] for each in found["scans"]] == ["BB-1/A/TRM"]
    assert [(each["code"], each["severity"]) for each in found["problems"]] == [("scan-keyboard", "note")]

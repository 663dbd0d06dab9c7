"""What `scan` gives to programs: `--json`, and the boxes that `--rebuild` reads off the paper."""

import pytest

from tagmaker.site.scans.codes import scan_of
from tagmaker.site.scans.landing import PROVES
from tagmaker.site.scans.rebuild import rebuild
from tests.cli.commands import result, run
from tests.cli.scanning import CROSSED, FIRST, MOVE_IT, SECOND, A, lines, scanned
from tests.records import plain
from tests.site.papers import kit, letters_of, library, tags_by_code

pytestmark = pytest.mark.usefixtures("library_job")


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
    head = {"text": SECOND, "source": "scans.txt:10", "kind": "placard", "belongs": True}
    assert found["scans"][5] == {**head, **box, "box": "BB-2", "differences": [], "age": "this revision"}


def test_json_gives_a_result_for_every_terminal() -> None:
    """Those never scanned too; each crossing with both ends and how to correct it."""
    landing = result(scanned([*CROSSED, "BB-1/C/TRM", "BB-1/C/GAS"], "--json"))["landing"]
    assert [(each["box"], each["port"]) for each in landing] == [
        *(("BB-1", letter) for letter in "ABCDEFGH"),
        *(("BB-2", letter) for letter in "ABCD"),
    ]
    crossing = {
        "terminal": "BB-1 A",
        "tag": "BB-1/B/COM",
        "message": "cable tagged BB-1 B at terminal BB-1 A",
        "mend": f"{MOVE_IT} B; find what belongs on BB-1 A",
    }
    first = {"box": "BB-1", "port": "A", "result": "crossed", "missing": ["cable"], "crossed": [crossing]}
    first["closed"] = ""
    assert landing[0] == first
    assert [each["result"] for each in landing] == ["crossed", "crossed", "missing"] + ["not scanned"] * 9
    assert landing[2]["missing"] == ["liquid line"]
    unseen = {"result": "not scanned", "missing": [], "crossed": [], "closed": ""}
    assert landing[3] == {"box": "BB-1", "port": "D", **unseen}


def test_json_has_what_closed_a_terminal_and_ends_with_1() -> None:
    """An unknown code, and where it was scanned."""
    done = scanned([*A[:2], "BB-1/B/TR", *A[2:]], "--json")
    first = result(done)["landing"][0]
    assert (first["result"], first["closed"]) == ("missing", "an unknown code (scans.txt:3)")
    assert done.exit_code == 1


def test_json_of_a_whole_right_job_agrees_everywhere() -> None:
    """Every terminal of the job with its own tags."""
    codes = [code for box in library().boxes for letter in letters_of(box) for code in kit(box, letter)]
    landing = result(scanned(codes, "--json"))["landing"]
    assert {each["result"] for each in landing} == {"agree"}


def test_json_without_a_job_judges_nothing() -> None:
    """Belongs is null, there is no landing check."""
    found = result(run("scan", lines(CROSSED), "--json"))
    assert {each["belongs"] for each in found["scans"]} == {None}
    assert found["landing"] == []


def test_json_holds_a_damaged_placard() -> None:
    """Its fault is its difference."""
    (found,) = result(scanned(FIRST.replace("54", "55").splitlines(), "--json"))["scans"]
    assert found["differences"] == ["its CRC does not match: the text is damaged or was altered"]


def test_json_tells_problems_as_every_command_does() -> None:
    """In its list, not on standard error."""
    done = run("scan", "nosuch.jpg", "--json")
    (problem,) = result(done)["problems"]
    assert (problem["code"], problem["severity"], problem["where"]) == (
        "file-unreadable",
        "error",
        "nosuch.jpg",
    )
    assert (done.stderr, done.exit_code) == ("", 1)


def test_rebuild_prints_the_boxes_that_codes_tell_of() -> None:
    """Without a job; one object, and with --json its problems too."""
    texts = [*tags_by_code(library()), *FIRST.splitlines(), *SECOND.splitlines()]
    scans = (scan_of(text, "") for text in (*tags_by_code(library()), FIRST, SECOND))
    expected = plain(rebuild(scans))
    assert result(run("scan", lines(texts), "--rebuild")) == {"boxes": expected}
    assert result(run("scan", lines(texts), "--rebuild", "--json")) == {"boxes": expected, "problems": []}
    assert [box["tag"] for box in expected] == ["BB-1", "BB-2"]


def test_rebuild_of_a_damaged_placard_ends_with_1() -> None:
    """Its box is not there, which must not pass for all."""
    done = run("scan", lines([*FIRST.replace("54", "55").splitlines(), *SECOND.splitlines()]), "--rebuild")
    assert ([box["tag"] for box in result(done)["boxes"]], done.exit_code) == (["BB-2"], 1)

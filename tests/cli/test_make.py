"""`make` as a person meets it: the set that it writes, what it prints, how it ends."""

import json
import os
import re
from pathlib import Path

import pytest

from tagmaker.cli.make import made_lines
from tagmaker.cli.show import Bar
from tagmaker.workflows.make import Made
from tagmaker.workflows.planning import Checked, StockNeed
from tests.cli.commands import (
    BAKERY,
    CLINIC,
    ERROR,
    MISTAKES,
    OVERLOADED,
    result,
    rows,
    run,
    there,
)


def test_make_writes_the_set_and_says_so() -> None:
    """Files, what to load into the printers, and last how many codes read back; nothing to standard error."""
    done = run("make", BAKERY, "-o", "out")
    assert (done.exit_code, done.stderr, there()) == (0, "", ["out"])
    first, *files, heading, labels, paper, left, last = done.stdout.splitlines()
    tags = len(rows())
    assert first == f"out: {tags} tags for 1 box"
    assert sorted(line.split()[0] for line in files) == there("out")
    assert (heading, paper) == ("needed:", "  letter: 1 page")
    assert labels == f"  letter-30-67x25: {tags} labels, 2 pages"
    assert left == "26 labels left on the last sheet of letter-30-67x25: --skip 4 continues there"
    assert tags + 26 == 60
    assert last == f"{tags + 3} of {tags + 3} codes read back"  # the placard has its code twice, the walk one


def test_make_without_proof_says_so_last_and_in_the_plan() -> None:
    """A set that nobody read back can be told from one that was."""
    done = run("make", BAKERY, "-o", "out", "--no-proof")
    assert done.stdout.splitlines()[-1] == "the codes were not read back (--no-proof)"
    assert json.loads(Path("out/plan.json").read_bytes())["proof"] is False


def test_only_prints_the_tags_of_one_port() -> None:
    """In any case of its letters; no placard, no walk sheet; labels for the one port."""
    done = run("make", BAKERY, "-o", "out", "--only", "bx-1/a")
    assert (done.exit_code, done.stderr) == (0, "")
    assert [row["code"] for row in rows()] == [
        *("BX-1/A/TRM", "BX-1/A/LIQ", "BX-1/A/GAS"),
        *("BX-1/A/COM", "BX-1/A/COM/FC-1", "BX-1/A/LIQ/FC-1", "BX-1/A/GAS/FC-1"),
    ]
    assert there("out") == ["plan.json", "register.csv", "tags-letter-30-67x25.pdf"]


def test_only_prints_one_tag_on_a_used_sheet() -> None:
    """By its code, in any case, on the first label that is left."""
    done = run("make", BAKERY, "-o", "out", "--no-proof", "--only", "bx-1/a/liq/fc-1", "--skip", "4")
    assert (done.exit_code, done.stderr) == (0, "")
    (row,) = rows()
    run("make", BAKERY, "-o", "whole", "--no-proof")
    fifth = rows("whole")[4]
    place = ("page", "x_mm", "y_mm")
    assert (row["code"], [row[key] for key in place]) == ("BX-1/A/LIQ/FC-1", [fifth[key] for key in place])
    assert json.loads(Path("out/plan.json").read_bytes())["part"]["ports"] == ["BX-1/A/LIQ/FC-1"]


def test_only_may_be_given_again() -> None:
    """Two ports' tags, in the register's order."""
    run("make", BAKERY, "-o", "out", "--no-proof", "--only", "BX-1/F", "--only", "BX-1/A")
    assert list(dict.fromkeys(row["port"] for row in rows())) == ["A", "F"]


@pytest.mark.parametrize("port", ["BX-1/G", "BX-9/A", "BX-1", "A"])
def test_a_port_that_is_not_in_the_job_is_an_error(port: str) -> None:
    """With the way to write one; nothing is written."""
    done = run("make", BAKERY, "-o", "out", "--only", port)
    assert (done.exit_code, there()) == (1, [])
    assert f"--only: error: the job has no port '{port}' [port-unknown]\n    " in done.stderr
    assert "write BOX/PORT, like BB-1/C" in done.stderr


def test_stages_print_what_each_of_them_needs() -> None:
    """Rough-in: all that hangs before brazing, no placard; final: what goes over the insulation, the rest."""
    done = {
        stage: run("make", BAKERY, "-o", stage, "--no-proof", "--stage", stage)
        for stage in ("rough-in", "final")
    }
    assert [each.exit_code for each in done.values()] == [0, 0]
    kinds = {stage: {row["kind"] for row in rows(stage)} for stage in ("rough-in", "final")}
    assert kinds == {"rough-in": {"liquid", "gas", "cable", "terminal"}, "final": set()}
    assert "no pipe tags are printed: those on letter-30-67x25 are tie-on tags" in done["final"].stderr
    assert [("placards.pdf" in there(stage)) for stage in ("rough-in", "final")] == [False, True]


def test_kits_are_the_whole_between_them() -> None:
    """Each tag is in one kit: at the box, both ends of cables, the lines' unit ends."""
    run("make", BAKERY, "-o", "out", "--no-proof")
    for kit in ("box", "cables", "lines"):
        assert run("make", BAKERY, "-o", kit, "--no-proof", "--kit", kit).exit_code == 0
    assert [row["code"] for kit in ("box", "cables", "lines") for row in rows(kit)] == [
        row["code"] for row in rows()
    ]
    assert {row["kind"] for row in rows("cables")} == {"cable"}
    assert {(row["kind"], row["end"]) for row in rows("lines")} == {("liquid", "unit"), ("gas", "unit")}
    assert {row["end"] for row in rows("box")} == {"box"}


def test_skip_begins_on_a_used_sheet() -> None:
    """Seven labels of three columns are gone: the first lies in the second place of the third row."""
    run("make", BAKERY, "-o", "out", "--no-proof", "--skip", "7")
    first = rows()[0]
    assert (first["page"], first["x_mm"], first["y_mm"]) == ("1", "74.700", "63.500")
    assert json.loads(Path("out/plan.json").read_bytes())["partial"] is False


def test_png_writes_every_page_as_a_picture_too() -> None:
    """One a page of every PDF, told among the files, and nothing foreign to the next run."""
    done = run("make", BAKERY, "-o", "out", "--no-proof", "--png", "--json")
    written = result(done)["files"]
    pdfs = {"tags-letter-30-67x25": 2, "placards": 1, "walk": 1, "kits": 2, "summary": 1}
    pictures = {f"{name}-{number}.png" for name, pages in pdfs.items() for number in range(1, pages + 1)}
    assert isinstance(written, list)
    assert {name for name in written if name.startswith("png/")} == {f"png/{name}" for name in pictures}
    assert set(there("out/png")) == pictures
    assert all(Path("out/png", name).read_bytes().startswith(b"\x89PNG") for name in pictures)
    again = run("make", BAKERY, "-o", "out", "--no-proof", "--png")
    assert "  png/  7 pictures" in again.stdout.splitlines()
    assert run("make", BAKERY, "-o", "out", "--no-proof").exit_code == 0
    assert "png" not in there("out")


def test_a_printer_that_was_measured_moves_its_labels() -> None:
    """`align` once, and from then on that stock's sheets are made up for; every code is still read back."""
    run("make", BAKERY, "-o", "out")
    plain, walk = (Path("out", name).read_bytes() for name in ("tags-letter-30-67x25.pdf", "walk.pdf"))
    assert run("align", "letter-30-67x25", "--first", "26.1,25.4", "--second", "191.4,254.8").exit_code == 0
    done = run("make", BAKERY, "-o", "out")
    assert (done.exit_code, done.stdout.splitlines()[-1]) == (0, "37 of 37 codes read back")
    assert Path("out/tags-letter-30-67x25.pdf").read_bytes() != plain
    assert Path("out/walk.pdf").read_bytes() == walk
    assert run("align", "letter-30-67x25", "--forget").exit_code == 0
    run("make", BAKERY, "-o", "out")
    assert Path("out/tags-letter-30-67x25.pdf").read_bytes() == plain


def test_make_names_its_folder_after_the_job() -> None:
    """Without -o, here, whether the folder was named or its file."""
    assert run("make", BAKERY).exit_code == 0
    assert run("make", f"{BAKERY}/job.toml").exit_code == 0
    assert there() == ["bakery-out"]


def test_make_here_names_its_folder_after_the_one_it_stands_in(place: Path) -> None:
    """A person in the job's folder writes a point for the job."""
    OVERLOADED.write(place / "library")
    os.chdir(place / "library")
    assert run("make", ".", "--box", "BB-2").exit_code == 0
    assert there() == ["job.toml", "library-out"]


def test_make_without_a_job_says_how_to_begin(place: Path) -> None:
    """Wrong usage, and the smallest job, which works as it stands there."""
    done = run("make")
    assert (done.exit_code, done.stdout, there()) == (2, "", [])
    assert done.stderr.startswith("No job was named.")
    smallest = "\n".join(line[4:] for line in done.stderr.splitlines() if line.startswith("    "))
    (place / "mine").mkdir()
    (place / "mine" / "job.toml").write_text(smallest, encoding="utf-8")
    assert run("make", "mine", "-o", "out").exit_code == 0


def test_make_with_errors_writes_nothing() -> None:
    """Each error to standard error with its place, the count to standard output, 1."""
    done = run("make", MISTAKES, "-o", "out")
    assert (done.exit_code, there()) == (1, [])
    assert re.fullmatch(r"\d+ errors, \d+ warnings?, \d+ notes?: nothing was written\n", done.stdout)
    assert re.search(r"^ports\.csv:\d+: error: .* \[port-overloaded\]$", done.stderr, re.MULTILINE)


def test_make_into_a_folder_with_a_file_of_ones_own_changes_nothing(place: Path) -> None:
    """1, and the file is named."""
    (place / "out").mkdir()
    (place / "out" / "notes.txt").write_text("mine", encoding="utf-8")
    done = run("make", BAKERY, "-o", "out")
    assert done.exit_code == 1
    assert "notes.txt" in done.stderr
    assert "nothing was written" in done.stdout
    assert there("out") == ["notes.txt"]


def test_one_bad_box_does_not_hold_up_the_others(place: Path) -> None:
    """Whole, nothing is made; with --box, the good box is."""
    OVERLOADED.write(place / "job")
    assert run("make", "job", "-o", "out").exit_code == 1
    assert there() == ["job"]
    done = run("make", "job", "-o", "out", "--box", "bb-2")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.splitlines()[0].endswith("for 1 box")


def test_box_may_be_given_again() -> None:
    """Two of the clinic's five."""
    done = run("make", CLINIC, "-o", "out", "--no-proof", "--box", "BB-11", "--box", "BB-22")
    assert done.stdout.splitlines()[0].endswith("for 2 boxes")


def test_make_json_tells_what_was_made() -> None:
    """Folder, tags, boxes, files, problems; one object, and nothing else on either stream."""
    done = run("make", BAKERY, "-o", "out", "--json")
    content = result(done)
    assert (done.exit_code, done.stderr) == (0, "")
    assert list(content) == ["out", "tags", "boxes", "files", "part_used", "problems"]
    assert (content["out"], content["boxes"], content["problems"]) == ("out", 1, [])
    assert isinstance(content["files"], list)
    assert sorted(content["files"]) == there("out")


def test_a_long_jobs_bar_is_moved_by_make(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Box by box."""
    moves: list[tuple[int, int]] = []
    monkeypatch.setattr(Bar, "move", lambda _bar, done, of: moves.append((done, of)))
    OVERLOADED.write(place / "job")
    run("make", "job", "-o", "out", "--box", "BB-2")
    assert moves == [(1, 1)]


NOTHING = Checked(None, ())
FILES = (("walk.pdf", 2), ("placards.pdf", 1), ("plan.json", 0))


def test_make_tells_its_files_what_they_need_and_what_reads_back() -> None:
    """A line a file, those without pages have none told; a line a stock; last, how many codes read back."""
    needed = Checked(
        None,
        (),
        sheets=(
            StockNeed("letter-30-67x25", 31, 2),
            StockNeed("roll-51x25-203dpi", 1, 1),
            StockNeed("letter", 0, 1),
        ),
    )
    assert made_lines(Made(needed, Path("out"), FILES, tags=32, boxes=2, codes_read=36)) == [
        "out: 32 tags for 2 boxes",
        "  walk.pdf  2 pages",
        "  placards.pdf  1 page",
        "  plan.json",
        "needed:",
        "  letter-30-67x25: 31 labels, 2 pages",
        "  roll-51x25-203dpi: 1 label, 1 page",
        "  letter: 1 page",
        "36 of 36 codes read back",
    ]


def test_make_without_labels_needs_none() -> None:
    """No heading stands over nothing; no code is no proof left out."""
    assert made_lines(Made(NOTHING, Path("out"), FILES[2:], boxes=1, codes_read=0)) == [
        "out: 0 tags for 1 box",
        "  plan.json",
        "0 of 0 codes read back",
    ]


def test_make_says_that_its_codes_were_not_read_back() -> None:
    """Whoever left the proof out is told so, last, where else the proof stands."""
    lines = made_lines(Made(NOTHING, Path("out"), FILES, tags=1, boxes=1))
    assert lines[-1] == "the codes were not read back (--no-proof)"


def test_make_counts_its_pictures_on_one_line() -> None:
    """A picture a page would push all else off the screen."""
    files = (*FILES, ("png/walk-1.png", 0), ("png/walk-2.png", 0))
    lines = made_lines(Made(NOTHING, Path("out"), files, tags=1, boxes=1, codes_read=1))
    assert [line for line in lines if "png" in line] == ["  png/  2 pictures"]


def test_make_says_when_nothing_was_written() -> None:
    """With the count of what stopped it."""
    lines = made_lines(Made(Checked(None, (ERROR,)), Path("out")))
    assert lines == ["1 error, 0 warnings, 0 notes: nothing was written"]


@pytest.mark.usefixtures("revisions")
def test_make_since_and_all() -> None:
    """The update into a folder of its own, then the whole set again in the first one's place."""
    assert run("make", "--no-proof", "job", "-o", "out").exit_code == 0
    update = run("make", "--no-proof", "next", "--since", "out/plan.json", "-o", "update")
    assert (update.exit_code, update.stderr) == (0, "")
    assert update.stdout.splitlines()[0] == "update: 10 tags for 1 box"
    assert "  changes.pdf  3 pages" in update.stdout.splitlines()
    anew = run("make", "--no-proof", "next", "--since", "out", "--all", "-o", "out")
    assert (anew.exit_code, anew.stderr) == (0, "")
    assert not Path("out", "changes.pdf").exists()


@pytest.mark.usefixtures("revisions")
def test_an_update_does_not_replace_a_whole_set() -> None:
    """The other boxes' sheets would be gone."""
    run("make", "--no-proof", "job", "-o", "out")
    run("make", "--no-proof", "next", "-o", "whole")
    done = run("make", "--no-proof", "next", "--since", "out", "-o", "whole")
    assert done.exit_code == 1
    assert "[output-whole]" in done.stderr


@pytest.mark.parametrize("since", ["update", "update/plan.json", "./update/../update"])
@pytest.mark.usefixtures("revisions")
def test_an_update_does_not_replace_the_set_that_it_goes_on_from(since: str) -> None:
    """Run again, it would find nothing changed, and what was not printed yet would be gone."""
    run("make", "--no-proof", "job", "-o", "out")
    run("make", "--no-proof", "next", "--since", "out", "-o", "update")
    before = Path("update", "plan.json").read_bytes()
    done = run("make", "--no-proof", "next", "--since", since, "-o", "update")
    assert (done.exit_code, done.stdout) == (2, "")
    assert "give the update a folder of its own" in done.stderr
    assert Path("update", "plan.json").read_bytes() == before

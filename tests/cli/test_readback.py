"""`readback` as a person meets it: what it prints, how it ends, the punch list on paper."""

import json
from contextlib import closing
from pathlib import Path

import pypdfium2

from tagmaker.cli.readback import readback_lines
from tagmaker.plan.model import Plan
from tagmaker.workflows.punch_list import write_punch_list
from tagmaker.workflows.readback import readback
from tests.cli.commands import run
from tests.records import replace
from tests.sheets.printed import MM, Box
from tests.site.handed_over import all_right
from tests.site.walks import ROLES, SITE, Values, hand_in, only, phone, plan_of, without
from tests.strategies import UnitSketch
from tests.workflows.response_site import answers, fill_csv, made

LICENSED = "only licensed people may open or braze them; do not vent refrigerant"


def test_exit_0_only_when_all_is_seen_and_right(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values, site_wrong: Values
) -> None:
    """1 where anything differs, is not seen, is contradicted, or cannot be read."""
    one, two, three, four = hand_in(
        tmp_path,
        site_plan,
        site_right,
        site_wrong,
        without(site_right, "item/cover"),
        without(site_right, "BB-1/left/2/2"),
    )
    bad = tmp_path / "bad.json"
    bad.write_text("{}", encoding="utf-8")
    expected = {(one,): 0, (two,): 1, (three,): 1, (one, three): 0, (one, four): 1, (one, bad): 1, (bad,): 1}
    assert {files: run("readback", *files, "--job", site_job).exit_code for files in expected} == expected


def test_proofs_signatures_and_dates_do_not_change_it(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Empty or filled in: exit 0; empty ones are listed."""
    letters = {f"BB-1/port/{letter}/{line}/proved": True for letter in "ABCDEF" for line in ("pipe", "cable")}
    signed = {f"BB-1/sign/{role}": "K.A." for role in ROLES}
    signed |= {f"BB-1/date/{role}": "2026-06-03" for role in ROLES}
    bare, full = (
        run("readback", file, "--job", site_job)
        for file in hand_in(tmp_path, site_plan, site_right, {**site_right, **letters, **signed})
    )
    assert (bare.exit_code, full.exit_code) == (0, 0)
    assert bare.stdout.splitlines()[:3] == [
        "BB-1: as planned",
        "    not proved: A pipe, A cable, B pipe, B cable, C pipe, C cable, D pipe, E pipe, E cable",
        "    not signed with name and date: installer, technician, verifier",
    ]
    assert full.stdout.splitlines()[:2] == ["BB-1: as planned", "bb-2: as planned"]


def test_a_folder_says_how_far_the_site_is(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """Box by box, and how many are as planned, differ, or are not seen."""
    hand_in(tmp_path / "in", site_plan, only(site_wrong, ["BB-2/"]))
    result = run("readback", tmp_path / "in", "--job", site_job)
    lines = result.stdout.splitlines()
    assert (result.exit_code, lines[0], lines[-1]) == (
        1,
        "BB-1: not seen",
        "2 boxes: 0 as planned, 1 differs, 1 not seen",
    )


def test_what_to_do_is_told(tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values) -> None:
    """Under each thing that is wrong: what to do, and what to expect until then; then the notes."""
    values = only(site_wrong, ["BB-1/"]) | {"BB-1/port/C/note": "drain dry"}
    result = run("readback", *hand_in(tmp_path, site_plan, values), "--job", site_job)
    lines = result.stdout.splitlines()
    assert lines[:3] == [
        "BB-1: differs",
        "    1. left board: Bank 1 switch 1 is ON",
        "        do: isolate the box's power, prove it dead, then move Bank 1 switch 1 to OFF",
    ]
    assert lines[3].startswith(
        "        left board: port A serves FC-1 but Bank 1 switch 1 takes it out of service"
    )
    assert lines[4] == "    2. port A: pipe found: FC-5, planned: FC-1"
    assert "    note: C: drain dry" in result.stdout.splitlines()


def test_problems_go_to_standard_error(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """A broken file among good ones: its problem there, the result on standard output."""
    files = hand_in(tmp_path, site_plan, site_right)
    (tmp_path / "bad.pdf").write_bytes(b"hello")
    result = run("readback", *files, tmp_path / "bad.pdf", "--job", site_job)
    assert result.exit_code == 1
    assert "[return-unreadable]" in result.stderr
    assert result.stdout.splitlines()[-1] == "2 boxes: 2 as planned, 0 differ, 0 not seen"


def test_json_holds_it_all(tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values) -> None:
    """Each box with its result, what to correct, what is unknown, proved and noted; counts; problems."""
    values = site_wrong | {"BB-1/port/A/note": "wet", "BB-1/port/B/proved": "rung out, K.A."}
    result = run(
        "readback",
        *hand_in(tmp_path, site_plan, without(values, "BB-2/item/cover")),
        "--job",
        site_job,
        "--json",
    )
    answer = json.loads(result.stdout)
    assert (result.exit_code, result.stderr, list(answer)) == (
        1,
        "",
        ["boxes", "counts", "response", "systems", "first_days", "problems"],
    )
    assert answer["counts"] == {"as planned": 0, "differs": 2, "not seen": 0}
    first, second = answer["boxes"]
    assert list(first) == [
        "box", "place", "power", "result", "punch_list", "unknown", "proved", "unproved", "unsigned", "notes",
        "ticked", "unclear", "to_type", "typed",
    ]  # fmt: skip
    assert first["result"] == "differs"
    assert first["punch_list"][1] == {
        "number": 2,
        "place": "port A",
        "wrong": "pipe found: FC-5, planned: FC-1",
        "to_do": f"the pipes of FC-5 belong on E: {LICENSED}",
        "expect": ["crossed: the system starts but performs wrongly"],
    }
    assert (first["proved"], first["notes"]) == ({"B": "rung out, K.A."}, ["A: wet"])
    assert second["unknown"] == ["Control box cover back in place (installer)"]
    assert second["unproved"] == ["A pipe", "A cable", "B pipe", "B cable"]
    assert "BB-2/sign/verifier" in second["unsigned"]


def test_a_job_with_errors_is_told_and_compared(tmp_path: Path, site_plan: Plan, site_right: Values) -> None:
    """The job has changed for the worse since: its errors are told, exit 1."""
    bad = replace(SITE, boxes=(replace(SITE.boxes[0], units=(UnitSketch("FC-1", "A", "99 kBtu/h"),)),))
    result = run("readback", *hand_in(tmp_path, site_plan, site_right), "--job", bad.write(tmp_path / "bad"))
    assert result.exit_code == 1
    assert "[port-overloaded]" in result.stderr


def test_a_job_that_cannot_be_read_is_told(tmp_path: Path, site_plan: Plan, site_right: Values) -> None:
    """Nothing can be compared: its problems, no result, no list, exit 1."""
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "job.toml").write_text("[job\n", encoding="utf-8")
    result = run(
        "readback",
        *hand_in(tmp_path / "in", site_plan, site_right),
        "--job",
        tmp_path / "job",
        "-o",
        tmp_path / "punch.pdf",
    )
    assert result.exit_code == 1
    assert "[toml-syntax]" in result.stderr
    assert not (tmp_path / "punch.pdf").exists()


def test_wrong_usage() -> None:
    """No files, no job, or a job that is not there: exit 2."""
    assert run("readback", "--job", "nowhere").exit_code == 2
    assert run("readback", "walk.pdf").exit_code == 2
    assert run("readback", "walk.pdf", "--job", "nowhere").exit_code == 2


def test_what_is_not_there_is_reported(tmp_path: Path, site_job: Path) -> None:
    """A folder without a file, and a set that was named though no photo needs it."""
    (tmp_path / "back").mkdir()
    done = run("readback", tmp_path / "back", "--job", site_job, "--since", "none")
    assert "back: warning: the folder holds no file [return-unreadable]" in done.stderr
    assert "none: error: none does not exist, or is not a plan.json [plan-unreadable]" in done.stderr


def read_pages(path: Path) -> list[str]:
    """The words of every page of a PDF, each in one line; nothing may lie outside the page."""
    told: list[str] = []
    with closing(pypdfium2.PdfDocument(path)) as document:
        for page in document:
            width, height = page.get_size()
            text = page.get_textpage()
            room = Box(0, 0, width * MM, height * MM)
            for index in range(text.count_chars()):
                left, bottom, right, top = text.get_charbox(index)
                assert room.holds(Box(left * MM, bottom * MM, right * MM, top * MM))
            told.append(" ".join(text.get_text_range().split()))
    return told


def test_the_punch_list_is_printed(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_wrong: Values
) -> None:
    """Read back from the PDF: everything to correct with its number, and what is not seen yet."""
    out = tmp_path / "punch.pdf"
    result = run(
        "readback",
        *hand_in(tmp_path, site_plan, without(site_wrong, "BB-2/item/cover")),
        "--job",
        site_job,
        "-o",
        out,
    )
    assert result.exit_code == 1
    (page,) = read_pages(out)
    assert page.startswith("PUNCH LIST ML-24 Marsh Lane Library Revision 2")
    for text in (
        "1 BB-1 left board Bank 1 switch 1 is ON",
        "pipe found: FC-5, planned: FC-1",
        "expect FC-1 not to be found",
        "4 bb-2 only board Bank 1 switch 1 is ON",
        "bb-2: Not seen yet Control box cover back in place (installer)",
    ):
        assert text in page


def test_where_a_box_is_stands_on_the_list(tmp_path: Path) -> None:
    """Its place, and where its power is isolated."""
    box = replace(SITE.boxes[1], place="Level 2 corridor, grid C4", power="Panel LP-2, circuit 14")
    job = replace(SITE, boxes=(box,)).write(tmp_path / "job")
    result = readback(hand_in(tmp_path / "in", plan_of(job), {}), job)
    assert write_punch_list(result, tmp_path / "punch.pdf") is None
    assert (
        "Level 2 corridor, grid C4 · Isolate power at: Panel LP-2, circuit 14"
        in read_pages(tmp_path / "punch.pdf")[0]
    )
    assert readback_lines(result)[0] == "bb-2: not seen (Level 2 corridor, grid C4)"


def test_a_site_without_faults_has_a_list_of_what_nobody_proved_or_signed(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Exit 0, and a page with what is open; it does not say that there is nothing to correct."""
    result = run(
        "readback", *hand_in(tmp_path, site_plan, site_right), "--job", site_job, "-o", tmp_path / "punch.pdf"
    )
    assert result.exit_code == 0
    page = " ".join(read_pages(tmp_path / "punch.pdf")[0].split())
    assert "not proved: A pipe, A cable" in page
    assert "not signed with name and date: installer, technician, verifier" in page
    assert "Nothing to correct." not in page


def list_of(job: Path, out: Path, *files: Path) -> str:
    """The words of the punch list of these files."""
    assert write_punch_list(readback(list(files), job), out) is None
    return " ".join(" ".join(read_pages(out)).split())


def test_a_list_never_says_nothing_while_a_file_or_a_reading_is_open(
    tmp_path: Path, site_job: Path, site_plan: Plan
) -> None:
    """All boxes are right; a file is damaged or of another job, a placard too, a unit was not tested."""
    out, walk = tmp_path / "punch.pdf", hand_in(tmp_path, site_plan, all_right(site_plan))[0]
    assert list_of(site_job, out, walk).endswith("Nothing to correct. page 1 of 1")
    bad, other, scans = (tmp_path / name for name in ("bad.json", "other.json", "scans.txt"))
    bad.write_text("{}", encoding="utf-8")
    other.write_text(phone(site_plan, {"BB-1/left/seen": True}).replace("ML-24", "ML-25"), encoding="utf-8")
    tags = (f"BB-1/A/{what}\n" for what in ("TRM", "COM", "LIQ", "GAS"))
    scans.write_text("".join((*tags, "BOX BB-1 REV 2\nCRC 00000000\n")), encoding="utf-8")
    made(site_job, tmp_path / "test")
    words = answers(tmp_path / "test")
    table = fill_csv(
        tmp_path / "test" / "response.csv", tmp_path / "r.csv", words, lambda row: row[4] != "FC-6"
    )
    for file, text in {
        bad: "Files: Still open bad.json: bad.json is not a phone export",
        other: "Files: Still open other.json: it is of another job: ML-25",
        scans: "Files: Still open scans.txt:6: its CRC does not match",
        table: "All boxes: Not seen yet not seen in the response test: FC-6",
    }.items():
        told = list_of(site_job, out, walk, file)
        assert text in told
        assert "Nothing to correct" not in told


def test_a_long_list_goes_over_pages(tmp_path: Path) -> None:
    """Twelve boxes of which every switch is wrong: every number is printed, in order."""
    boxes = tuple(
        replace(SITE.boxes[1], tag=f"BB-{n}", units=(UnitSketch(f"FC-{n}", "A"),)) for n in range(1, 13)
    )
    job = replace(SITE, boxes=boxes).write(tmp_path / "job")
    plan = plan_of(job)
    values: Values = {f"BB-{n}/only/seen": True for n in range(1, 13)}
    result = readback(hand_in(tmp_path / "in", plan, values), job)
    assert write_punch_list(result, tmp_path / "punch.pdf") is None
    told = " ".join(read_pages(tmp_path / "punch.pdf"))
    places = [told.index(f" {3 * n + 1} BB-{n + 1} ") for n in range(12)]
    assert sorted(places) == places


def test_a_list_that_cannot_be_written_is_told(
    tmp_path: Path, site_job: Path, site_plan: Plan, site_right: Values
) -> None:
    """Its folder is not there: a problem, exit 1, though the site is right."""
    result = run(
        "readback",
        *hand_in(tmp_path, site_plan, site_right),
        "--job",
        site_job,
        "-o",
        tmp_path / "none" / "punch.pdf",
    )
    assert result.exit_code == 1
    assert "[output-blocked]" in result.stderr

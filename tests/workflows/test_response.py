"""`response` and what comes back: files written and kept, read by `readback`, in the punch list."""

import json
import re
import shutil
from pathlib import Path

import msgspec
import pytest

from tagmaker.plan.response import Asked, SystemCalls, calls_digest
from tagmaker.workflows.readback import Readback, readback
from tagmaker.workflows.response import ResponseRequest, response
from tests.records import replace
from tests.site.walks import filled
from tests.strategies import UnitSketch
from tests.workflows.response_site import (
    SITE,
    Answers,
    answers,
    exchange,
    fill_csv,
    made,
    response_form,
    rows_of,
)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job on disk."""
    return SITE.write(tmp_path / "job")


@pytest.fixture
def out(tmp_path: Path, job: Path) -> Path:
    """Its response test."""
    made(job, tmp_path / "out")
    return tmp_path / "out"


def kinds(result: Readback) -> list[tuple[str, tuple[str, ...]]]:
    """Kind and ports of all findings."""
    return [(each.kind, each.ports) for system in result.outline.response for each in system.findings]


def codes(result: Readback) -> list[str]:
    """The problems' codes."""
    return [problem.code for problem in result.problems]


def form_of(out: Path, form: Path, words: Answers) -> Path:
    """The form of a test, filled in with these words."""
    form.parent.mkdir(exist_ok=True)
    form.write_bytes(response_form(out, words))
    return form


def test_files_of_a_test(out: Path) -> None:
    """Sheets, a table and the calls, and nothing else."""
    assert sorted(path.name for path in out.iterdir()) == ["response.csv", "response.json", "response.pdf"]


def test_the_table_has_every_stub_then_every_unit(out: Path) -> None:
    """A row a letter, spare ones too, then a row a unit; the readings are blank."""
    head, *rows = rows_of(out / "response.csv")
    rounds = len(head) - 5
    assert head == ["plan", "system", "box", "port", "unit", *(f"round {at + 1}" for at in range(rounds))]
    stubs = [("BB-1", letter, "") for letter in "ABCDEFGH"] + [("BB-2", letter, "") for letter in "ABCD"]
    units = [
        ("BB-1", "A", "FC-1"), ("BB-1", "B", "FC-2"), ("BB-1", "B", "FC-3"), ("BB-1", "C", "FC-4"),
        ("BB-1", "E+F", "AH-1"), ("BB-2", "A", "FC-5"), ("BB-2", "B", "FC-6"),
    ]  # fmt: skip
    assert [tuple(row[2:5]) for row in rows] == [*stubs, *units]
    assert {cell for row in rows for cell in row[5:]} == {""}


def test_the_json_is_that_of_the_contract(out: Path) -> None:
    """Keys and kinds of the calls."""
    found = json.loads((out / "response.json").read_text(encoding="utf-8"))
    system = found["systems"][0]
    assert list(found) == ["systems", "digests", "problems", "form_pages"]
    assert list(system)[:5] == ["system", "rounds", "plan", "heat_share", "ports"]
    (built,) = {port.pop("built") for port in system["ports"][:1]}
    assert system["ports"][0] == {
        "box": "BB-1", "port": "A", "units": ["FC-1"], "calls": answers(out)["BB-1", "A"],
    }  # fmt: skip
    assert re.fullmatch("[0-9A-F]{8}", built)
    assert len(system["plan"]) == 8
    assert len(system["heat_share"]) == system["rounds"]


def test_the_same_job_gives_the_same_bytes(tmp_path: Path, job: Path, out: Path) -> None:
    """All three files."""
    made(job, tmp_path / "again")
    for path in out.iterdir():
        assert path.read_bytes() == (tmp_path / "again" / path.name).read_bytes()


def test_a_test_is_replaced_by_the_next(job: Path, out: Path) -> None:
    """Nothing was filled in."""
    made(job, out, Asked(without=("AH-1",)))
    assert ("BB-1", "E") not in answers(out)


@pytest.mark.parametrize("name", ["response.csv", "response.pdf", "response.json"])
def test_what_was_filled_in_is_never_replaced(job: Path, out: Path, name: str) -> None:
    """A table, a form, or the calls that were edited: the folder stays as it is."""
    content = (out / name).read_bytes() + b" "
    (out / name).write_bytes(content)
    done = response(job, out, ResponseRequest())
    assert [problem.code for problem in done.problems] == ["output-changed"]
    assert (out / name).read_bytes() == content


def test_a_folder_of_something_else_is_refused(tmp_path: Path, job: Path) -> None:
    """The folder is this command's own."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "notes.txt").write_text("kept", encoding="utf-8")
    done = response(job, tmp_path / "out", ResponseRequest())
    assert [problem.code for problem in done.problems] == ["output-foreign"]


def test_a_job_with_errors_has_no_test(tmp_path: Path) -> None:
    """Nothing is written."""
    boxes = (replace(SITE.boxes[0], units=(UnitSketch("FC-1", "Z"),)),)
    path = replace(SITE, boxes=boxes).write(tmp_path / "bad")
    done = response(path, tmp_path / "out", ResponseRequest())
    assert "port-unknown" in {problem.code for problem in done.problems}
    assert not (tmp_path / "out").exists()


def test_words_are_kept_since_an_earlier_test(tmp_path: Path, out: Path) -> None:
    """A revision adds a unit: every other port's word begins as it was."""
    box = SITE.boxes[1]
    more = replace(box, units=(*box.units, UnitSketch("FC-7", "C", "9 kBtu/h")))
    job = replace(SITE, boxes=(SITE.boxes[0], more), revision="3").write(tmp_path / "next")
    made(job, tmp_path / "next-out", since=out / "response.json")
    was, now = answers(out), answers(tmp_path / "next-out")
    assert {key: now[key][: len(word)] for key, word in was.items()} == was


@pytest.mark.parametrize("text", ["", "{}", '{"systems": 3}', '{"systems": [{"system": "A"}]}'])
def test_another_file_is_no_earlier_test(tmp_path: Path, job: Path, text: str) -> None:
    """A problem, and nothing written."""
    path = tmp_path / "earlier.json"
    path.write_text(text, encoding="utf-8")
    done = response(job, tmp_path / "out", ResponseRequest(since=path))
    assert [problem.code for problem in done.problems] == ["plan-unreadable"]


def test_a_sets_plan_json_is_no_earlier_test(tmp_path: Path, job: Path) -> None:
    """It is reported as another file, not as one that somebody changed."""
    path = tmp_path / "plan.json"
    path.write_text('{"job": {}, "systems": [], "digests": {"plan.json": ""}}', encoding="utf-8")
    (problem,) = response(job, tmp_path / "out", ResponseRequest(since=path)).problems
    assert problem.message == f"{path} is not a response.json of this program"


def test_a_file_of_a_test_that_was_changed_is_no_earlier_test(tmp_path: Path, job: Path, out: Path) -> None:
    """Two ports could have one word: no test would show their crossing."""
    words = answers(out)
    text = (out / "response.json").read_text(encoding="utf-8")
    path = tmp_path / "response.json"
    path.write_text(text.replace(words["BB-1", "A"], words["BB-1", "B"]), encoding="utf-8")
    done = response(job, tmp_path / "out", ResponseRequest(since=path))
    assert [problem.code for problem in done.problems] == ["plan-unreadable"]
    assert "was changed after it was written" in done.problems[0].message


# --- what comes back ----------------------------------------------------------------------------------------


def test_all_right(tmp_path: Path, job: Path, out: Path) -> None:
    """Every port as called, every unit as piped; nothing else came back, so that no walk is missed."""
    result = readback([fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", answers(out))], job)
    (system,) = result.outline.response
    called = {port.verdict for port in system.ports if (port.box, port.port) in answers(out)}
    assert called == {"as called"}
    assert {unit.verdict for unit in system.units} == {"as piped"}
    assert (result.problems, result.is_wrong, kinds(result)) == ((), False, [])


def test_crossed_cables_are_found_and_in_the_punch_list(tmp_path: Path, job: Path, out: Path) -> None:
    """Of a table that was filled in where it was written."""
    words = exchange(answers(out), "BB-1", "A", "C")
    result = readback([fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", words)], job)
    assert kinds(result) == [("cables crossed", ("BB-1/A", "BB-1/C"))]
    (punch,) = result.boxes[0].punches
    assert (punch.box, punch.place, punch.number) == ("BB-1", "A, C", 1)
    assert punch.wrong == (
        "cables crossed: the cable of BB-1/C lands on BB-1/A; the cable of BB-1/A lands on BB-1/C"
    )
    assert result.is_wrong


def test_crossed_pipes_come_with_the_revision_that_saves_moving_them(
    tmp_path: Path, job: Path, out: Path
) -> None:
    """Cables landed where the pipes are: its switches, its loads and its new tags."""
    words = answers(out)
    words |= {("BB-1", "FC-1"): words["BB-1", "C"], ("BB-1", "FC-4"): words["BB-1", "A"]}
    result = readback([fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", words)], job)
    (finding,) = result.outline.response[0].findings
    assert finding.to_do.startswith("isolate power, prove it dead, ring out the cables of FC-1, FC-4")
    assert "FC-1 on BB-1/C; FC-4 on BB-1/A" in finding.to_do
    assert finding.expect[:2] == (
        "that revision: no switch moves",
        "its loads: BB-1/A 24/54 kBtu/h, BB-1/C 12/54 kBtu/h",
    )
    assert "BB-1/A/GAS/FC-4" in finding.expect[2]


def test_pipes_that_no_revision_allows_are_moved(tmp_path: Path, job: Path, out: Path) -> None:
    """A pair and a single port: the single one cannot carry the pair's unit."""
    words = answers(out)
    words |= {("BB-1", "FC-1"): words["BB-1", "E"], ("BB-1", "AH-1"): words["BB-1", "A"]}
    result = readback([fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", words)], job)
    (finding,) = result.outline.response[0].findings
    assert finding.kind == "pipes crossed"
    assert "licensed people" in finding.to_do
    steps = [sentence.partition(": ")[2] for sentence in finding.expect]
    assert steps[0] == "stop the system and warn the people who use the rooms"
    proved = steps.index("prove every isolated supply dead; prove the tester before and after")
    moved = steps.index("disconnect FC-1; reconnect at BB-1 A")
    assert proved < steps.index("prove zero pressure on both pipes of each port") < moved
    assert steps[-1].startswith("prove the response")
    assert not [step for step in steps if "cable route" in step or " cut" in step]


def test_nothing_is_ever_to_be_cut(tmp_path: Path, job: Path, out: Path) -> None:
    """Of crossed cables, a cable on a spare port, crossed pipes: neither to do nor to expect."""
    crossed = exchange(answers(out), "BB-1", "A", "C")
    spare = exchange(answers(out) | {("BB-1", "D"): "00000"}, "BB-1", "A", "D")
    own = answers(out)
    pipes = own | {("BB-1", "FC-1"): own["BB-1", "E"], ("BB-1", "AH-1"): own["BB-1", "A"]}
    for at, words in enumerate((crossed, spare, pipes)):
        result = readback([fill_csv(out / "response.csv", tmp_path / f"{at}.csv", words)], job)
        punches = [each for box in result.boxes for each in box.punches]
        texts = [text for each in punches for text in (each.wrong, each.to_do, *each.expect)]
        assert texts
        assert not [text for text in texts if " cut" in text.lower()]
        assert all(
            "isolate" in each.to_do or "read" in each.to_do for box in result.boxes for each in box.punches
        )


def test_a_test_with_options_is_read_with_its_own_calls(tmp_path: Path, job: Path) -> None:
    """response.json beside the table says what was called."""
    out = tmp_path / "cool"
    made(job, out, Asked(without=("FC-1",), cool_only=("FC-5",)))
    table = fill_csv(out / "response.csv", out / "filled.csv", answers(out))
    result = readback([table], job)
    assert (codes(result), kinds(result)) == ([], [])
    (system,) = result.outline.response
    assert [unit.unit for unit in system.units] == ["FC-2", "FC-3", "FC-4", "AH-1", "FC-5", "FC-6"]
    assert system.notes[0] == "left out of this test: FC-1"
    assert not result.is_wrong


def test_readings_of_a_test_that_is_not_at_hand_count_for_nothing(tmp_path: Path, job: Path) -> None:
    """Nobody knows what was called."""
    out = tmp_path / "cool"
    made(job, out, Asked(cool_only=("FC-5",)))
    table = fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", answers(out))
    result = readback([table], job)
    assert codes(result) == ["response-unknown"]
    assert result.outline.response == ()


def test_a_test_of_another_job_counts_for_nothing(tmp_path: Path, job: Path) -> None:
    """Its boxes have the same tags."""
    other = replace(SITE, number="ML-25").write(tmp_path / "other")
    made(other, tmp_path / "other-out")
    table = fill_csv(
        tmp_path / "other-out" / "response.csv",
        tmp_path / "other-out" / "f.csv",
        answers(tmp_path / "other-out"),
    )
    result = readback([table], job)
    assert set(codes(result)) == {"return-foreign", "response-unknown"}
    assert result.outline.response == ()


def test_units_that_changed_since_the_test_are_a_warning(tmp_path: Path, out: Path) -> None:
    """The verdicts are about the plan of the test."""
    units = (UnitSketch("FC-9", "A", "12 kBtu/h"), *SITE.boxes[0].units[1:])
    today = replace(SITE, boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1])).write(
        tmp_path / "today"
    )
    table = fill_csv(out / "response.csv", out / "filled.csv", answers(out))
    result = readback([table], today)
    assert codes(result) == ["return-older"]
    assert "BB-1/A" in result.problems[0].message


def test_ports_that_changed_since_the_test_are_not_seen(tmp_path: Path, out: Path) -> None:
    """Two units exchanged in the plan alone: all was right for the plan of the test, and is crossed today."""
    ports = {"FC-1": "C", "FC-4": "A"}
    units = tuple(replace(unit, port=ports.get(unit.tag, unit.port)) for unit in SITE.boxes[0].units)
    sketch = replace(SITE, boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1]), revision="3")
    today = sketch.write(tmp_path / "today")
    table = fill_csv(out / "response.csv", out / "filled.csv", answers(out))
    result = readback([table], today)
    assert result.outline.response[0].not_seen == ("BB-1/A", "BB-1/C")
    assert result.is_wrong
    made(today, tmp_path / "again")
    again = fill_csv(
        tmp_path / "again" / "response.csv", tmp_path / "again" / "filled.csv", answers(tmp_path / "again")
    )
    assert not readback([table, again], today).is_wrong


@pytest.mark.parametrize("form", [False, True])
def test_a_box_or_unit_that_was_replaced_since_the_test_is_not_seen(
    tmp_path: Path, out: Path, *, form: bool
) -> None:
    """Of another size or capacity under the same tag: it was connected after the test."""
    units = (replace(SITE.boxes[0].units[0], capacity="9 kBtu/h"), *SITE.boxes[0].units[1:])
    boxes = (replace(SITE.boxes[0], units=units), replace(SITE.boxes[1], ports=6))
    today = replace(SITE, boxes=boxes, revision="3").write(tmp_path / "today")
    table = fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", answers(out))
    files = [table, out / "response.json"]
    if form:
        files = [form_of(out, tmp_path / "back" / "form.pdf", answers(out))]
    result = readback(files, today)
    assert codes(result) == ["return-older"]
    replaced, added = {"BB-1/A", "BB-2/A", "BB-2/B"}, {"BB-2/E", "BB-2/F"}
    assert set(result.responses[0].unseen) == replaced | added
    assert sorted(result.problems[0].boxes) == ["BB-1", "BB-2"]
    assert result.is_wrong


def test_a_test_of_a_version_that_did_not_keep_what_was_built_counts(tmp_path: Path, out: Path) -> None:
    """As far as its units are those of today."""
    content = json.loads((out / "response.json").read_text("utf-8"))
    (system,) = content["systems"]
    for port in system["ports"]:
        del port["built"]
    calls = msgspec.convert(system, SystemCalls)
    was, now = system["plan"], calls_digest(SITE.record(), calls.system, calls.ports)
    table = fill_csv(out / "response.csv", tmp_path / "back" / "r.csv", answers(out))
    for file, text in ((table, table.read_text("utf-8")), (out / "response.json", json.dumps(content))):
        file.write_text(text.replace(was, now), "utf-8")
    units = (replace(SITE.boxes[0].units[0], tag="FC-9"), *SITE.boxes[0].units[1:])
    boxes = (replace(SITE.boxes[0], units=units), replace(SITE.boxes[1], ports=6))
    today = replace(SITE, boxes=boxes, revision="3").write(tmp_path / "today")
    result = readback([table, out / "response.json"], today)
    assert codes(result) == ["return-older"]
    assert set(result.responses[0].unseen) == {"FC-9", "BB-1/A", "BB-2/E", "BB-2/F"}


@pytest.mark.parametrize("port", ["C", "D"])
def test_a_unit_planned_since_the_test_is_not_seen(tmp_path: Path, out: Path, port: str) -> None:
    """On a port that was tested, or was spare then: the test shows nothing of it."""
    units = (*SITE.boxes[0].units, UnitSketch("FC-9", port, "9 kBtu/h"))
    today = replace(SITE, boxes=(replace(SITE.boxes[0], units=units), SITE.boxes[1])).write(
        tmp_path / "today"
    )
    table = fill_csv(out / "response.csv", tmp_path / "filled.csv", answers(out))
    result = readback([table, out / "response.json"], today)
    assert result.responses[0].unseen == ("FC-9",)
    assert result.is_wrong


def test_two_files_that_differ_are_a_contradiction(tmp_path: Path, job: Path, out: Path) -> None:
    """What is contradicted counts as not seen; the other rounds say enough."""
    words = answers(out)
    turned = {"H": "C", "C": "H"}
    other = words | {("BB-1", "A"): turned[words["BB-1", "A"][0]] + words["BB-1", "A"][1:]}
    tables = [
        fill_csv(out / "response.csv", tmp_path / "back" / f"{at}.csv", each, lambda row: not row[4])
        for at, each in enumerate((words, other))
    ]
    result = readback(tables, job)
    assert codes(result) == ["return-contradiction"]
    assert result.outline.response[0].ports[0].verdict == "as called"


def test_a_blank_table_says_nothing(job: Path, out: Path) -> None:
    """The folder as it was written: no system has a result, and the walk is what was not seen."""
    result = readback([out], job)
    assert result.outline.response == ()
    assert result.is_wrong


def test_a_form_that_was_filled_in(tmp_path: Path, job: Path, out: Path) -> None:
    """Its hidden text has the calls: it is read without the other files."""
    words = exchange(answers(out), "BB-2", "A", "B")
    result = readback([form_of(out, tmp_path / "back" / "form.pdf", words)], job)
    assert codes(result) == []
    assert kinds(result) == [("cables crossed", ("BB-2/A", "BB-2/B"))]


def test_a_form_of_a_test_with_options_keeps_its_calls(tmp_path: Path, job: Path) -> None:
    """What the job alone does not give."""
    out = tmp_path / "cool"
    made(job, out, Asked(cool_only=("FC-5",)))
    words = answers(out)
    _, *rows = rows_of(out / "response.csv")
    values = {
        f"{box}/response/{port}/{unit}/{at + 1}": letter.lower()
        for _, _, box, port, unit, *_ in rows
        for at, letter in enumerate(words.get((box, port), ""))
    }
    form = tmp_path / "form.pdf"
    form.write_bytes(filled((out / "response.pdf").read_bytes(), dict(values)))
    result = readback([form], job)
    assert (codes(result), kinds(result)) == ([], [])
    assert {unit.verdict for unit in result.outline.response[0].units} == {"as piped"}


def test_a_log_of_temperatures(tmp_path: Path, job: Path, out: Path) -> None:
    """Two units' pipes crossed, read from what a logger kept."""
    words = answers(out)
    columns = [*(f"BB-1/{letter}" for letter in "ABCEF"), "BB-2/A", "BB-2/B"]
    units = {"FC-1": "A", "FC-2": "B", "FC-3": "B", "FC-4": "C", "AH-1": "E"}
    pipes = units | {"FC-1": "C", "FC-4": "A"}
    lines = [["time", "round", *columns, *units]]
    for at in range(len(words["BB-1", "A"])):
        for minute, is_settled in ((0, False), (31, True)):
            called = [words[name.partition("/")[0], name.partition("/")[2]][at] for name in columns]
            called += [words["BB-1", port][at] for port in pipes.values()]
            degrees = [{"H": "120", "C": "45"}[letter] if is_settled else "72" for letter in called]
            lines.append([f"{8 + at:02}:{minute:02}", str(at + 1), *degrees])
    log = tmp_path / "log.csv"
    log.write_text("\n".join(",".join(line) for line in lines), encoding="utf-8")
    result = readback([log], job)
    assert [(each.severity, each.code) for each in result.problems] == [("note", "response-unknown")]
    assert kinds(result) == [("pipes crossed", ("BB-1/A", "BB-1/C"))]
    shutil.copy(out / "response.json", tmp_path)
    again = readback([log], job)
    assert (codes(again), kinds(again)) == ([], kinds(result))


def test_places_that_the_test_does_not_have_are_a_warning(tmp_path: Path, job: Path, out: Path) -> None:
    """A slip in a row or a column is not dropped unseen."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    table.write_text(table.read_text(encoding="utf-8").replace("BB-2,B,,", "BB-2,X,,"), encoding="utf-8")
    log = tmp_path / "log.csv"
    log.write_text("time,round,FC-1,FC-77\n10:00,1,70,70\n", encoding="utf-8")
    shutil.copy(out / "response.json", tmp_path)
    result = readback([table, log], job)
    assert [(each.code, each.message) for each in result.problems] == [
        ("response-unknown", "the response test has no BB-2/X"),
        ("response-unknown", "the response test has no FC-77"),
    ]


def test_a_pair_may_be_written_as_one_row(tmp_path: Path, job: Path, out: Path) -> None:
    """Its readings are those of both stubs."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    text = table.read_text(encoding="utf-8").replace("BB-1,E,,", "BB-1,E+F,,")
    table.write_text(
        "".join(line for line in text.splitlines(keepends=True) if "BB-1,F,," not in line), "utf-8"
    )
    result = readback([table], job)
    assert (codes(result), kinds(result)) == ([], [])
    assert [port.verdict for port in result.outline.response[0].ports if port.port == "E+F"] == ["as called"]


def test_a_log_of_one_of_two_tests_is_not_guessed(tmp_path: Path, job: Path, out: Path) -> None:
    """Two tests of one system at hand: the log names neither."""
    made(job, tmp_path / "other", Asked(cool_only=("FC-5",)))
    log = tmp_path / "log.csv"
    log.write_text("time,round,FC-1\n10:00,1,70\n10:40,1,120\n", encoding="utf-8")
    result = readback([log, out / "response.json", tmp_path / "other" / "response.json"], job)
    assert [(each.severity, each.code) for each in result.problems] == [("error", "response-unknown")]
    assert result.outline.response == ()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a,b\n1,2\n",
        "plan,system,box,port,unit,round 1\nX,,BB-1,A,,Z\n",
        'plan,system,"',
        "time,round,FC-1\nx,1,70\n",
    ],
)
def test_a_table_that_is_none_is_a_problem(tmp_path: Path, job: Path, text: str) -> None:
    """Whatever it holds."""
    path = tmp_path / "x.csv"
    path.write_text(text, encoding="utf-8")
    assert codes(readback([path], job)) == ["return-unreadable"]


def test_a_spreadsheets_own_separators_are_read(tmp_path: Path, job: Path, out: Path) -> None:
    """Semicolons, small letters, the letter O for the figure, a byte order mark."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    text = "\n".join(";".join(row) for row in rows_of(table))
    table.write_text("\ufeff" + text.replace(";H", ";h").replace(";0", ";o"), encoding="utf-8")
    result = readback([table], job)
    assert (codes(result), kinds(result)) == ([], [])


def test_what_was_read_in_part_is_not_seen(tmp_path: Path, job: Path, out: Path) -> None:
    """Stubs alone: the units are listed, and the exit code is 1."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out), lambda row: not row[4])
    result = readback([table], job)
    assert {unit.verdict for unit in result.outline.response[0].units} == {"not seen"}
    assert result.is_wrong


def test_verdicts_are_records_of_plain_json(tmp_path: Path, job: Path, out: Path) -> None:
    """The keys of the contract."""
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    found = msgspec.to_builtins(readback([table], job).outline)["response"][0]
    assert {"system", "ports", "units", "findings"} <= set(found)
    assert {"box", "port", "verdict", "cable_of", "misread"} <= set(found["ports"][0])
    assert {"unit", "box", "port", "verdict", "piped_to", "misread"} <= set(found["units"][0])


def test_a_walk_and_a_test_come_back_together(tmp_path: Path, job: Path, out: Path) -> None:
    """Files of both kinds in one folder, each read as what it is."""
    folder = tmp_path / "back"
    fill_csv(out / "response.csv", folder / "r.csv", exchange(answers(out), "BB-1", "A", "C"))
    shutil.copy(out / "response.json", folder)
    (folder / "phone.json").write_text("{}", encoding="utf-8")
    result = readback([folder], job)
    assert codes(result) == ["return-unreadable"]
    assert kinds(result) == [("cables crossed", ("BB-1/A", "BB-1/C"))]


def test_what_the_walk_found_is_beside_what_the_test_shows(tmp_path: Path, job: Path, out: Path) -> None:
    """A cable that somebody saw on another letter, in the line of the crossing."""
    from tests.site.walks import hand_in, plan_of  # noqa: PLC0415 — this test alone needs a walk

    plan = plan_of(job)
    (walk,) = hand_in(tmp_path, plan, {"BB-1/port/A/cable/found": "FC-4"})
    table = fill_csv(
        out / "response.csv", tmp_path / "r.csv", exchange(answers(out), "BB-1", "A", "C"), lambda _row: True
    )
    result = readback([walk, table], job)
    (crossed,) = [punch for punch in result.boxes[0].punches if punch.place == "A, C"]
    assert crossed.expect[-1] == "the walk found at BB-1 port A: cable found: FC-4, planned: FC-1"


@pytest.mark.parametrize("ports", [257, 2000])
def test_a_response_file_of_more_ports_than_any_test_is_none(tmp_path: Path, job: Path, ports: int) -> None:
    """It would take the square of the time."""
    calls = [{"box": "BB-1", "port": f"A{at}", "units": ["FC-1"], "calls": "HHCC"} for at in range(ports)]
    system = {"system": "", "rounds": 4, "plan": "00000000", "heat_share": [], "ports": calls}
    path = tmp_path / "r.json"
    path.write_text(json.dumps({"systems": [system]}), encoding="utf-8")
    done = response(job, tmp_path / "out", ResponseRequest(since=path))
    assert [problem.code for problem in done.problems] == ["plan-unreadable"]


@pytest.mark.parametrize("text", ["", "{}x", '{"systems": [{"system": "A"}]}'])
def test_a_response_file_that_cannot_be_read_is_reported(tmp_path: Path, job: Path, text: str) -> None:
    """Its tests are not at hand."""
    path = tmp_path / "response.json"
    path.write_text(text, encoding="utf-8")
    assert codes(readback([path], job)) == ["return-unreadable"]


def test_a_log_of_more_rounds_than_the_test_counts_for_nothing(tmp_path: Path, job: Path, out: Path) -> None:
    """It is of another test."""
    rows = [f"{10 + number // 2}:{30 * (number % 2):02},{number},120" for number in range(1, 10)]
    late = [row.replace(":00", ":20").replace(":30", ":50") for row in rows]
    text = "\n".join(["time,round,FC-1", *(row for pair in zip(rows, late, strict=True) for row in pair)])
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    result = readback([tmp_path / "log.csv", out / "response.json"], job)
    assert codes(result) == ["return-contradiction"]
    assert "FC-1" in result.responses[0].unseen

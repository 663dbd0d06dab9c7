"""`response` as a person meets it: what it prints, what it writes, and how it ends."""

import json
from pathlib import Path

from tests.cli.commands import BAKERY, CLINIC, MISTAKES, result, run
from tests.workflows.response_site import answers, exchange, fill_csv


def test_what_is_printed(tmp_path: Path) -> None:
    """The files, and each system with its rounds."""
    done = run("response", CLINIC, "-o", tmp_path / "out")
    assert (done.exit_code, "error" in done.stderr) == (0, False)
    lines = done.stdout.splitlines()
    assert lines[0] == f"{tmp_path / 'out'}:"
    assert [line.split()[0] for line in lines[1:4]] == ["response.pdf", "response.csv", "response.json"]
    assert lines[4].startswith("system HR-1: 16 ports in 7 rounds, ")
    assert lines[5].startswith("system HR-2: 9 ports in 6 rounds, ")


def test_json_is_the_object_of_the_file(tmp_path: Path) -> None:
    """The same keys and values."""
    done = run("response", CLINIC, "-o", tmp_path / "out", "--system", "hr-2", "--json")
    written = json.loads((tmp_path / "out" / "response.json").read_text(encoding="utf-8"))
    assert result(done) == written
    assert [system["system"] for system in written["systems"]] == ["HR-2"]


def test_expected_adds_what_is_called(tmp_path: Path) -> None:
    """In a last column that nobody reads back, and on the sheets."""
    run("response", BAKERY, "-o", tmp_path / "out", "--expected")
    head, first = (tmp_path / "out" / "response.csv").read_text(encoding="utf-8").splitlines()[:2]
    assert head.endswith(",expected")
    assert set(first.rpartition(",")[2]) == {"H", "C"}


def test_errors_of_the_job_write_nothing(tmp_path: Path) -> None:
    """Exit code 1, the problems, and no folder."""
    done = run("response", MISTAKES, "-o", tmp_path / "out")
    assert done.exit_code == 1
    assert "nothing was written" in done.stdout
    assert not (tmp_path / "out").exists()


def test_what_came_back_is_printed(tmp_path: Path) -> None:
    """Findings, what to do, and what no such test shows; exit code 1."""
    out = tmp_path / "out"
    run("response", BAKERY, "-o", out)
    words = answers(out)
    box = next(iter(words))[0]
    one, other = sorted(port for each, port in words if each == box and len(port) == 1)[:2]
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", exchange(words, box, one, other))
    done = run("readback", table, "--job", BAKERY)
    assert done.exit_code == 1
    lines = done.stdout.splitlines()
    assert lines[2] == (
        f"    {box} {one}, {other}: cables crossed: the cable of {box}/{other} lands on {box}/{one}; "
        f"the cable of {box}/{one} lands on {box}/{other}"
    )
    assert lines[3] == (
        "        do: isolate power, prove it dead, ring out each cable end to end, "
        "then land it on its own port"
    )
    assert lines[-1] == "    note: liquid lines that are crossed alone do not show"


def test_all_right_ends_with_0(tmp_path: Path) -> None:
    """A test alone: no walk is missed."""
    out = tmp_path / "out"
    run("response", BAKERY, "-o", out)
    table = fill_csv(out / "response.csv", tmp_path / "r.csv", answers(out))
    done = run("readback", table, "--job", BAKERY)
    assert done.exit_code == 0, done.output


def test_the_punch_list_has_the_findings(tmp_path: Path) -> None:
    """On paper too."""
    out = tmp_path / "out"
    run("response", CLINIC, "-o", out)
    words = exchange(answers(out), "BB-12", "A", "B")
    table = fill_csv(
        out / "response.csv", tmp_path / "r.csv", {key: word.ljust(7, "0") for key, word in words.items()}
    )
    done = run("readback", table, "--job", CLINIC, "-o", tmp_path / "punch.pdf", "--json")
    boxes = {box["box"]: [each["place"] for each in box["punch_list"]] for box in result(done)["boxes"]}
    assert boxes["BB-12"] == ["A, B"]
    assert (tmp_path / "punch.pdf").read_bytes().startswith(b"%PDF")

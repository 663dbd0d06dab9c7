"""`handover` as a person meets it: what it prints, how it ends, the object for other programs."""

import contextlib
import json
import shutil
from pathlib import Path

import pytest

from tests.cli.commands import BAKERY, MISTAKES, result, run


@pytest.fixture
def bakery(tmp_path: Path) -> Path:
    """The smallest example with all that came back from its site."""
    return shutil.copytree(BAKERY, tmp_path / "bakery")


def test_the_example_has_no_open_points(bakery: Path, tmp_path: Path) -> None:
    """Exit code 0; without RETURNED its own folder is read, and gives the same file."""
    done = run("handover", bakery, bakery / "returned", "-o", tmp_path / "one.pdf")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "Tide Street Bakery: no open points",
        f"{tmp_path / 'one.pdf'}: 2 pages, with register.csv, plan.json, read.sha256; not a certificate",
    ]
    with contextlib.chdir(tmp_path):
        assert run("handover", "bakery").exit_code == 0
    assert (tmp_path / "bakery-handover.pdf").read_bytes() == (tmp_path / "one.pdf").read_bytes()


def test_the_set_beside_the_job_is_found(bakery: Path, tmp_path: Path) -> None:
    """As `readback` finds it; --since names another one."""
    with contextlib.chdir(tmp_path):
        assert run("make", "bakery", "--no-proof").exit_code == 0
        assert result(run("handover", "bakery", "--json"))["plan_from"] == "set"
        shutil.move("bakery-out", "elsewhere")
        assert result(run("handover", "bakery", "--json"))["plan_from"] == "job"
        found = run("handover", bakery, "--since", "elsewhere/plan.json", "--json")
        assert result(found)["plan_from"] == "set"


def test_what_is_open_is_printed_and_the_exit_code_is_1(bakery: Path, tmp_path: Path) -> None:
    """Numbered, with what to do; the record is written all the same."""
    file = bakery / "returned" / "walk-BX-1.json"
    text = file.read_text(encoding="utf-8").replace('    "BX-1/item/tested": true,\n', "")
    file.write_text(text, encoding="utf-8")
    done = run("handover", bakery, "-o", tmp_path / "h.pdf")
    assert done.exit_code == 1
    assert done.stdout.splitlines()[:3] == [
        "Tide Street Bakery: NOT COMPLETE: 1 open point",
        "  1. BX-1: Pipes pressure tested, pressure held (installer)",
        "      do: check it, mark it on the sheet, and hand that in",
    ]
    assert (tmp_path / "h.pdf").exists()


def test_a_record_has_the_ending_of_a_pdf(bakery: Path, tmp_path: Path) -> None:
    """So has a punch list: under another ending no viewer opens it."""
    for words in (("handover", bakery), ("readback", bakery / "returned", "--job", bakery)):
        done = run(*words, "-o", tmp_path / "h.txt")
        assert (done.exit_code, (tmp_path / "h.txt").exists()) == (1, False)
        assert "its name must end in .pdf [output-blocked]" in done.stderr


def test_what_is_not_there_is_one_open_point(bakery: Path, tmp_path: Path) -> None:
    """A file, or the plan.json of a set, that was named and is missing: once each, with what to do."""
    done = run("handover", bakery, "none.pdf", "--since", "none.json", "-o", tmp_path / "h.pdf")
    assert done.exit_code == 1
    assert [line.strip() for line in done.stdout.splitlines()[:5]] == [
        "Tide Street Bakery: NOT COMPLETE: 3 open points",
        "1. none.json: none.json does not exist, or is not a plan.json",
        "do: name the plan.json of a whole set that `tagmaker make` wrote",
        "2. none.pdf: none.pdf does not exist",
        "do: name the files that came back, or a folder of them",
    ]


def test_json_is_the_record(bakery: Path, tmp_path: Path) -> None:
    """Every port with how it was proved, every signature, the same digest as on the pages."""
    done = run("handover", bakery, "-o", tmp_path / "h.pdf", "--json")
    found = json.loads(done.stdout)
    assert (done.exit_code, found["problems"], found["open"], found["complete"]) == (0, [], [], True)
    (box,) = found["boxes"]
    assert [port["letter"] for port in box["ports"]] == ["A", "B", "C", "D", "E", "F"]
    assert box["ports"][1]["pipe"] == {
        "planned": ["FC-2", "FC-3"], "result": "as planned", "found": "", "is_proved": True
    }  # fmt: skip
    assert box["ports"][3]["cable"]["is_proved"] is None
    assert box["boards"][1]["banks"][0]["found_on"] == [1, 2]
    assert box["signatures"][2] == {"role": "verifier", "name": "V. C.", "date": "2026-05-22"}
    assert [each["name"] for each in found["files"]] == ["returned/walk-BX-1.json"]
    digest = next(each["sha256"] for each in found["attached"] if each["name"] == "read.sha256")
    assert digest == found["digest"]
    assert found["counts"] == {"as planned": 1, "differs": 0, "not seen": 0}


def test_a_job_with_errors_is_refused(tmp_path: Path) -> None:
    """Nothing is written."""
    done = run("handover", MISTAKES, "-o", tmp_path / "h.pdf")
    assert (done.exit_code, "nothing was written" in done.stdout) == (1, True)
    assert not (tmp_path / "h.pdf").exists()


def test_an_existing_file_is_kept(bakery: Path, tmp_path: Path) -> None:
    """Whatever it is, unless it is a record as it was written."""
    (tmp_path / "h.pdf").write_text("mine", encoding="utf-8")
    done = run("handover", bakery, "-o", tmp_path / "h.pdf")
    assert (done.exit_code, "[output-foreign]" in done.stderr) == (1, True)
    assert (tmp_path / "h.pdf").read_text(encoding="utf-8") == "mine"

"""What somebody filled in or edited in an output folder is never replaced by a later set."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject

from tagmaker.files import output_set as output_set_module
from tagmaker.files.refused import OutputRefused
from tagmaker.files.write import write_file
from tagmaker.problems import Problem
from tagmaker.revisions import plan_pieces as plan_module
from tagmaker.revisions.plan_file import PLAN_FILE, read_manifest
from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make as workflow
from tagmaker.workflows import stocks
from tests.bench.kills import beside, contents, job
from tests.files.sets import NEW, OLD, commit, put, whole

UNPROVED = Selection(proof=False)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """An output folder with the set of revision 1 of the job "job"."""
    folder = tmp_path / "place" / "out"
    assert workflow.make(job(tmp_path / "job", 1), folder, UNPROVED).files
    return folder


def refusal(out: Path) -> Problem:
    """The problem with which revision 2 is refused; the set is as it was, and nothing is beside it."""
    before = contents(out)
    made = workflow.make(job(out.parent.parent / "job", 2), out, UNPROVED)
    assert made.files == ()
    assert (contents(out), beside(out)) == (before, [])
    (problem,) = (each for each in made.checked.problems if each.severity == "error")
    return problem


def fill(path: Path) -> None:
    """A form with every box ticked, saved in its place as a viewer does."""
    writer = PdfWriter(clone_from=PdfReader(path))
    for page in writer.pages:
        for each in page.get("/Annots", []):
            field = each.get_object()
            if field.get("/FT") == "/Btn":
                field[NameObject("/V")] = field[NameObject("/AS")] = NameObject("/Yes")
    writer.write(path)


def test_a_filled_in_walk_is_not_replaced(out: Path) -> None:
    """The file is named with what to do."""
    fill(out / "walk.pdf")
    problem = refusal(out)
    assert (problem.code, problem.where.file) == ("output-changed", str(out / "walk.pdf"))
    assert problem.message == f"{out} holds 'walk.pdf', which changed since it was written"
    assert "move it to another folder" in problem.hint
    assert "readback" in problem.hint


def test_moved_away_it_makes_room_for_the_next_set(out: Path) -> None:
    """As the hint says: a file that is no longer there is no changed one."""
    fill(out / "walk.pdf")
    shutil.move(out / "walk.pdf", out.parent / "filled.pdf")
    assert workflow.make(job(out.parent.parent / "job", 2), out, UNPROVED).files
    assert (out.parent / "filled.pdf").exists()


def test_many_changed_files_are_counted_and_the_first_named(tmp_path: Path) -> None:
    """Five names, and how many more."""
    out = tmp_path / "out"
    names = [f"tags-{number}.pdf" for number in range(7)]
    commit(out, dict.fromkeys(names, "a"))
    later = (out / PLAN_FILE).stat().st_mtime + 10
    for name in names:
        os.utime(out / name, (later, later))
    with pytest.raises(OutputRefused) as refused:
        commit(out, NEW)
    listed = ", ".join(repr(name) for name in names[:5])
    assert refused.value.problem.message.endswith(
        f"holds 7 files that changed since they were written: {listed} and 2 more"
    )


@pytest.mark.parametrize(("old", "new"), [("issued", "draft"), ("\n", "\r\n"), ('"walk.pdf"', '"notes.txt"')])
def test_an_edited_plan_is_not_replaced(out: Path, old: str, new: str) -> None:
    """Its own digest is that of the rest, so that a file added to its list is no file of the set either."""
    content = (out / PLAN_FILE).read_bytes()
    assert old.encode() in content
    (out / PLAN_FILE).write_bytes(content.replace(old.encode(), new.encode()))
    put(out, {"notes.txt": "mine"} if "notes" in new else {})
    assert refusal(out).code in {"output-changed", "output-foreign"}
    if "notes" in new:
        (out / "walk.pdf").unlink()
        assert refusal(out).code == "output-changed"


@pytest.mark.parametrize("name", ["walk.pdf", "register.csv", "walk.html", "placards.pdf"])
def test_any_file_of_the_set_is_kept(out: Path, name: str) -> None:
    """One byte is enough."""
    with (out / name).open("ab") as file:
        file.write(b" ")
    assert refusal(out).where.file == str(out / name)


def test_what_cannot_be_read_counts_as_changed(out: Path) -> None:
    """A folder or a pipe under a file's name: nobody knows what is in it."""
    (out / "walk.pdf").unlink()
    (out / "register.csv").unlink()
    os.mkfifo(out / "walk.pdf")
    (out / "register.csv").mkdir()
    problem = workflow.make(job(out.parent.parent / "job", 2), out, UNPROVED).checked.problems[-1]
    assert problem.message.endswith(
        "holds 2 files that changed since they were written: 'register.csv', 'walk.pdf'"
    )


def test_a_copied_or_touched_set_is_as_it_was_written(out: Path) -> None:
    """Times say nothing where there are digests."""
    shutil.copytree(out, out.with_name("copy"))
    for each in out.with_name("copy").iterdir():
        os.utime(each)
    assert workflow.make(job(out.parent.parent / "job", 2), out.with_name("copy"), UNPROVED).files


# --- sets of an earlier version, which kept no digests ------------------------------------------------------


@pytest.mark.parametrize(("seconds", "is_kept"), [(-60, False), (0, False), (1.9, False), (3, True)])
def test_without_digests_a_file_changed_after_the_plan_is_kept(
    tmp_path: Path, seconds: float, *, is_kept: bool
) -> None:
    """The plan is written last; two seconds are left for file systems that round."""
    out = tmp_path / "out"
    put(out, whole(OLD))
    when = (out / PLAN_FILE).stat().st_mtime + seconds
    os.utime(out / "walk.pdf", (when, when))
    if is_kept:
        with pytest.raises(OutputRefused, match=r"'walk\.pdf', which changed"):
            commit(out, NEW)
        assert whole(OLD)["walk.pdf"] == (out / "walk.pdf").read_text(encoding="utf-8")
    else:
        commit(out, NEW)


# --- changed while the next set is built --------------------------------------------------------------------


@pytest.mark.parametrize("has_exchange", [True, False])
def test_a_form_saved_while_the_next_set_is_built_is_kept(
    out: Path, monkeypatch: pytest.MonkeyPatch, *, has_exchange: bool
) -> None:
    """Looked at again right before the folders change places."""
    if not has_exchange:
        monkeypatch.setattr(output_set_module, "exchange", lambda _one, _other: False)

    def plan_pieces(*words: object) -> Iterator[bytes]:
        fill(out / "walk.pdf")
        return real(*words)  # type: ignore[arg-type]

    real = plan_module.plan_pieces
    monkeypatch.setattr(workflow, "plan_pieces", plan_pieces)
    made = workflow.make(job(out.parent.parent / "job", 2), out, UNPROVED)
    assert (made.files, made.checked.problems[-1].code, beside(out)) == ((), "output-changed", [])
    form = PdfReader(out / "walk.pdf").get_fields() or {}
    assert "/Yes" in {str(field.get("/V")) for field in form.values()}


def test_the_manifest_has_a_digest_of_every_file(out: Path) -> None:
    """Of plan.json too, and the same job gives the same bytes again."""
    manifest = read_manifest(out)
    assert manifest.digests is not None
    assert set(manifest.digests) == manifest.names == set(contents(out) or {})
    assert manifest.is_intact
    before = contents(out)
    assert workflow.make(out.parent.parent / "job", out, UNPROVED).files
    assert contents(out) == before


# --- single files that a command writes where -o says -------------------------------------------------------


def test_a_form_or_a_file_of_another_kind_is_not_replaced(out: Path) -> None:
    """A slip of the hand in `-o`: the walk that was handed in, or the job itself."""
    fill(out / "walk.pdf")
    for path in (out / "walk.pdf", out / "register.csv", out.parent.parent / "job" / "job.toml"):
        before = path.read_bytes()
        assert stocks.draw("letter-30-67x25", path.with_name("x.pdf"), None) == ()
        problem = write_file(path, path.with_name("x.pdf").read_bytes())
        assert problem is not None
        assert (problem.code, path.read_bytes()) == ("output-foreign", before)


def test_an_earlier_drawing_is_replaced(tmp_path: Path) -> None:
    """The same kind of file, and an empty one."""
    (tmp_path / "a.pdf").touch()
    assert stocks.draw("letter-30-67x25", tmp_path / "a.pdf", None) == ()
    assert stocks.draw("a4-21-63x38", tmp_path / "a.pdf", None) == ()
    assert stocks.draw("a4-21-63x38", tmp_path / "a.png", None) == ()
    assert write_file(tmp_path / "a.png", b"%PDF-1.4") is not None

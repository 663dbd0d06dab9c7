"""Single files are old or new, never half, and lines are on disk before they are answered."""

import os
from pathlib import Path

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.write import (
    appending,
    head_for_appending,
    make_folder,
    scratch_file,
    write_file,
    write_synced,
    write_whole,
)
from tagmaker.symbols.png import page_pngs
from tagmaker.typeset.fonts import all_faces


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    """Nothing stays beside it, and a link that a stranger left at the working name is not followed."""
    (tmp_path / "a").write_bytes(b"old")
    (tmp_path / "mine").write_bytes(b"mine")
    (tmp_path / ".a.tagmaker-new").symlink_to(tmp_path / "mine")
    write_whole(tmp_path / "a", b"new")
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {"a": b"new", "mine": b"mine"}


def test_what_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk: the old content, and nothing beside it."""
    (tmp_path / "a").write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="disk full"):
        write_whole(tmp_path / "a", b"new")
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == {"a": b"old"}


@pytest.mark.parametrize(
    ("place", "hint"),
    [
        ("none/a.pdf", "make the folder first, or name another place"),
        ("file/a.pdf", "move the file away that has the name of its folder, or name another place"),
    ],
)
def test_what_cannot_be_written_has_a_hint(place: str, hint: str, tmp_path: Path) -> None:
    """A folder that is missing, or is a file: the problem gives what to do."""
    (tmp_path / "file").write_bytes(b"mine")
    problem = write_file(tmp_path / place, b"new")
    assert problem
    assert (problem.code, problem.hint) == ("output-blocked", hint)


NEW = b"%PDF-1.7\n/Creator (tagmaker)\n%%EOF\n"


@pytest.mark.parametrize(
    ("old", "is_replaced"),
    [
        (NEW.replace(b"1.7", b"1.6"), True),
        (b"", True),
        (NEW + NEW, False),
        (NEW.replace(b"%%EOF", b"/AcroForm %%EOF"), False),
        (NEW.replace(b"%%EOF", b"/EmbeddedFile %%EOF"), False),
        (b"%PDF-1.7\n/ObjStm\n%%EOF\n", False),
        (b"{}", False),
    ],
)
def test_only_a_drawing_of_this_program_is_replaced(tmp_path: Path, old: bytes, *, is_replaced: bool) -> None:
    """A form that was packed or saved on by another program, a scan, a record and a phone's file are kept."""
    (tmp_path / "a.pdf").write_bytes(old)
    problem = write_file(tmp_path / "a.pdf", NEW)
    assert (problem is None) is is_replaced
    assert (tmp_path / "a.pdf").read_bytes() == (NEW if is_replaced else old)


def test_a_drawing_replaces_no_photo(tmp_path: Path) -> None:
    """A PNG of this program names it; another, such as a photo or a screenshot, is kept."""
    named = PngInfo()
    named.add_text("Software", "another program")
    page = Page(20, 20, ())
    drawn = next(page_pngs(draw_pdf("", "", [page], all_faces()), 72, one_bit=False))
    photo = tmp_path / "photo.png"
    for about in (None, named):
        Image.new("L", (4, 4)).save(photo, pnginfo=about)
        before = photo.read_bytes()
        problem = write_file(photo, drawn)
        assert problem
        assert (problem.code, photo.read_bytes()) == ("output-foreign", before)
    (tmp_path / "drawn.png").write_bytes(drawn)
    assert write_file(tmp_path / "drawn.png", drawn) is None


def test_a_new_file_takes_no_others_place(tmp_path: Path) -> None:
    """A name that is taken is an error, never an overwriting."""
    write_synced(tmp_path / "a", [b"o", b"ne"])
    with pytest.raises(FileExistsError):
        write_synced(tmp_path / "a", [b"two"])
    assert (tmp_path / "a").read_bytes() == b"one"


@pytest.mark.parametrize("before", [b"", b"whole\n", b"cut off"])
def test_lines_are_added_after_whole_lines(tmp_path: Path, before: bytes) -> None:
    """Each is in the file when it was added; one that was cut off is marked and ended first."""
    path = tmp_path / "lines"
    path.write_bytes(before)
    assert head_for_appending(path, 5) == before[:5]
    start = before + b"?\n" if before == b"cut off" else before
    with appending(path, b"?") as add:
        add(b"one")
        assert path.read_bytes() == start + b"one\n"
        add(b"two")
    assert path.read_bytes() == start + b"one\ntwo\n"


def test_folders_above_are_made(tmp_path: Path) -> None:
    """One that is there already stays."""
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_scratch_file_keeps_what_is_written() -> None:
    """Until it is closed."""
    with scratch_file() as file:
        file.write(b"x")
        file.seek(0)
        assert file.read() == b"x"

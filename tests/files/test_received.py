"""Files from elsewhere get safe names in a folder of their own, which ends with the block."""

from pathlib import Path

import pytest

from tagmaker.files.received import new_place, temporary_folder


@pytest.mark.parametrize(
    ("name", "own"),
    [
        ("ports.xlsx", "ports.xlsx"),
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\me\\walk.pdf", "walk.pdf"),
        ("..", "file"),
        ("", "file"),
        ("a\x00b\n.csv", "a_b_.csv"),
        ("Größe 1.csv", "Größe 1.csv"),
        ("x" * 300 + ".csv", "x" * 88 + ".csv"),
        ("x" * 300, "x" * 88),
        ("楼" * 90 + ".pdf", "楼" * 29 + ".pdf"),
        ("x" * 90 + "." + "y" * 300, "x" * 88 + "." + "y" * 11),
        ("..pdf", "pdf"),
    ],
)
def test_a_name_is_made_safe(tmp_path: Path, name: str, own: str) -> None:
    """Its last part alone, whatever the system that sent it."""
    with new_place(tmp_path).file(name) as (path, write):
        write(b"a")
    assert path.name == own
    assert path.parent.parent == tmp_path
    assert path.read_bytes() == b"a"


def test_names_that_are_taken_are_numbered(tmp_path: Path) -> None:
    """In any case of letters: some systems hold both for one."""
    place = new_place(tmp_path)
    names = []
    for name in ("walk.pdf", "WALK.pdf", "walk.pdf", "walk", "walk"):
        with place.file(name) as (path, _write):
            names.append(path.name)
    assert names == ["walk.pdf", "WALK-2.pdf", "walk-3.pdf", "walk", "walk-2"]


def test_the_folder_ends_with_its_block() -> None:
    """With all that is in it."""
    with temporary_folder() as folder:
        with new_place(folder).file("a") as (path, write):
            write(b"a")
        assert path.exists()
    assert not folder.exists()

"""Files as one ZIP, sent piece by piece."""

import hashlib
import io
import zipfile
from pathlib import Path

import pytest

from tagmaker.files.zipped import OtherContent, zip_pieces

NUMBERS = (hashlib.sha256(str(number).encode()).digest() for number in range(100_000))
LARGE = b"".join(NUMBERS)  # several pieces, which no ZIP makes smaller


def files_in(folder: Path) -> list[tuple[str, Path, str]]:
    """Three files, one of them empty, with their digests."""
    contents = {"a.pdf": b"first", "png/a-1.png": LARGE, "plan.json": b""}
    for name, content in contents.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    return [
        (f"set/{name}", folder / name, hashlib.sha256(content).hexdigest())
        for name, content in contents.items()
    ]


def test_a_zip_holds_the_files_byte_for_byte_under_their_names(tmp_path: Path) -> None:
    """In their order, folders kept; the same bytes at any time."""
    files = files_in(tmp_path)
    content = b"".join(zip_pieces(files))
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.testzip() is None
        assert archive.namelist() == [name for name, _, _ in files]
        assert [archive.read(name) for name, path, _ in files] == [path.read_bytes() for _, path, _ in files]
    (tmp_path / "a.pdf").touch()
    assert b"".join(zip_pieces(files)) == content


def test_no_piece_is_as_large_as_the_file(tmp_path: Path) -> None:
    """Memory holds one piece, whatever a file's size."""
    pieces = list(zip_pieces(files_in(tmp_path)))
    assert max(map(len, pieces)) < len(LARGE) // 2


def test_a_file_that_changed_ends_the_zip_before_its_directory(tmp_path: Path) -> None:
    """Nobody takes what was sent until then for a whole one."""
    files = files_in(tmp_path)
    (tmp_path / "png" / "a-1.png").write_bytes(LARGE[:-1] + b"x")
    sent: list[bytes] = []
    with pytest.raises(OtherContent, match=r"a-1\.png"):
        sent.extend(zip_pieces(files))
    with pytest.raises(zipfile.BadZipFile):
        zipfile.ZipFile(io.BytesIO(b"".join(sent)))


def test_a_file_that_is_gone_ends_it_too(tmp_path: Path) -> None:
    """With the system's reason."""
    files = files_in(tmp_path)
    (tmp_path / "plan.json").unlink()
    with pytest.raises(FileNotFoundError):
        list(zip_pieces(files))

"""Files that others wrote are read whole and within a limit; what never ends is not waited for."""

import os
from pathlib import Path

import pytest

from tagmaker.files.plain import is_folder, is_plain_file, is_there, read_plain


def test_a_plain_file_is_read_whole(tmp_path: Path) -> None:
    """Byte for byte, up to the limit itself, an empty one too."""
    for content in (b"", b"a\r\n\0\xff", b"x" * 3_000_000):
        (tmp_path / "file").write_bytes(content)
        assert read_plain(tmp_path / "file", len(content)) == content


def test_a_file_over_the_limit_is_refused(tmp_path: Path) -> None:
    """By what is read, whatever its size is said to be."""
    (tmp_path / "file").write_bytes(b"x" * 2_000_001)
    with pytest.raises(OSError, match="larger than 2 MB"):
        read_plain(tmp_path / "file", 2_000_000)


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/tty", "/dev/full"])
def test_a_device_is_refused(device: str) -> None:
    """A device that never ends is not read from at all."""
    with pytest.raises(OSError, match=r"not a regular file|No such device|No such file|Permission"):
        read_plain(Path(device), 1000)


def test_a_pipe_that_nobody_writes_is_refused_at_once(tmp_path: Path) -> None:
    """Opening it would wait for a writer for ever."""
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(OSError, match="not a regular file"):
        read_plain(tmp_path / "pipe", 1000)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """As the system says it."""
    with pytest.raises(IsADirectoryError):
        read_plain(tmp_path, 1000)


@pytest.mark.parametrize(
    ("name", "expected"), [("here", True), ("gone", False), ("x" * 5000, False), ("loop/a", False)]
)
def test_what_leads_nowhere_is_not_there(name: str, *, expected: bool, tmp_path: Path) -> None:
    """A name that is too long for the system, or a loop of links, is no more there than what is gone."""
    (tmp_path / "here").touch()
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert is_there(tmp_path / name) == is_plain_file(tmp_path / name) == expected
    assert not is_folder(tmp_path / name)

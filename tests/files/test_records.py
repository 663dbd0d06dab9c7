"""Records of a file, read one by one."""

from pathlib import Path

from tagmaker.files.records import read_record, records_written, remove_records


def test_each_record_is_read_by_itself(tmp_path: Path) -> None:
    """In any order, an empty one too."""
    contents = [b"first", b"", b"\0" * 1000, b"last"]
    path = tmp_path / "records"
    with records_written(path) as add:
        places = [add(each) for each in contents]
    assert [read_record(path, at) for at in reversed(places)] == contents[::-1]


def test_a_file_that_is_gone_is_removed_again(tmp_path: Path) -> None:
    """Nobody waits for it."""
    path = tmp_path / "records"
    with records_written(path) as add:
        add(b"x")
    for _ in range(2):
        remove_records(path)
        assert not path.exists()

"""A new folder with files in it: whole or not at all; what is there is never touched."""

from pathlib import Path

import pytest

from tagmaker.files.lock import locked
from tagmaker.files.new_folder import check_new_folder, write_folder
from tagmaker.problems import Problem, Where, warning

WARNING = warning("spare-in-middle", "a spare port in the middle", Where("job.toml", 1))
FILES = {"a.txt": b"a", "b.txt": b"b"}


def names(folder: Path) -> list[str]:
    """What stands in a folder."""
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("place", ["new", "deep/in/new", "empty"])
def test_a_new_folder_is_written(place: str, tmp_path: Path) -> None:
    """Where nothing is, or an empty folder; nothing is left beside it."""
    (tmp_path / "empty").mkdir()
    folder = tmp_path / place
    assert check_new_folder(folder) is None
    assert write_folder(folder, FILES, lambda _: (True, ())) == (True, ())
    assert names(folder) == ["a.txt", "b.txt"]
    assert names(folder.parent) in (["empty", "new"], ["new"], ["empty"])


def test_what_is_not_good_is_not_written(tmp_path: Path) -> None:
    """It is seen whole beside its place, then it is gone."""
    seen: list[list[str]] = []

    def look(work: Path) -> tuple[bool, tuple[Problem, ...]]:
        seen.append(names(work))
        return False, (WARNING,)

    folder = tmp_path / "new"
    assert write_folder(folder, FILES, look) == (False, (WARNING,))
    assert (seen, names(tmp_path)) == ([["a.txt", "b.txt"]], [])


def test_a_folder_with_something_in_it_is_refused(tmp_path: Path) -> None:
    """Or a file of that name."""
    (tmp_path / "x").write_bytes(b"x")
    for folder in (tmp_path, tmp_path / "x"):
        problem = check_new_folder(folder)
        assert problem
        assert problem.code == "output-foreign"


def test_the_folder_where_one_stands_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It would be replaced under one's feet."""
    monkeypatch.chdir(tmp_path)
    problem = check_new_folder(Path())
    assert problem
    assert problem.code == "output-blocked"


def test_a_place_under_a_file_is_a_problem(tmp_path: Path) -> None:
    """Not an exception."""
    (tmp_path / "x").write_bytes(b"x")
    written, problems = write_folder(tmp_path / "x" / "new", FILES, lambda _: (True, ()))
    assert (written, [problem.code for problem in problems]) == (False, ["output-blocked"])


def test_a_name_that_the_system_refuses_is_a_problem(tmp_path: Path) -> None:
    """Longer than a file's name may be: 255 bytes on common file systems (from memory)."""
    problem = check_new_folder(tmp_path / ("x" * 300))
    assert problem
    assert problem.code == "output-blocked"
    assert problem.message.startswith(f"cannot write {tmp_path}")


def test_a_folder_that_another_run_is_writing_is_left_to_it(tmp_path: Path) -> None:
    """The second run is refused before it writes anything."""
    folder = tmp_path / "new"
    with locked(folder):
        written, problems = write_folder(folder, FILES, lambda _: (True, ()))
    assert not written
    assert [problem.message for problem in problems] == [f"another run is writing {folder}"]
    assert names(tmp_path) == []


def test_a_folder_that_filled_up_meanwhile_is_kept(tmp_path: Path) -> None:
    """The last look is the system's own."""
    folder = tmp_path / "new"

    def fill(_: Path) -> tuple[bool, tuple[Problem, ...]]:
        folder.mkdir()
        (folder / "mine.txt").write_bytes(b"mine")
        return True, (WARNING,)

    written, problems = write_folder(folder, FILES, fill)
    assert (written, [problem.code for problem in problems]) == (False, [WARNING.code, "output-blocked"])
    assert names(folder) == ["mine.txt"]

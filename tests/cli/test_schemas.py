"""`schemas` as a person meets it: a line a file, or problems."""

from tests.cli.commands import run, there


def test_each_file_is_named() -> None:
    """Written into a folder that is there."""
    done = run("schemas", ".")
    assert (done.exit_code, done.stderr) == (0, "")
    assert sorted(line.removeprefix("./") for line in done.stdout.splitlines()) == there()


def test_a_folder_that_is_not_there_is_a_problem() -> None:
    """1, one problem, and no file named."""
    done = run("schemas", "none")
    assert (done.exit_code, done.stdout, there()) == (1, "", [])
    assert done.stderr.splitlines() == [
        "none: error: none does not exist [output-blocked]",
        "    name an existing folder",
    ]

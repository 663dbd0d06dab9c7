"""What the tests of `scan` scan: codes of the library's job as a file of lines, held against it."""

from pathlib import Path

from typer.testing import Result

from tests.cli.commands import run
from tests.site.papers import library, placards

__all__ = ["CROSSED", "FIRST", "MOVE_IT", "SECOND", "A", "B", "lines", "scanned"]

FIRST, SECOND = placards(library())
A = ["BB-1/A/TRM", "BB-1/A/COM", "BB-1/A/LIQ", "BB-1/A/GAS"]
B = ["BB-1/B/TRM", "BB-1/B/COM", "BB-1/B/LIQ", "BB-1/B/GAS"]
MOVE_IT = "isolate power, prove it dead, ring this cable out, and move it to BB-1"
"""What a crossing of a cable asks for, up to the letter that it goes to."""
CROSSED = [A[0], B[1], *A[2:], B[0], A[1], *B[2:]]
"""A and B, their cables in each other's terminals."""


def lines(codes: list[str], name: str = "scans.txt") -> str:
    """A file of lines; its name."""
    Path(name).write_text("".join(f"{code}\n" for code in codes), encoding="utf-8")
    return name


def scanned(codes: list[str], *words: str) -> Result:
    """A file of these lines scanned against the job."""
    return run("scan", lines(codes), "--job", "job", *words)

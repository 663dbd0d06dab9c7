"""Whatever somebody else wrote into a file, a problem comes back or an answer, and no exception."""

import contextlib
import io
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tagmaker.revisions.selection import Selection
from tagmaker.workflows import make, planning
from tests.bench.fuzz_seeds import seeds_of, words_of
from tests.bench.fuzz_targets import SAME_JOB, TARGETS
from tests.job_files import BOX, HEAD, UNIT, write_files

EXAMPLES = 40
SLOW = {
    "stock": 20,
    "family": 20,
    "scanned-pdf": 20,
    "returned-pdf": 25,
}  # examples of those that take longer
ODD = (
    b"\x00",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\r",
    b"[" * 99,
    b'"' * 3,
    b"9" * 99,
    "\u202e".encode(),
    b"../" * 9,
)


@cache
def seeds(name: str) -> list[bytes]:
    """The files from which a reader's inputs are made."""
    return [each for each in seeds_of(name) if len(each) < 40_000]


@st.composite
def mutated(draw: st.DrawFn, name: str) -> bytes:
    """A file of the kind with a few things cut out, put in, written over or doubled; or no such file."""
    if draw(st.integers(0, 9)) == 0:
        return draw(st.binary(max_size=200))
    content = draw(st.sampled_from(seeds(name)))
    words = [word.encode() for word in words_of(name)]
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(content)))
        to = min(len(content), at + draw(st.integers(0, 40)))
        piece = draw(
            st.one_of(st.sampled_from([*words, *ODD]), st.binary(max_size=6), st.just(content[at:to] * 2))
        )
        content = content[:at] + piece + content[to if draw(st.booleans()) else at :]
    return content


def everything(folder: Path) -> dict[str, bytes]:
    """Every file in a folder and below."""
    return {str(each.relative_to(folder)): each.read_bytes() for each in folder.rglob("*") if each.is_file()}


@pytest.mark.parametrize("name", TARGETS)
def test_a_reader_answers_whatever_it_is_given(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every problem can be told, as text and as JSON; no file is touched but those of the reader's folder."""
    if name in SAME_JOB:
        monkeypatch.setattr(planning, "plan", cache(planning.plan))
    work = tmp_path / "work"
    work.mkdir()
    (tmp_path / "mine").write_text("mine", encoding="utf-8")

    @settings(max_examples=EXAMPLES, deadline=None, derandomize=True, database=None,
        suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(mutated(name))
    def answers(data: bytes) -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            TARGETS[name](data, work)

    answers()
    assert {name for name in everything(tmp_path) if not name.startswith("work/")} == {"mine"}


NAMES = st.text(st.characters(codec="utf-8", min_codepoint=32, max_codepoint=255), min_size=1, max_size=12)


@settings(max_examples=15, deadline=None, derandomize=True, database=None)
@given(name=NAMES, room=NAMES)
def test_a_set_is_written_into_its_folder_and_nowhere_else(
    name: str, room: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever the job's names are; a job with errors writes nothing at all."""
    text = HEAD.replace("Tide Street Bakery", "{name}") + BOX + UNIT + 'room = "{room}"\n'
    quoted = {
        key: value.replace("\\", "\\\\").replace('"', '\\"')
        for key, value in (("name", name), ("room", room))
    }
    work = tmp_path_factory.mktemp("any")
    job = write_files(work / "job", {"job.toml": text.format(**quoted)})
    before = everything(work)
    made = make.make(job, work / "out", selection=Selection(proof=False))
    written = {f"out/{name}" for name, _ in made.files}
    assert everything(work).keys() - before.keys() == written
    assert {name: before[name] for name in before} == {name: everything(work)[name] for name in before}

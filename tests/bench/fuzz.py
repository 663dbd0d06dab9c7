"""Coverage-guided fuzzing of everything that reads what others wrote.

Run: python -m tests.bench.fuzz TARGET [seconds], or `all` for every target in turn; needs the extra `fuzz`
(pip install -e '.[fuzz]'). Every finding – an exception that reaches the caller, an input that takes longer
than SLOW_S or more memory than MEMORY_MB – is told once a place in the code, with the file of the input
that shows it. The exit code is 1 where there is one.
"""

import contextlib
import importlib
import io
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from tests.bench.fuzz_seeds import seeds_of, words_of
from tests.bench.fuzz_targets import SAME_JOB, TARGETS

SLOW_S = 5.0
MEMORY_MB = 2048
LONGEST = 60_000  # bytes of an input
SECONDS = 120
INSTRUMENTED = ["tagmaker", "pypdf", "openpyxl"]


@dataclass
class Findings:
    """What went wrong, once a place in the code; the inputs are kept in a folder."""

    folder: Path
    seen: set[str] = field(default_factory=set)

    def note(self, what: str, told: str, data: bytes) -> None:
        """Keep an input, unless its place was seen before."""
        if what in self.seen:
            return
        self.seen.add(what)
        name = "".join(sign if sign.isalnum() else "-" for sign in what)[:100]
        (self.folder / name).write_bytes(data)
        (self.folder / f"{name}.txt").write_text(f"{what}\n{told}\n", encoding="utf-8", errors="replace")


def _place(reason: BaseException) -> str:
    """The exception's kind and the innermost of the program's own lines that it came through."""
    frames = traceback.extract_tb(reason.__traceback__)
    own = [frame for frame in frames if "tagmaker" in frame.filename] or frames
    return f"{type(reason).__name__} at {Path(own[-1].filename).name}:{own[-1].lineno}"


def run_one(target: Callable[[bytes, Path], None], data: bytes, work: Path, findings: Findings) -> None:
    """One input: whatever it raises, and how long it takes, is noted and not raised."""
    began = time.process_time()
    silence = io.StringIO()
    try:
        with contextlib.redirect_stdout(silence), contextlib.redirect_stderr(silence):
            target(data, work)
    except BaseException as reason:  # noqa: BLE001 — a finding, whatever it is
        findings.note(_place(reason), traceback.format_exc(limit=-12), data)
    if (taken := time.process_time() - began) > SLOW_S:
        findings.note(f"slow after {len(data) // 1000} kB", f"{taken:.1f} s", data)


def child(name: str, seconds: int, folder: Path) -> None:
    """The fuzzer itself, in a process of its own: libFuzzer ends the process that it runs in."""
    import atheris  # noqa: PLC0415 — no wheel for every Python, so no requirement

    with atheris.instrument_imports(include=INSTRUMENTED):
        for module in ("comparing", "explaining", "readback", "scanning"):
            importlib.import_module(f"tagmaker.{module}")
    target = TARGETS[name]
    if name in SAME_JOB:
        planning = importlib.import_module("tagmaker.workflows.planning")
        planning.plan = cache(planning.plan)  # type: ignore[attr-defined]
    corpus, work = folder / "corpus", folder / "work"
    findings = Findings(folder / "findings")
    for made in (corpus, work, findings.folder):
        made.mkdir(exist_ok=True)
    for number, seed in enumerate(seeds_of(name)):
        (corpus / f"seed-{number:02d}").write_bytes(seed)
    (folder / "words").write_text("".join(f'"{word}"\n' for word in words_of(name)), encoding="utf-8")
    options = [
        f"-max_total_time={seconds}", f"-max_len={LONGEST}", f"-rss_limit_mb={MEMORY_MB}",
        "-timeout=60", f"-dict={folder / 'words'}", f"-artifact_prefix={findings.folder}/stopped-",
        "-print_final_stats=1", "-verbosity=0", "-len_control=20",
    ]  # fmt: skip
    atheris.Setup(["fuzz", *options, str(corpus)], lambda data: run_one(target, data, work, findings))
    atheris.Fuzz()


def fuzz(name: str, seconds: int, *, keep: Path | None = None) -> int:
    """Fuzz a target for so long; how many findings there are."""
    folder = Path(tempfile.mkdtemp(prefix=f"fuzz-{name}-", dir=keep))
    call = [sys.executable, "-m", "tests.bench.fuzz", "--child", name, str(seconds), str(folder)]
    run = subprocess.run(call, capture_output=True, text=True, errors="replace", check=False)
    stats = dict(
        line.removeprefix("stat::").split(":", 1)
        for line in run.stderr.splitlines()
        if line.startswith("stat::")
    )
    kept = folder / "findings"
    found = sorted(kept.glob("*.txt")) if kept.exists() else []
    stopped = sorted(kept.glob("stopped-*")) if kept.exists() else []
    count = stats.get("number_of_executed_units", "?").strip()
    memory = stats.get("peak_rss_mb", "?").strip()
    told = f"{name}: {count} inputs in {seconds} s, {memory} MB, {len(found) + len(stopped)} findings"
    print(told)  # noqa: T201 — the program's result
    for each in found:
        print(f"--- {each}\n{each.read_text(encoding='utf-8')}")  # noqa: T201
    for each in stopped:
        print(f"--- {each}: too slow or too large, or killed")  # noqa: T201
    if run.returncode and not stopped:
        print(run.stderr[-3000:])  # noqa: T201
    return len(found) + len(stopped) + int(run.returncode != 0)


def main(words: list[str]) -> int:
    """The program; its exit code."""
    if words and words[0] == "--child":
        child(words[1], int(words[2]), Path(words[3]))
        return 0
    try:
        import atheris  # noqa: F401, PLC0415 — as above
    except ImportError:
        print("atheris is not installed: pip install -e '.[fuzz]'", file=sys.stderr)  # noqa: T201
        return 2
    if not words or (words[0] not in TARGETS and words[0] != "all"):
        print(f"python -m tests.bench.fuzz TARGET [seconds]; targets: all {' '.join(TARGETS)}")  # noqa: T201
        return 2
    seconds = int(words[1]) if len(words) > 1 else SECONDS
    chosen = list(TARGETS) if words[0] == "all" else [words[0]]
    return int(sum(fuzz(name, seconds) for name in chosen) > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""The readers that are fuzzed: each takes bytes as somebody else wrote them, and must only answer."""

import json
import random
from collections.abc import Callable
from pathlib import Path

import msgspec

from tests.bench.fuzz_seeds import BAKERY, THREE, bakery_text
from tests.job_files import BOX, HEAD, UNIT
from tests.workbooks import handmade

ONE_BOX = f'{HEAD}{BOX}{UNIT}liquid = "3/8 in"\ncable = "0.26 in"\n'
ROUNDS = 16  # one input in so many goes all the way to the laid-out set, which takes long


def job(data: bytes, work: Path) -> None:
    """A job.toml, read and planned; now and then laid out too."""
    from tagmaker.workflows import check, planning  # noqa: PLC0415 — instrumented by the fuzzer before it is imported

    (work / "job.toml").write_bytes(data)
    checked = planning.plan(work)
    if checked.plan and sum(data) % ROUNDS == 0 and len(checked.plan.boxes) < ROUNDS:
        checked = check.check(work)
    _tell(checked.problems)


def family(data: bytes, work: Path) -> None:
    """A family of the job's own."""
    from tagmaker.catalog.family import load_family  # noqa: PLC0415
    from tagmaker.problems import Where  # noqa: PLC0415
    from tagmaker.workflows import explain as explaining  # noqa: PLC0415 — as above
    from tagmaker.workflows import planning  # noqa: PLC0415 — as above

    _put(work, "families/own.toml", data)
    found, problems = load_family("own", work, Where("job.toml"))
    _tell(problems)
    if found is None:
        return
    (work / "job.toml").write_text(bakery_text().replace('"four-port-boards"', '"own"'), encoding="utf-8")
    _tell(planning.plan(work).problems)
    answer = explaining.explain(
        explaining.Question("own", 6, "left bank 1: 1 2; right none", "A spare"), work
    )
    _tell(answer.problems)


def stock(data: bytes, work: Path) -> None:
    """A stock of the job's own, used for everything."""
    from tagmaker.catalog.stock import load_stock  # noqa: PLC0415
    from tagmaker.problems import Where  # noqa: PLC0415
    from tagmaker.workflows import check  # noqa: PLC0415 — as above
    from tagmaker.workflows import stocks as stock_tools  # noqa: PLC0415 — as above

    _put(work, "stocks/own.toml", data)
    found, problems = load_stock("own", "", work, Where("job.toml"))
    _tell(problems)
    if found is None and sum(data) % ROUNDS:
        return
    _tell(stock_tools.draw("own", work / "own.pdf", work))
    uses = ("pipe", "pipe_rough_in", "cable", "terminal", "locator", "placard")
    chosen = uses[sum(data) % len(uses)]
    text = ONE_BOX + f'\n[print]\n{chosen} = "own"\nterminal_pitch = "0.4 in"\n'
    (work / "job.toml").write_text(text, encoding="utf-8")
    _tell(check.check(work).problems)


def csv(data: bytes, work: Path) -> None:
    """A schedule in CSV."""
    from tagmaker.workflows import planning  # noqa: PLC0415 — as above

    (work / "ports.csv").write_bytes(data)
    (work / "job.toml").write_text(
        (THREE / "job.toml").read_text(encoding="utf-8").replace("schedule.csv", "ports.csv"),
        encoding="utf-8",
    )
    _put(work, "families/three-port-boards.toml", next((THREE / "families").glob("*.toml")).read_bytes())
    _tell(planning.plan(work).problems)


def xlsx(data: bytes, work: Path) -> None:
    """A workbook: the bytes of its packed file, or, where they are none, the XML of its one sheet."""
    from tagmaker.cli.options import json_object  # noqa: PLC0415 — as above
    from tagmaker.cli.read import read_lines  # noqa: PLC0415
    from tagmaker.workflows import read as schedules  # noqa: PLC0415

    path = work / "ports.xlsx"
    if data.startswith(b"PK"):
        path.write_bytes(data)
    else:
        handmade(path, {"S": data.decode(errors="replace")}, ("unit", "box", "port", "MBH", "FC-1", "BX-1"))
    understood = schedules.read(path, None)
    json_object(understood.outline)
    read_lines(understood)
    _tell(understood.problems)


def plan(data: bytes, work: Path) -> None:
    """The plan.json of an earlier set, compared with the job of today."""
    from tagmaker.catalog.words import load_words  # noqa: PLC0415 — as above
    from tagmaker.problems import Problem  # noqa: PLC0415
    from tagmaker.revisions.compare import compare  # noqa: PLC0415
    from tagmaker.revisions.plan_file import read_plan_file  # noqa: PLC0415
    from tagmaker.revisions.work_lines import work_of_changes  # noqa: PLC0415

    (work / "plan.json").write_bytes(data)
    (work / "now.json").write_bytes(_now())
    was, now = read_plan_file(work / "plan.json"), read_plan_file(work / "now.json")
    if isinstance(was, Problem):
        _tell((was,))
        return
    if isinstance(now, Problem):
        raise TypeError(now.message)
    work_of_changes(compare(was, now), load_words())
    work_of_changes(compare(now, was), load_words())


def scans(data: bytes, work: Path) -> None:
    """Lines as a hand scanner types them, judged against a job and rebuilt."""
    from tagmaker.cli.options import json_object  # noqa: PLC0415 — as above
    from tagmaker.cli.scan import answer_lines, summary_lines  # noqa: PLC0415
    from tagmaker.workflows import scan as workflow  # noqa: PLC0415

    lines = data.decode(errors="replace").splitlines(keepends=True)
    session = work / "session.txt"
    session.unlink(missing_ok=True)
    half = len(lines) // 2
    session.write_text("".join(lines[:half]), encoding="utf-8")
    printed: list[workflow.Answer] = []
    scanned = workflow.scan([Path("-")], workflow.Against(BAKERY), session, lines[half:], printed.append)
    for answer in printed:
        answer_lines(answer)
    json_object(scanned.outline)
    json_object(scanned.rebuilt)
    summary_lines(scanned)
    _tell(scanned.problems)


def picture(data: bytes, work: Path) -> None:
    """A photo, or what is named like one."""
    _scan_file(data, work, "photo.png" if data[:1] == b"\x89" else "photo.jpg")


def scanned_pdf(data: bytes, work: Path) -> None:
    """A PDF whose codes are read."""
    _scan_file(data, work, "scan.pdf")


def returned_pdf(data: bytes, work: Path) -> None:
    """A form that came back from the walk."""
    _read_back(data, work, "walk.pdf")


def returned_json(data: bytes, work: Path) -> None:
    """A phone's file that came back from the walk."""
    _read_back(data, work, "walk.json")


def words(data: bytes, work: Path) -> None:
    """What a technician types into `explain`."""
    from tagmaker.cli.explain import explained_lines  # noqa: PLC0415 — as above
    from tagmaker.cli.options import json_object  # noqa: PLC0415
    from tagmaker.workflows import explain as explaining  # noqa: PLC0415

    text = data.decode(errors="replace")
    found, _, wish = text.partition("\n")
    ports = random.Random(len(text)).choice((4, 6, 8, 10, 12))  # noqa: S311 — of the input alone
    for name, folder in (("four-port-boards", None), ("three-port-boards", THREE)):
        answer = explaining.explain(explaining.Question(name, ports, found, wish), folder)
        json_object(answer.outline)
        explained_lines(answer)
        _tell(answer.problems)
    explaining.ask(lambda _question: text, explaining.Question("", 0, "", ""))
    del work


def quantities(data: bytes, work: Path) -> None:
    """Cells and headers with quantities."""
    from tagmaker.catalog.columns import plain_word  # noqa: PLC0415 — as above
    from tagmaker.units import number_text, read_capacity, read_length, unit_word  # noqa: PLC0415

    text, _, unit = data.decode(errors="replace").partition("\n")
    for header in ("", "kBtu/h", unit_word(unit, "capacity"), unit_word(unit, "length")):
        for read in (read_capacity, read_length):
            found = read(text, unit_word(header, "length" if read is read_length else "capacity"))
            value = getattr(found, "btuh", None) or getattr(found, "mm", None)
            if value is not None:
                number_text(value)
    plain_word(text)
    del work


TARGETS: dict[str, Callable[[bytes, Path], None]] = {
    "job": job,
    "family": family,
    "stock": stock,
    "csv": csv,
    "xlsx": xlsx,
    "plan": plan,
    "scans": scans,
    "picture": picture,
    "scanned-pdf": scanned_pdf,
    "returned-pdf": returned_pdf,
    "returned-json": returned_json,
    "words": words,
    "quantities": quantities,
}
"""Every target by its name."""
SAME_JOB = {"scans", "returned-pdf", "returned-json"}
"""Those that hold their input against a job that stays the same, and so may be planned once."""

_MADE: dict[str, bytes] = {}


def _now() -> bytes:
    """The plan.json of the bakery as it is today, made once."""
    if "now" not in _MADE:
        from tests.bench.fuzz_seeds import plan_of  # noqa: PLC0415 — slow

        _MADE["now"] = plan_of(BAKERY)
    return _MADE["now"]


def _put(work: Path, name: str, data: bytes) -> None:
    path = work / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(data)


def _scan_file(data: bytes, work: Path, name: str) -> None:
    from tagmaker.problems import Problem  # noqa: PLC0415
    from tagmaker.site.scans.sources import read_file  # noqa: PLC0415 — as above

    (work / name).write_bytes(data)
    for found in read_file(work / name):
        _tell((found,) if isinstance(found, Problem) else ())


def _read_back(data: bytes, work: Path, name: str) -> None:
    from tagmaker.cli.options import json_object  # noqa: PLC0415
    from tagmaker.cli.readback import readback_lines  # noqa: PLC0415
    from tagmaker.problems import Problem  # noqa: PLC0415
    from tagmaker.site.walk.returns import read_returns  # noqa: PLC0415
    from tagmaker.workflows import readback as stages  # noqa: PLC0415 — as above
    from tagmaker.workflows.punch_list import write_punch_list  # noqa: PLC0415

    (work / name).write_bytes(data)
    if sum(data) % ROUNDS:
        _tell(each for each in read_returns([work / name]) if isinstance(each, Problem))
        return
    result = stages.readback([work / name], BAKERY)
    json_object(result.outline)
    readback_lines(result)
    _tell(result.problems)
    write_punch_list(result, work / "punch.pdf")


def _tell(problems: object) -> None:
    """Every problem must be tellable, in both ways."""
    for problem in problems:  # type: ignore[attr-defined]
        problem.as_text().encode(errors="backslashreplace")
        json.dumps(msgspec.to_builtins(problem.outline))

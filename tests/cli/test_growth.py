"""Every command takes twice the work for twice the boxes: calls are counted, the clock is not asked."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tagmaker.plan.model import Plan
from tagmaker.plan.response import Asked
from tagmaker.workflows.response import ResponseRequest, response
from tests.cli.commands import run
from tests.growth import grown
from tests.job_files import write_files
from tests.site.walks import Values, as_planned, phone, plan_of
from tests.workflows.response_site import Answers, answers, fill_csv

FEW, MANY = 6, 12  # boxes; from 15 on other processes do part of the work, uncounted
HEAD = """[job]
name = "Harbour Row"
family = "four-port-boards"
number = "HBR-7"
revision = {revision}
schedule = "ports.csv"
"""
SYSTEM = """
[[system]]
tag = "HR-{number}"
outdoor = "CU-{number}"
capacity = "144 kBtu/h"
charge = {{ factory = "25.9 lb", per_box = "1.1 lb", per_unit = "0 lb", "3/8 in" = "0.039 lb/ft" }}
test = {{ pressure = "550 psi", hold = "24 h", vacuum = "300 micron", vacuum_rise = "200 micron" }}
source = "manual in hand, p. 47"
"""
BOX = """
[[box]]
tag = "BB-{number}"
ports = 4
place = "Level 2 corridor at {number}"
power = "Panel LP-2, circuit {number}"
system = "HR-{system}"
fed_from = "CU-{system}"
"""
COLUMNS = "unit,box,port,capacity,room,address,liquid,gas,run\n"
LETTERS = "ABC"  # D is spare


def job(folder: Path, boxes: int, *, is_later: bool = False) -> Path:
    """A job of so many boxes, two a system; later each unit is on the port of the one before."""
    numbers = range(101, 101 + boxes)  # all of as many digits, so that no text is longer than another
    toml = HEAD.format(revision=2 if is_later else 1)
    toml += "".join(SYSTEM.format(number=number) for number in range(101, 101 + -(-boxes // 2)))
    toml += "".join(BOX.format(number=number, system=101 + (number - 101) // 2) for number in numbers)
    units = [f"FC-{1000 + at}" for at in range(boxes * len(LETTERS))]
    units = units[1:] + units[:1] if is_later else units
    places = ((number, letter) for number in numbers for letter in LETTERS)
    rows = "".join(
        f"{unit},BB-{number},{letter},12 kBtu/h,Room {at + 100},{at // 60}-{at % 60:02},3/8 in,5/8 in,40 ft\n"
        for at, (unit, (number, letter)) in enumerate(zip(units, places, strict=True))
    )
    return write_files(folder, {"job.toml": toml, "ports.csv": COLUMNS + rows})


def walked(plan: Plan) -> Iterator[tuple[str, str]]:
    """A phone's file for each box; every second one found another unit's pipe."""
    for at, box in enumerate(plan.boxes):
        key, one = box.row.key, Plan(plan.job, (box,))
        found: Values = as_planned(one)
        if at % 2:
            found = {**found, f"{key}/port/A/pipe/ok": False, f"{key}/port/A/pipe/found": "FC-1001"}
        yield f"{key}.json", phone(one, found)


def crossed(plan: Plan, out: Path) -> Answers:
    """What a response test reads where every box has crossed pipes: exchanged, or two units on one port."""
    words = answers(out)
    read = dict(words)
    for at, box in enumerate(plan.boxes):
        tag, units = box.row.tag, {port.name: port.units[0].tag for port in box.ports if port.units}
        read[tag, units["A"]] = words[tag, "C"]
        if at % 2:
            read[tag, units["C"]] = words[tag, "A"]
    return read


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Of both sizes: the job, its next revision, what came back of it, codes scanned at its terminals."""
    folder = tmp_path_factory.mktemp("growth")
    for boxes in (FEW, MANY):
        plan = plan_of(job(folder / f"job-{boxes}", boxes))
        job(folder / f"next-{boxes}", boxes, is_later=True)
        write_files(folder / f"back-{boxes}", dict(walked(plan)))
        codes = [
            f"{box.row.key}/{letter}/{what}\n"
            for box in plan.boxes
            for letter in LETTERS
            for what in ("TRM", "COM", "LIQ")
        ]
        out = folder / f"test-{boxes}"
        response(folder / f"job-{boxes}", out, ResponseRequest(Asked()))
        fill_csv(out / "response.csv", folder / f"crossed-{boxes}" / "r.csv", crossed(plan, out))
        (folder / f"codes-{boxes}.txt").write_text("".join(codes), encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("call", "code"),
    [
        ("make job-{n} -o out-{n} --no-proof", 0),
        ("check job-{n}", 0),
        ("switches job-{n}", 0),
        ("changes job-{n} next-{n}", 1),
        ("changes job-{n} next-{n} --json", 1),
        ("read job-{n}/ports.csv --job job-{n}", 0),
        ("start new-{n} --from job-{n}/ports.csv --family four-port-boards", 0),
        ("scan codes-{n}.txt --job job-{n}", 0),
        ("response job-{n} -o response-{n}", 0),
        ("readback back-{n} --job job-{n} -o punch-{n}.pdf", 1),
        ("readback back-{n} --job job-{n} --json", 1),
        ("readback crossed-{n} --job job-{n} --json", 1),
        ("handover job-{n} back-{n} -o handover-{n}.pdf", 1),
        ("room job-{n} --capacity 9kBtu/h", 0),
    ],
)
def test_twice_the_boxes_are_twice_the_work(
    call: str, code: int, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No function calls another more than twice as often, give or take what a page holds."""
    monkeypatch.chdir(site)
    codes: list[int] = []

    def work(boxes: int) -> None:
        codes.append(run(*call.format(n=boxes).split()).exit_code)

    assert grown(lambda: work(FEW), lambda: work(MANY)) == {}
    assert codes == [code, code]

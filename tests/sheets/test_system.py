"""systems.pdf: two pages a system, whole and legible; what is not known is printed as unknown."""

import itertools
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.draw.marks import Bars, Field, Page, Text, flat
from tagmaker.job.model import Job
from tagmaker.job.read import read_job
from tagmaker.measures import Mass, Pressure, Temperature
from tagmaker.plan.hold import expected_pressure
from tagmaker.plan.systems import plan_systems
from tagmaker.problems import Problem
from tagmaker.sheets.system import system_pages
from tagmaker.typeset.fonts import face
from tests.job.reading import good, read
from tests.measured import length
from tests.paths import EXAMPLES
from tests.quantities import measure
from tests.records import replace
from tests.sheets.printed import faults
from tests.strategies import words

A4 = '[print]\nplacard = "a4"\n'
HEAD = '[job]\nname = "Bakery"\nfamily = "four-port-boards"\n'
BOX = '[[box]]\ntag = "BX-{n}"\nports = 12\nsystem = "HR-1"\nmains = {{ liquid = "5/8 in", run = "40 ft" }}\n'
UNIT = (
    '[[unit]]\nunit = "FC-{n}{letter}"\nbox = "BX-{n}"\nport = "{letter}"\ncapacity = "12 kBtu/h"\n'
    'liquid = "1/4 in"\nrun = "20 ft"\naddress = "{n}-{number}"\nroom = "Room {n}{letter}"\n'
)
BARE = '[[system]]\ntag = "HR-1"\n'
LETTERS = "ABCDEFGHIJKL"


@pytest.fixture(scope="module")
def clinic() -> Job:
    """The example with two systems, of which everything is known."""
    job, _ = read_job(EXAMPLES / "clinic")
    assert job
    return job


def laid_out(job: Job) -> tuple[list[Page], list[Problem]]:
    """The sheets of a job."""
    return system_pages(job, plan_systems(job), words())


def pages_of(job: Job) -> list[Page]:
    """The same, whose texts must fit."""
    pages, problems = laid_out(job)
    assert problems == []
    return pages


def texts(pages: Sequence[Page]) -> list[str]:
    """Every text line."""
    return [mark.text for page in pages for mark in flat(page.marks) if isinstance(mark, Text)]


def fields(pages: Sequence[Page]) -> list[Field]:
    """Every field."""
    return [mark for page in pages for mark in flat(page.marks) if isinstance(mark, Field)]


def large(folder: Path, boxes: int, units: int, head: str = "", system: str = BARE) -> Job:
    """A system of so many boxes, each of so many units."""
    tables = [
        BOX.format(n=n) + "".join(
            UNIT.format(n=n, letter=letter, number=number) for number, letter in enumerate(LETTERS[:units], 1)
        )
        for n in range(1, boxes + 1)
    ]  # fmt: skip
    return good(folder, HEAD + head + system + "".join(tables))


def test_two_pages_a_system(clinic: Job) -> None:
    """One of 22 units in three boxes, one of 9 in two."""
    pages = pages_of(clinic)
    assert [texts([page])[0] for page in pages] == [
        "System HR-1",
        "System HR-1",
        "System HR-2",
        "System HR-2",
    ]
    assert faults(pages, margin_mm=6, least_mm=1.5) == []


@pytest.mark.parametrize("head", ["", A4])
@pytest.mark.parametrize(("boxes", "units"), [(1, 1), (4, 12), (9, 3)])
def test_a_system_of_any_size_is_whole(boxes: int, units: int, head: str, tmp_path: Path) -> None:
    """On letter and A4; each unit is a line, over as many pages as it takes."""
    job = large(tmp_path, boxes, units, head)
    pages = pages_of(job)
    printed = texts(pages)
    assert {unit.tag for unit in job.units} <= set(printed)
    assert faults(pages, margin_mm=6, least_mm=1.5) == []
    lines = [field.name for field in fields(pages) if "/line/" in field.name]
    assert len(lines) == len(set(lines)) == 2 * (boxes + boxes * units)


def test_fields_have_names_of_their_own_that_say_what_they_are_for(clinic: Job) -> None:
    """Unique in the document; none is filled in but the hidden ones; every one is read aloud."""
    found = fields(pages_of(clinic))
    names = [field.name for field in found]
    assert len(set(names)) == len(names)
    assert all(name.startswith("system/HR-") for name in names)
    kept = [field for field in found if field.kind == "kept"]
    names = [f"system/HR-{n}/printed-for{page}" for n in (1, 2) for page in ("", "/1", "/2")]
    assert [field.name for field in kept] == names
    assert {field.value for field in found if field.kind != "kept"} == {""}
    assert [field.name for field in found if field.kind != "kept" and not field.spoken] == []


@pytest.mark.parametrize(
    "name",
    [
        "line/BB-12/FC-114/run", "line/BB-12/main/charge", "charge/total", "charge/weighed",
        "shut/BB-13/opened", "shut/BB-13/gauges", "shut/BB-13/FC-121/opened", "shut/BB-13/FC-121/gauges",
        "shut/BB-13/by", "step/3/pressure", "step/3/time", "gate/heated/since",
        "hold/start/pressure", "hold/end/temperature", "hold/verdict/cannot_tell",
        "instrument/thermometer/accuracy", "vacuum/at", "vacuum/60", "gate/heated/ok", "gate/started/time",
    ],
)  # fmt: skip
def test_what_is_filled_in(name: str, clinic: Job) -> None:
    """A place for each thing that a start-up must not forget."""
    assert f"system/HR-1/{name}" in {field.name for field in fields(pages_of(clinic))}


def test_steps_and_hours_are_printed_as_given(clinic: Job, tmp_path: Path) -> None:
    """Each step with its time; by a manual that asks for no hours there is no place for them."""
    printed = " ".join(texts(pages_of(clinic)))
    for text in ("1: 150 psi for 3 min", "3: 550 psi for 10 min", "Crankcase heaters powered: 12 h"):
        assert text in printed
    none = pages_of(large(tmp_path, 1, 1, system=f"{BARE}heater_hours = 0\n"))
    assert "Crankcase heaters: none by the manual" in " ".join(texts(none))
    assert "system/HR-1/gate/heated/since" not in {field.name for field in fields(none)}


def test_places_to_fill_in_do_not_overlap(clinic: Job) -> None:
    """Each within its page, and high enough for a hand."""
    for page in pages_of(clinic):
        found = [field for field in fields([page]) if field.kind != "kept"]
        for field in found:
            assert field.height >= 5
            assert field.x > 0
            assert field.x + field.width < page.width
        for one, other in itertools.combinations(found, 2):
            apart = (
                one.x + one.width <= other.x or other.x + other.width <= one.x
                or one.y + one.height <= other.y + 1e-6 or other.y + other.height <= one.y + 1e-6
            )  # fmt: skip
            assert apart, (one.name, other.name)


def test_the_charge_is_printed_line_by_line(clinic: Job) -> None:
    """41 ft of 3/8 in at 0.039 lb/ft are 1.599 lb; the sums are those of the plan."""
    printed = texts(pages_of(clinic)[:1])
    at = printed.index("FC-114")
    assert printed[at : at + 8] == ["FC-114", "B", "1-14", "Treatment room", "24", "3/8 in", "41 ft", "1.599"]
    system = plan_systems(clinic)[0]
    for sum_of in (system.charge.of_lines, system.charge.total):
        assert sum_of
        assert sum_of.text() in printed


def test_figures_of_the_charges_are_below_each_other(clinic: Job) -> None:
    """0.27 below 5.566: points at one place, whatever follows them."""
    marks = [mark for mark in flat(pages_of(clinic)[0].marks) if isinstance(mark, Text)]
    numbers = [mark for mark in marks if mark.text in {"0.27", "0.9", "0.858", "1.599"}]
    assert len(numbers) == 4
    after = [face(mark.face).width(mark.text.partition(".")[2], mark.size) for mark in numbers]
    points = [mark.x - width for mark, width in zip(numbers, after, strict=True)]
    assert {mark.align for mark in numbers} == {"right"}
    assert points == pytest.approx([points[0]] * 4, abs=0.01)


def test_a_charge_that_is_unknown_says_so(clinic: Job) -> None:
    """A box without its main pipe: no total, and a question mark in its line."""
    boxes = (replace(clinic.boxes[0], mains=None), *clinic.boxes[1:])
    printed = texts(pages_of(replace(clinic, boxes=boxes))[:1])
    at = printed.index("BB-11")
    assert printed[at : at + 5] == ["BB-11", "main liquid pipe · level 1", "?", "?", "?"]
    assert printed.count("UNKNOWN") == 2


def test_a_system_of_which_nothing_is_known(tmp_path: Path) -> None:
    """No figure is made up: not given, unknown, and no table of pressures."""
    printed = " ".join(texts(pages_of(large(tmp_path, 1, 1))))
    assert "Pressure test: not given, held not given" in printed
    assert "Vacuum: not given; allowed rise not given in not given" in printed
    assert "The charge is not calculated: its figures are not given." in printed
    assert "Limits: not given" in printed
    assert "The pressures and times of steps are not given: see the manual." in printed
    assert "Crankcase heaters powered: hours not given" in printed
    assert "Pressure to expect" not in printed


@pytest.mark.parametrize(
    ("pressure", "temperatures", "shown"),
    [("550 psi", (70, 40, "F"), "515"), ("550 psi", (90, 120, "F"), "583"), ("38 bar", (20, 5, "C"), "35.8")],
)
def test_the_table_of_pressures(
    pressure: str, temperatures: tuple[int, int, str], shown: str, tmp_path: Path
) -> None:
    """In the unit of the test, to be compared with the gauge; its figures are those of `hold`."""
    at, now, scale = temperatures
    system = f'{BARE}test = {{ pressure = "{pressure}" }}\n'
    printed = texts(pages_of(large(tmp_path, 1, 1, system=system)))
    start = measure(Pressure, pressure)
    first, second = (Temperature.of_number(Fraction(each), scale) for each in (at, now))
    assert expected_pressure(start, first, second).number(start.unit, 1 if scale == "C" else 0) == shown
    row = printed.index(f"{at} °{scale}", printed.index("at start ↓ now →") + 12)
    head = printed.index("at start ↓ now →")
    column = printed.index(f"{now} °{scale}", head) - head
    assert printed[row + column] == shown


def test_a_pressure_beyond_the_equations_range_has_no_table(tmp_path: Path) -> None:
    """What was never compared is not printed."""
    system = f'{BARE}test = {{ pressure = "1200 psi" }}\n'
    assert "at start ↓ now →" not in texts(pages_of(large(tmp_path, 1, 1, system=system)))


def test_each_page_has_a_code_that_names_it(clinic: Job) -> None:
    """System, page, job and revision; the digest changes with what the sheets say."""
    longer = replace(clinic.units[1], run=length("99 ft"))
    changed = replace(clinic, units=(clinic.units[0], longer, *clinic.units[2:]))
    codes, others = (
        [mark.text for page in pages_of(job) for mark in flat(page.marks) if isinstance(mark, Bars)]
        for job in (clinic, changed)
    )
    assert [code.rpartition(" ")[0] for code in codes] == [
        f"SYSTEM HR-{n} {page}/2 ARC-7 2" for n in (1, 2) for page in (1, 2)
    ]
    assert [one == other for one, other in zip(codes, others, strict=True)] == [False, False, True, True]


def test_a_draft_says_so_on_each_page(clinic: Job) -> None:
    """As every other document."""
    drafts = pages_of(replace(clinic, is_draft=True))
    assert faults(drafts, margin_mm=6, least_mm=1.5) == []
    assert [texts([page]).count("DRAFT") for page in drafts] == [1] * len(drafts)
    assert "DRAFT" not in texts(pages_of(clinic))


def test_every_page_says_that_it_is_no_certificate(clinic: Job) -> None:
    """And who decides."""
    for page in pages_of(clinic):
        assert "Not a certificate." in " ".join(texts([page]))


def test_long_names_are_set_or_reported(clinic: Job) -> None:
    """As long as a job file takes them: nothing is cut."""
    row = replace(
        clinic.systems[0], outdoor="Outdoor unit on the north roof, beside the third stair, west",
        source="manual in hand, " + "pages 4 and 7, " * 12,
    )  # fmt: skip
    box = replace(clinic.boxes[0], shown="BB-11-LEVEL-1-NORTH-WING")
    room = replace(
        clinic.units[0], tag="AH-101-ENTRANCE-NORTH-01", room="Entrance hall and waiting room " * 2
    )
    job = replace(
        clinic, systems=(row, *clinic.systems[1:]), boxes=(box, *clinic.boxes[1:]),
        units=(room, *clinic.units[1:]),
    )  # fmt: skip
    pages = pages_of(job)
    assert faults(pages, margin_mm=6, least_mm=1.5) == []
    printed = " ".join(texts(pages))
    assert all(word in printed for text in (row.outdoor, row.source, box.shown) for word in text.split())


def test_the_amount_in_the_smallest_room(clinic: Job) -> None:
    """Beside what the table allows, with its standing; unknown where a volume is missing."""
    first, second = (
        " ".join(texts(pages_of(job)[:1]))
        for job in (
            clinic,
            replace(clinic, units=(replace(clinic.units[0], room_volume=None), *clinic.units[1:])),
        )
    )
    assert "(Cleaner, 900 ft3): 113.52 lb/1000 ft3; the table allows 4.8 lb/1000 ft3" in first
    assert "unknown, as charge or room volumes are not all known" in second


def test_a_metric_system_is_metric(tmp_path: Path) -> None:
    """Runs as built in metres, charges in kilograms, temperatures in °C."""
    system = (
        f'{BARE}charge = {{ factory = "8 kg", per_box = "0 kg", per_unit = "0 kg", "1/4 in" = "22 g/m" }}\n'
        'test = { pressure = "38 bar", vacuum = "40 Pa" }\n'
    )
    job, _ = read(tmp_path, HEAD + system + BOX.format(n=1) + UNIT.format(n=1, letter="A", number=1))
    assert job
    printed = texts(pages_of(job))
    assert {"As built, m", "Charge, kg", "Pa", "bar", "°C"} <= set(printed)
    assert measure(Mass, "8 kg").text() in printed

"""The checks of systems: over a limit that is given is an error, what cannot be compared a note."""

from pathlib import Path

import pytest

from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Problem
from tests.job.reading import first_lines, read
from tests.plan.test_systems import HEAD, TWO, UNITS, box, unit

TAG = '[[system]]\ntag = "HR-1"\nsource = "p. 4"\n'
QUIET = {"system-incomplete"}
ERROR = "job.toml:4: error: system HR-1:"
CONNECTED = "system HR-1: 108 kBtu/h are connected to"


def problems(folder: Path, system: str, *tables: str, head: str = HEAD) -> list[Problem]:
    """What the plan of a job reports, what it lacks aside."""
    job, found = read(folder, head + system + "".join(tables))
    assert job
    assert not found
    return [each for each in plan_job(job)[1] if each.code not in QUIET]


def lines(folder: Path, system: str, *tables: str) -> list[str]:
    """The same as lines."""
    return first_lines(problems(folder, TAG + system, *tables))


@pytest.mark.parametrize(
    ("system", "told"),
    [
        ('capacity = "108 kBtu/h"\nratio = [50, 100]\n', []),
        ('capacity = "216 kBtu/h"\nratio = [50, 130]\n', []),
        (
            'capacity = "107 kBtu/h"\nratio = [50, 100]\n',
            [f"error: {CONNECTED} 107 kBtu/h, 100.9 %; allowed are 50 to 100 %"],
        ),
        (
            'capacity = "217 kBtu/h"\nratio = [50, 130]\n',
            [f"error: {CONNECTED} 217 kBtu/h, 49.8 %; allowed are 50 to 130 %"],
        ),
        (
            'capacity = "31.36 kW"\nratio = [50, 100]\n',
            [f"warning: {CONNECTED} 107.005 kBtu/h, 100.9 %; allowed are 50 to 100 %"],
        ),
        (
            'capacity = "28 kW"\nratio = [50, 100]\n',
            [f"error: {CONNECTED} 95.54 kBtu/h, 113 %; allowed are 50 to 100 %"],
        ),
    ],
)
def test_connected_capacity(system: str, told: list[str], tmp_path: Path) -> None:
    """108 kBtu/h: at a limit is within it; by less than 2 % in another unit system it is a question."""
    found = lines(tmp_path, system, *TWO, *UNITS)
    assert found == [f"job.toml:4: {each} [system-capacity]" for each in told]


@pytest.mark.parametrize(
    ("key", "good", "bad", "told"),
    [
        ("pressure", "1000 psi", "5500 psi", "5500 psi; more than 1000 psi"),
        ("pressure", "100 psi", "38 psi", "38 psi; less than 100 psi"),
        ("vacuum", "1000 micron", "300 Pa", "300 Pa; more than 1000 micron"),
    ],
)
def test_figures_of_a_test_that_are_not_usual_are_a_warning(
    key: str, good: str, bad: str, told: str, tmp_path: Path
) -> None:
    """Somebody sets a regulator by them: a wrong unit is a question before it is a pressure."""
    assert lines(tmp_path, f'test = {{ {key} = "{good}" }}\n', *TWO, *UNITS) == []
    (found,) = lines(tmp_path, f'test = {{ {key} = "{bad}" }}\n', *TWO, *UNITS)
    assert found == f"job.toml:4: warning: system HR-1: test.{key} of {told} is not usual [dimension-unusual]"


def test_systems_keep_apart(tmp_path: Path) -> None:
    """No box is fed from another system's, and no outdoor unit has two systems."""
    two = '[[system]]\ntag = "HR-2"\noutdoor = "cu-1"\n'
    boxes = (box("BB-1"), box("BB-2", fed_from="bb-1", system="HR-2"))
    units = (unit("FC-1", "BB-1", "A"), unit("FC-2", "BB-2", "A"))
    assert lines(tmp_path, f'outdoor = "CU-1"\n{two}', *boxes, *units) == [
        "job.toml:16: error: box BB-2 of system HR-2 is fed from BB-1 of system hr-1 [system-unknown]",
        "job.toml:8: warning: system HR-2 has outdoor unit cu-1, that of system HR-1 too [system-twice]",
    ]


def test_an_amount_far_from_the_planned_charge_is_a_warning(tmp_path: Path) -> None:
    """Of another unit, or with a lost point; the sign would print it. Built longer or shorter it is right."""
    planned = 'charge = { factory = "10 lb", per_box = "0 lb", per_unit = "0 lb", "3/8 in" = "0.1 lb/ft" }\n'

    def found(weighed: str) -> list[str]:
        system = f'{TAG}{planned}weighed_in = "{weighed}"\n'
        job, _ = read(tmp_path, HEAD + system + box("BB-1", "10 ft"))
        assert job
        return [each.message for each in plan_job(job)[1] if each.code == "charge-weighed"]

    assert found("11 lb") == found("22 lb") == []
    assert found("11 kg") == ["system HR-1: weighed_in 11 kg is far from the planned charge, 4.99 kg"]


def test_a_capacity_that_is_missing_cannot_be_compared(tmp_path: Path) -> None:
    """Of a draft; which units, and nothing of a ratio."""
    found = first_lines(
        problems(
            tmp_path, TAG + 'capacity = "96 kBtu/h"\nratio = [50, 100]\n', *TWO, *UNITS,
            unit("FC-4", "BX-1", "C", capacity=""), head=HEAD + 'status = "draft"\n',
        )
    )  # fmt: skip
    assert "job.toml:5: note: system HR-1: not checked: ratio (no capacity: FC-4) [system-unchecked]" in found


@pytest.mark.parametrize(("most", "count"), [(3, 0), (2, 1)])
def test_units_of_a_system(most: int, count: int, tmp_path: Path) -> None:
    """Three units; boxes of other systems do not count."""
    other = (
        box("BX-9", system="HR-2"),
        unit("FC-9", "BX-9", "A"),
        '[[system]]\ntag = "HR-2"\nsource = "p"\n',
    )
    found = lines(tmp_path, f"units_most = {most}\n", *TWO, *UNITS, *other)
    assert (
        found == [f"job.toml:4: error: system HR-1 has 3 units; it may have {most} [system-crowded]"] * count
    )


def test_addresses_of_a_system(tmp_path: Path) -> None:
    """Each that is beyond the range, and which units have none."""
    units = (UNITS[1] + 'address = "1-64"\n', UNITS[0] + 'address = "65"\n', UNITS[2])
    found = lines(tmp_path, "addresses = [1, 64]\n", *TWO, *units)
    assert sorted(each.partition(": ")[2] for each in found) == [
        "error: unit FC-2 has address 65; addresses of system HR-1 are 1 to 64 [address-wrong]",
        "note: system HR-1: not checked: addresses (no address: FC-3) [system-unchecked]",
    ]


@pytest.mark.parametrize(
    ("limit", "over"),
    [
        ('longest_run = "200 ft"', []),
        ('longest_run = "199 ft"', ["unit FC-2: a run of 200 ft; longest_run is 199 ft"]),
        ('port_run = "40 ft"', []),
        ('port_run = "39 ft"', [f"unit FC-{n}: a run of 40 ft; port_run is 39 ft" for n in (1, 2)]),
        ('first_box = "100 ft"', []),
        ('first_box = "30 m"', ["box BX-1: a run of 30.48 m; first_box is 30 m"]),
        ('total_run = "260 ft"', []),
        ('total_run = "250 ft"', ["all pipes: a run of 260 ft; total_run is 250 ft"]),
    ],
)
def test_runs(limit: str, over: list[str], tmp_path: Path) -> None:
    """FC-2 is 100 + 60 + 40 ft away; BX-2 is fed by BX-1, so that the first box is BX-1."""
    found = lines(tmp_path, f"{limit}\n", *TWO, *UNITS)
    assert found == [f"{ERROR} {each} [run-too-long]" for each in over]


def test_a_run_that_is_known_in_part(tmp_path: Path) -> None:
    """60 + 40 ft are too long already; for the others nothing is known."""
    found = lines(tmp_path, 'longest_run = "99 ft"\n', box("BX-1"), TWO[1], *UNITS)
    open_runs = "longest_run (a length is missing: unit FC-1, unit FC-3)"
    assert found == [
        f"{ERROR} unit FC-2: a run of 100 ft or more; longest_run is 99 ft [run-too-long]",
        f"job.toml:4: note: system HR-1: not checked: {open_runs} [system-unchecked]",
    ]


def test_a_charge_that_lacks_something_is_one_note(tmp_path: Path) -> None:
    """Every box without its main pipe is named in it."""
    charge = 'charge = { factory = "1 lb", per_box = "0 lb", per_unit = "0 lb", "3/8 in" = "1 lb/ft" }\n'
    (found,) = lines(tmp_path, charge, box("BX-1"), box("BX-2"), *UNITS)
    assert found == (
        "job.toml:4: note: the charge of system HR-1 is unknown, without: "
        "main pipe of BX-1 (diameter and length), main pipe of BX-2 (diameter and length) [charge-unknown]"
    )


def test_problems_name_the_boxes_of_their_system(tmp_path: Path) -> None:
    """So that `--box` shows them with each."""
    found = problems(tmp_path, TAG + "units_most = 1\n", *TWO, *UNITS)
    assert [each.boxes for each in found] == [("BX-1", "BX-2")]


def test_a_job_without_systems_is_not_asked_for_any(tmp_path: Path) -> None:
    """Boxes may name systems, or none."""
    assert problems(tmp_path, "", *TWO, *UNITS) == []


def test_a_box_without_a_system(tmp_path: Path) -> None:
    """Where the job has systems, its units would be missing in every sum."""
    found = lines(tmp_path, "", *TWO, *UNITS, box("BX-9", system=""), unit("FC-9", "BX-9", "A"))
    assert [each.partition(": ")[2] for each in found] == [
        "warning: box BX-9 names no system, while the job has [[system]]s [system-unknown]"
    ]


@pytest.mark.parametrize(
    ("extra", "compared"),
    [
        ("", "at most 4.8 lb/1000 ft3"),
        ("institutional = true\n", "more than 2.4 lb/1000 ft3, half of the table's in an institution"),
    ],
)
def test_the_amount_is_a_note_for_the_engineer(extra: str, compared: str, tmp_path: Path) -> None:
    """Whatever it is: 1 + (160 + 40) x 0.04 + 0.3 = 9.3 lb in 2000 ft3."""
    charge = 'charge = { factory = "1 lb", per_box = "0 lb", per_unit = "0.3 lb", "3/8 in" = "0.04 lb/ft" }\n'
    one = unit("FC-1", "BX-2", "A") + 'room_volume = "2000 ft3"\n'
    system = f'{TAG}refrigerant = "R-32"\n{charge}{extra}'
    found = problems(tmp_path, system, box("BX-1", "100 ft"), TWO[1], one)
    (amount,) = (each for each in found if each.code == "refrigerant-amount")
    own = "9.3 lb in the smallest room (FC-1, 2000 ft3) are 4.65 lb/1000 ft3"
    table = "(International Mechanical Code, Table 1103.1)"
    assert amount.severity == "note"
    assert amount.message == f"system HR-1, R-32: {own}, {compared} {table}"

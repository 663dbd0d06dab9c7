"""What a set says once it is issued: digests tell apart what is printed differently, and nothing else."""

import datetime as dt
import hashlib
import json
import re
from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.catalog.walk_items import WalkItem
from tagmaker.job.model import Bands, Charge, HeightLimits, Job, PressureTest, SystemRow
from tagmaker.job.read import read_job
from tagmaker.measures import Mass, MassPerLength, Pressure, Volume
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import Where
from tagmaker.revisions.issued import Issued, IssuedJob, IssuedPlacard, IssuedTag, IssuedUnit, same_codes
from tagmaker.revisions.issuing import issued_plan, tag_digest
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import long_text
from tests.measured import all_tags, length, mains, on_stocks, sized
from tests.quantities import measure
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, UnitSketch, one_box, stock_named, words

LIBRARY = one_box(("FC-1", "A", "24 kBtu/h"), ("FC-2", "A", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"))
JOB = replace(LIBRARY.record(), refrigerant="R-32")


def issued(job: Job) -> Issued:
    """What a job would issue."""
    return issued_plan(plan_job(job)[0], words())


def with_unit(**changes: object) -> Job:
    """The job, its first unit with these changed."""
    return replace(JOB, units=(replace(JOB.units[0], **changes), *JOB.units[1:]))


def with_box(**changes: object) -> Job:
    """The job, its box with these changed."""
    return replace(JOB, boxes=(replace(JOB.boxes[0], **changes),))


FAMILY = JOB.boxes[0].family
EDITS = {
    "name": replace(JOB, name="Hill Street"),
    "number": replace(JOB, number="HS-9"),
    "draft": replace(JOB, is_draft=True),
    "refrigerant": replace(JOB, refrigerant="R-410A"),
    "site": replace(JOB, site="Hill Street 4"),
    "unit of capacities": replace(JOB, capacity_unit="kW"),
    "bands": replace(JOB, bands=Bands(None, Where("job.toml"))),
    "walk item": replace(JOB, walk_items=(*JOB.walk_items, WalkItem("x", "box", "verifier", "look"))),
    "unit's tag": with_unit(tag="FC-9"),
    "unit's port": with_unit(port="B"),
    "unit's capacity": with_unit(capacity=JOB.units[1].capacity),
    "unit's room": with_unit(room="Lab"),
    "unit's address": with_unit(address="2-07"),
    "unit's liquid": with_unit(liquid=length("3/8 in")),
    "unit's gas": with_unit(gas=length("5/8 in")),
    "unit's insulation": with_unit(insulation=length("3/4 in")),
    "unit's run": with_unit(run=length("30 ft")),
    "unit's cable": with_unit(cable=length("0.26 in")),
    "order of rows": replace(JOB, units=(JOB.units[1], JOB.units[0], JOB.units[2])),
    "box's size": with_box(ports=6),
    "box's shown": with_box(shown="BB 1/L2"),
    "box's place": with_box(place="Level 2"),
    "box's power": with_box(power="Panel LP-2"),
    "box's system": with_box(system="S-1"),
    "box's level": with_box(level="2"),
    "box's source": with_box(fed_from="OU-1"),
    "box's banks": with_box(bank_names=("S1", "S2")),
    "box's mains": with_box(mains=mains(liquid="3/4 in")),
    "family's title": with_box(family=replace(FAMILY, title="Others")),
    "family's name": with_box(family=replace(FAMILY, name="others")),
    "family's source": with_box(family=replace(FAMILY, source="the manual, page 4")),
    "way of the switches": with_box(
        family=replace(FAMILY, banks=tuple(replace(bank, on_points="down") for bank in FAMILY.banks))
    ),
}


SYSTEM = SystemRow(
    "HR-1",
    Where("job.toml", 5),
    ratio=(Fraction(50), Fraction(130)),
    charge=Charge(factory=measure(Mass, "25.9 lb")),
    test=PressureTest(pressure=measure(Pressure, "550 psi")),
)
SYSTEM_EDITS = {
    "tag": replace(SYSTEM, tag="HR-2"),
    "outdoor": replace(SYSTEM, outdoor="CU-1"),
    "capacity": replace(SYSTEM, capacity=JOB.units[0].capacity),
    "ratio": replace(SYSTEM, ratio=(Fraction(50), Fraction("130.5"))),
    "units": replace(SYSTEM, units_most=40),
    "run": replace(SYSTEM, longest_run=length("540 ft")),
    "heights": replace(SYSTEM, heights=HeightLimits(outdoor_above=length("160 ft"))),
    "charge": replace(SYSTEM, charge=Charge(factory=measure(Mass, "25.8 lb"))),
    "charge of nought": replace(SYSTEM, charge=replace(SYSTEM.charge, per_unit=measure(Mass, "0 lb"))),
    "figure": replace(
        SYSTEM,
        charge=replace(SYSTEM.charge, per_length=((length("3/8 in"), measure(MassPerLength, "1 lb/ft")),)),
    ),
    "test": replace(SYSTEM, test=PressureTest(pressure=measure(Pressure, "600 psi"))),
    "institutional": replace(SYSTEM, is_institutional=True),
    "source": replace(SYSTEM, source="p. 47"),
}


@pytest.mark.parametrize("edit", SYSTEM_EDITS)
def test_the_digest_differs_for_each_edit_of_a_system(edit: str) -> None:
    """Its sheets say it; a system that is added is one."""
    with_system = issued(replace(JOB, systems=(SYSTEM,))).digest
    assert issued(JOB).digest != with_system
    assert issued(replace(JOB, systems=(SYSTEM_EDITS[edit],))).digest != with_system


def test_the_digest_is_the_same_wherever_a_system_is_in_the_file() -> None:
    """A line added above it changes nothing that is printed."""
    here, there = (replace(JOB, systems=(replace(SYSTEM, where=Where("job.toml", n)),)) for n in (5, 9))
    assert issued(here).digest == issued(there).digest


def test_the_volume_of_a_room_counts_where_there_are_systems() -> None:
    """Their sheets compare it with the charge; elsewhere nothing prints it."""
    volume = measure(Volume, "1200 ft3")
    bare, given = JOB, with_unit(room_volume=volume)
    assert issued(bare).digest == issued(given).digest
    digests = {issued(replace(job, systems=(SYSTEM,))).digest for job in (bare, given)}
    assert len(digests) == 2


@pytest.mark.parametrize("edit", EDITS)
def test_the_digest_differs_for_each_single_edit(edit: str) -> None:
    """Whatever the job says otherwise."""
    assert issued(EDITS[edit]).digest != issued(JOB).digest


def test_the_digest_differs_for_a_box_more_and_for_another_order() -> None:
    """Walking order is part of the job."""
    boxes = (LIBRARY.boxes[0], BoxSketch("BB-2", 4, (UnitSketch("FC-3", "B"),)))
    digests = [
        issued(replace(LIBRARY, boxes=each).record()).digest for each in (boxes, boxes[::-1], boxes[:1])
    ]
    assert len(set(digests)) == 3


@pytest.mark.parametrize(
    "same",
    [
        replace(JOB, revision="P09"),
        replace(JOB, date=dt.date(2026, 6, 9)),
        replace(JOB, prepared_by="somebody"),
        replace(JOB, folder=Path("elsewhere"), where=Where("other.toml", 9)),
        on_stocks(JOB, {"pipe": stock_named("letter-10-102x51"), "placard": stock_named("a4")}),
    ],
)
def test_the_digest_is_of_what_is_said_alone(same: Job) -> None:
    """Not of the revision, of who wrote it, of where it lies, nor of what it is printed on."""
    assert issued(same).digest == issued(JOB).digest
    assert re.fullmatch("[0-9a-f]{64}", issued(same).digest)


@pytest.mark.parametrize("schedule", ["", "ports.csv"])
def test_a_schedule_digests_like_rows_in_the_job(schedule: str, tmp_path: Path) -> None:
    """Files read for real."""
    job, problems = read_job(LIBRARY.write(tmp_path / "job", schedule=schedule))
    assert job is not None
    assert (list(problems), issued(job).digest) == ([], issued(LIBRARY.record()).digest)


def test_each_thing_is_in_the_jobs_revision_and_the_placard_in_its_date() -> None:
    """Without an earlier set there is no other."""
    found = issued(replace(JOB, revision="P02", date=dt.date(2026, 4, 30)))
    assert {tag.revision for tag in found.tags} == {placard.revision for placard in found.placards} == {"P02"}
    assert {placard.date for placard in found.placards} == {"2026-04-30"}
    assert found.placards[0].text.split("\n")[:2] == ["BB-1 RP02 2 ON: 1:2 2:2 END", "BOX BB-1 REV P02"]


def test_every_tag_is_there_with_its_code() -> None:
    """In print order, as the register has them."""
    assert [tag.code for tag in issued(JOB).tags] == [tag.code for tag in all_tags(JOB)]
    assert len({tag.says for tag in issued(JOB).tags}) == len(issued(JOB).tags)


def test_a_tag_knows_the_pipes_that_it_hangs_on() -> None:
    """Each unit's line and its insulation; a cable, a terminal and a spare stub have none."""
    found = {tag.code: tag.pipes for tag in issued(sized(LIBRARY, liquid="3/8 in", insulation="3/4 in")).tags}
    assert found["BB-1/A/LIQ"] == ("3/8 in", "3/4 in", "3/8 in", "3/4 in")
    assert found["BB-1/A/GAS/FC-1"] == ("", "3/4 in")
    assert {found[code] for code in ("BB-1/A/COM", "BB-1/A/TRM", "BB-1/B/LIQ")} == {()}


def test_same_codes_needs_the_same_words() -> None:
    """What is new, or says something else, does not hang yet."""
    old, new = ({tag.code: tag for tag in issued(job).tags} for job in (JOB, with_unit(room="Lab")))
    assert same_codes(old, old) == frozenset(old)
    assert {code for code in new if code not in same_codes(old, new)} == {
        *("BB-1/A/TRM", "BB-1/A/LIQ", "BB-1/A/GAS", "BB-1/A/COM"),
        *("BB-1/A/COM/FC-1", "BB-1/A/COM/FC-1/ON", "BB-1/A/LIQ/FC-1", "BB-1/A/GAS/FC-1"),
    }
    assert same_codes({}, new) == frozenset()


def test_limited_to_boxes_keeps_what_the_job_does_not_name() -> None:
    """A box that is known by another name on site may be one of these."""
    boxes = tuple(BoxSketch(f"BB-{n}", 4, (UnitSketch(f"FC-{n}", "A"),)) for n in (1, 2, 3))
    whole = issued(JobSketch(boxes).record())
    assert whole.limited_to((), ("BB-1",)) == whole
    found = whole.limited_to(("BB-1",), ("BB-1", "BB-2"))
    assert [box.tag for box in found.boxes] == ["BB-1", "BB-3"]
    assert [unit.unit for unit in found.units] == ["FC-1", "FC-3"]
    assert {tag.box for tag in found.tags} == {placard.box for placard in found.placards} == {"BB-1", "BB-3"}


# --- what each record keeps --------------------------------------------------------------------------------

FULL = replace(
    with_box(shown="BB 1", place="Corridor", power="LP-2", system="S-1", level="2", fed_from="OU-1"),
    number="ML-7",
    revision="P02",
    date=dt.date(2026, 4, 30),
    units=(
        replace(
            JOB.units[0],
            room="Lab",
            address="2-07",
            liquid=length("3/8 in"),
            gas=length("5/8 in"),
            insulation=length("3/4 in"),
            run=length("30 ft"),
            cable=length("0.26 in"),
        ),
        *JOB.units[1:],
    ),
)


def test_the_head_is_the_jobs() -> None:
    """Its name, number, revision, date and unit; whether it is a draft, in a word."""
    head = IssuedJob("Marsh Lane Library", "ML-7", "P02", "2026-04-30", "issued", "kBtu/h", "R-32")
    assert issued(FULL).job == head
    assert issued(replace(FULL, is_draft=True, date=None)).job == replace(head, status="draft", date="")


def test_a_units_record_is_its_row() -> None:
    """Lengths as they were given; the port as planned; the capacity in Btu/h."""
    first, _, pair = issued(FULL).units
    row = ("FC-1", "BB-1", "A", 24000, "Lab", "2-07", "3/8 in", "5/8 in", "3/4 in", "30 ft", "0.26 in")
    assert first == IssuedUnit(*row)
    assert pair == IssuedUnit("AH-1", "BB-1", "C+D", 72000, *[""] * 7)


def test_a_tags_record_says_where_it_hangs() -> None:
    """Its kind, port, end, units and rooms, apart from what is printed on it."""
    found = {tag.code: replace(tag, says="") for tag in issued(FULL).tags}
    units, rooms, pipes = ("FC-1",), ("Lab",), ("5/8 in", "3/4 in")
    expected = IssuedTag("BB-1/A/GAS/FC-1", "gas", "BB-1", "A", "unit", units, rooms, pipes, "", "", "P02")
    assert found["BB-1/A/GAS/FC-1"] == expected
    assert (found["BB-1/D/TRM"].end, found["BB-1/D/TRM"].rooms) == ("box", ())


def test_a_placards_record_has_the_boxs_facts() -> None:
    """By them people find the box; without bands there is no digest of any."""
    (placard,) = issued(FULL).placards
    facts = ("BB-1", "BB 1", "Corridor", "LP-2", "S-1", "2", "OU-1")
    assert replace(placard, text="", says="") == IssuedPlacard(*facts, "", "", "", "P02", "2026-04-30")


# --- what a tag says ---------------------------------------------------------------------------------------

TAG = Tag(
    code="BB-1/A/LIQ/FC-1",
    kind="liquid",
    use="single",
    end="unit",
    box="BB-1",
    box_shown="BB-1",
    port="A",
    units=("FC-1",),
    rooms=("Büro",),
    headline="LIQUID",
    remark="",
    is_caution=False,
    end_text="UNIT END",
    revision="0",
    revision_text="REV 0",
    where=Where("job.toml"),
)
OTHERWISE: dict[str, object] = {
    "code": "BB-1/B/LIQ/FC-1",
    "kind": "gas",
    "use": "joined",
    "box_shown": "BB 1",
    "port": "B",
    "units": ("FC-2",),
    "rooms": (),
    "headline": "GAS",
    "remark": "A and B work as one",
    "is_caution": True,
    "end_text": "BOX END",
    "is_draft": True,
    "hardware": "four-port-boards/4",
}


@pytest.mark.parametrize("field", OTHERWISE)
def test_a_tag_that_is_printed_otherwise_says_something_else(field: str) -> None:
    """Whatever of it changed, the tag that hangs is not taken for the new one."""
    changed = replace(TAG, **{field: OTHERWISE[field]})
    assert tag_digest(changed) != tag_digest(TAG)


def test_a_tag_says_the_same_in_another_revision_and_on_another_stock() -> None:
    """What is not said on it makes no new tag."""
    same = replace(TAG, revision="1", revision_text="REV 1", where=Where("rows.csv", 9), stock_use="pipe")
    assert tag_digest(same) == tag_digest(TAG)


def test_a_digest_is_the_same_in_every_version() -> None:
    """Sets are compared years later: SHA-256 (FIPS 180-4) of plain JSON, here written by hand."""
    text = '["BB-1/A/LIQ/FC-1","liquid","single","BB-1","A",["FC-1"],["Büro"],"LIQUID","",false,"UNIT END"'
    assert tag_digest(TAG) == hashlib.sha256(f'{text},false,""]'.encode()).hexdigest()[:16]


def test_a_name_with_half_a_character_has_a_digest() -> None:
    """Half a surrogate pair, as broken files bring it, is told from another one."""
    halves = [tag_digest(replace(TAG, rooms=(room,))) for room in ("\ud83d", "\ud83e")]
    assert halves[0] != halves[1]


# --- what a placard and bands say --------------------------------------------------------------------------

NOT_ON_PLACARDS = {
    *("bands", "walk item", "box's mains", "family's name"),
    *(f"unit's {key}" for key in ("liquid", "gas", "insulation", "run", "cable")),
}
ON_BANDS = {
    *("refrigerant", "order of rows", "box's shown", "box's mains"),
    *(f"unit's {key}" for key in ("tag", "port", "liquid", "gas", "insulation", "run")),
}


@pytest.mark.parametrize("edit", EDITS)
def test_a_placard_says_something_else_where_its_print_differs(edit: str) -> None:
    """A placard with another setting, load, unit or fact is a new one; pipes and cables are not on it."""
    was, now = (issued(job).placards[0].says for job in (JOB, EDITS[edit]))
    assert (edit not in NOT_ON_PLACARDS) == (was != now)


def test_a_placards_digest_is_the_same_in_every_version() -> None:
    """Of the plain JSON of text, job, facts, boards and units, put together by hand; no short line."""
    job = with_box(family=replace(FAMILY, title="Boards", source="the manual"))
    text = long_text(job, plan_job(job)[0].boxes[0], "")
    assert text.startswith("BOX BB-1 REV \n")
    facts = ["BB-1", "", "", "", "", "", "Boards", "the manual"]
    states = (
        [("off", ""), ("on", "unused", "B"), ("off", ""), ("off", "")],
        [("off", ""), ("on", "joined", "C", "D"), ("leave", ""), ("off", "")],
    )
    banks = [bank_of(number, bank) for number, bank in enumerate(states, start=1)]
    boards = [{"place": "only", "letters": list("ABCD"), "unfitted": 0, "banks": banks}]
    units = [["A", [["FC-1", ""], ["FC-2", ""]]], ["B", []], ["C+D", [["AH-1", ""]]]]
    refrigerant = {"refrigerant": "R-32"}
    plain = json.dumps(["%", job.name, False, facts, boards, units, refrigerant], separators=(",", ":"))
    whole = plain.replace('"%"', json.dumps(text), 1)
    assert issued(job).placards[0].says == hashlib.sha256(whole.encode()).hexdigest()[:16]


def bank_of(number: int, states: list[tuple[str, ...]]) -> dict[str, object]:
    """A bank as plain values: of each switch its state, what it is ON for, and the ports."""
    switches = [
        {"number": each, "state": state, "check_only": False, "when": when, "ports": ports}
        for each, (state, when, *ports) in enumerate(states, start=1)
    ]
    bank = FAMILY.banks[number - 1]
    ways = {"on_points": bank.on_points, "numbered_from": bank.numbered_from}
    return {"number": number, "name": bank.name, **ways, "switches": switches}


def bands_of(job: Job, interval: str = "20 ft") -> str:
    """The digest of the bands of the job's box, asked for so far apart."""
    return issued(replace(job, bands=Bands(length(interval), Where("job.toml")))).placards[0].bands


@pytest.mark.parametrize("edit", EDITS)
def test_bands_are_new_where_their_pipes_or_their_words_differ(edit: str) -> None:
    """The refrigerant, the box and the pipes of its units and mains; nothing else is on a band."""
    assert (edit in ON_BANDS) == (bands_of(EDITS[edit]) != bands_of(JOB))


def test_bands_name_the_port_of_their_unit() -> None:
    """A unit that gives up one letter of its pair has new bands, though the order of all is the same."""
    alone = replace(JOB, units=(*JOB.units[:2], replace(JOB.units[2], port="C")))
    assert bands_of(alone) != bands_of(JOB)


def test_bands_differ_by_each_measure_of_the_mains_and_by_their_interval() -> None:
    """A tube, its insulation and its length, and how far apart bands stand."""
    given = (
        mains(liquid="3/4 in"),
        mains(liquid="7/8 in"),
        mains("3/4 in", liquid="3/4 in"),
        mains(run="30 ft", liquid="3/4 in"),
    )
    found = {bands_of(with_box(mains=each)) for each in given} | {bands_of(JOB), bands_of(JOB, "30 ft")}
    assert len(found) == 6


# --- what hangs already ------------------------------------------------------------------------------------


def hanging(old: Job, new: Job) -> set[str]:
    """The ends of the codes of the new job's tags that the old job's set has."""
    before, after = ({tag.code: tag for tag in issued(job).tags} for job in (old, new))
    return {code.removeprefix("BB-1/") for code in same_codes(before, after)}


def test_a_tag_on_new_pipes_does_not_hang() -> None:
    """A pipe of another size comes without its tag, though that would say the same."""
    every = {tag.code.removeprefix("BB-1/") for tag in issued(JOB).tags}
    small, large = (with_unit(liquid=length(text)) for text in ("1/4 in", "3/8 in"))
    assert hanging(small, large) == every - {"A/LIQ", "A/LIQ/FC-1"}
    assert hanging(small, small) == hanging(JOB, large) == hanging(small, JOB) == every


def test_a_strip_hangs_whole_or_not_at_all() -> None:
    """A cell of a board's terminal strip that changes takes the other cells along, no other tag."""
    old, new = (
        on_stocks(job, {"terminal": stock_named("tape-12-strip-300dpi")}, "0.4 in")
        for job in (JOB, with_unit(room="Lab"))
    )
    strips = {tag.code: tag.strip for tag in issued(old).tags}
    assert (strips["BB-1/D/TRM"], strips["BB-1/D/LIQ"]) == ("only", "")
    assert hanging(old, old) == {code.removeprefix("BB-1/") for code in strips}
    assert {f"{letter}/TRM" for letter in "ABCD"}.isdisjoint(hanging(old, new))
    assert {"D/LIQ", "B/GAS", "C/COM"} <= hanging(old, new)

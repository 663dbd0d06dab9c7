"""Each check fires on the smallest bad case and is silent on the nearest good one."""

from dataclasses import dataclass
from fractions import Fraction

import pytest

from tagmaker.catalog.family import Rule
from tagmaker.job.model import Job
from tagmaker.plan.checks import BOX_CHECKS, check_box, check_job, check_size
from tagmaker.plan.plan_job import plan_job
from tagmaker.problems import CODES, Problem, Severity
from tagmaker.units import Capacity
from tests.plan.families import FOUR, three
from tests.records import replace
from tests.strategies import BoxSketch, JobSketch, Row, UnitSketch, box_row, first_box, one_box


def found(job: JobSketch | Job) -> list[Problem]:
    """All that the checks say of a job."""
    return list(plan_job(job if isinstance(job, Job) else job.record())[1])


def codes(job: JobSketch | Job) -> list[str]:
    """The codes of all that the checks say of a job."""
    return [problem.code for problem in found(job)]


def rows(*texts: str) -> JobSketch:
    """A four-port box whose rows are "port capacity", its units numbered."""
    made: list[Row] = []
    for number, text in enumerate(texts, start=1):
        port, _, load = text.partition(" ")
        made.append((f"FC-{number}", port, load))
    return one_box(*made)


@dataclass(frozen=True)
class Case:
    """A code with its severity, the smallest job that it is said of, and the nearest that it is not."""

    code: str
    severity: Severity
    bad: JobSketch
    good: JobSketch


CASES = [
    Case("port-overloaded", Severity.ERROR, rows("A 54001 Btu/h"), rows("A 54000 Btu/h")),
    Case(
        "port-overloaded",
        Severity.ERROR,
        rows("C+D 54 kBtu/h", "C+D 54001 Btu/h"),
        rows("C+D 54 kBtu/h", "C+D 54000 Btu/h"),
    ),
    Case("port-over-by-conversion", Severity.WARNING, rows("A 16 kW"), rows("A 15.8 kW")),
    Case("pair-forbidden", Severity.ERROR, rows("B+C 60 kBtu/h"), rows("A+B 60 kBtu/h")),
    Case("port-unknown", Severity.ERROR, rows("E 12 kBtu/h"), rows("D 12 kBtu/h")),
    Case(
        "port-single-and-joined",
        Severity.ERROR,
        rows("A+B 60 kBtu/h", "B 9 kBtu/h"),
        rows("A+B 60 kBtu/h", "A+B 9 kBtu/h", "C 9 kBtu/h"),
    ),
    Case(
        "unit-twice",
        Severity.ERROR,
        one_box(("fc-1", "A", "9 kBtu/h"), ("FC-1", "B", "9 kBtu/h")),
        one_box(("fc-1", "A", "9 kBtu/h"), ("FC-10", "B", "9 kBtu/h")),
    ),
    Case("box-empty", Severity.ERROR, rows(), rows("A 9 kBtu/h")),
    Case("capacity-missing", Severity.ERROR, rows("A"), rows("A 9 kBtu/h")),
    Case("port-crowded", Severity.WARNING, rows(*["A 5 kBtu/h"] * 6), rows(*["A 5 kBtu/h"] * 5)),
    Case("pair-needless", Severity.NOTE, rows("A+B 54 kBtu/h"), rows("A+B 54001 Btu/h")),
    Case(
        "spare-in-middle",
        Severity.NOTE,
        rows("A 9 kBtu/h", "D 9 kBtu/h"),
        rows("A 9 kBtu/h", "B 9 kBtu/h", "C 9 kBtu/h", "D 9 kBtu/h"),
    ),
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_a_check_fires_once_and_only_it(case: Case) -> None:
    """The smallest bad job is told once, with its severity, box and place, and nothing else is said of it."""
    (problem,) = found(case.bad)
    assert problem.where.file == "job.toml"
    assert (problem.code, problem.severity) == (case.code, case.severity)
    assert set(problem.boxes) == {"BB-1"}
    assert problem.hint


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.code)
def test_the_nearest_good_job_is_in_order(case: Case) -> None:
    """One step to the right side of the line, nothing is said at all."""
    assert codes(case.good) == []


def test_a_problem_stands_at_the_row_that_makes_it() -> None:
    """Rows are numbered here from line 100: the last row of an overloaded port is named."""
    (problem,) = found(rows("A 30 kBtu/h", "B 9 kBtu/h", "A 30 kBtu/h"))
    assert str(problem.where) == "job.toml:102"
    assert problem.message == "port A of BB-1 carries 60 kBtu/h, 6 kBtu/h over its limit of 54 kBtu/h"
    (least,) = found(rows("A 54.0001 kBtu/h"))
    assert least.message.endswith(" less than 0.001 kBtu/h over its limit of 54 kBtu/h")


def test_a_limit_is_told_with_its_source() -> None:
    """An overload names the rule's file and where its figure comes from."""
    (problem,) = found(rows("A 60 kBtu/h"))
    assert problem.hint.startswith(f"limit from layouts/families/four-port-boards.toml ({FOUR.source})")


# --- loads at their limits, in one unit system and between two ---------------------------------------------


def one_port(load: str, limit: Capacity) -> list[str]:
    """What is said of one unit of that load on a port of that limit."""
    family = replace(FOUR, port_limit=limit, joined_limit=limit + limit)
    return codes(rows(f"A {load}").record(family))


METRIC_54000 = Capacity(Fraction(54000), "kW")


@pytest.mark.parametrize(
    ("load", "said"),
    [
        ("54000 Btu/h", []),
        ("54000.001 Btu/h", ["port-over-by-conversion"]),
        ("55080 Btu/h", ["port-over-by-conversion"]),  # exactly 2 %
        ("55080.001 Btu/h", ["port-overloaded"]),
        ("4.5 ton", []),
        ("4.59 ton", ["port-over-by-conversion"]),  # 55,080 Btu/h
        ("4.591 ton", ["port-overloaded"]),
        ("15.9 kW", ["port-overloaded"]),  # the limit's own system: there is no conversion to blame
    ],
)
def test_two_per_cent_against_a_metric_limit(load: str, said: list[str]) -> None:
    """Over by at most 2 % in another unit system than the limit's is a question; beyond it, an error."""
    assert said == one_port(load, METRIC_54000)


@pytest.mark.parametrize(
    ("load", "said"),
    [
        ("15.8 kW", []),
        ("16 kW", ["port-over-by-conversion"]),  # sold as 54,000 Btu/h (common practice), 1.1 % more
        ("16.142 kW", ["port-over-by-conversion"]),  # 55,078.8 Btu/h, computed
        ("16.143 kW", ["port-overloaded"]),  # 55,082.2 Btu/h, computed
        ("54.001 kBtu/h", ["port-overloaded"]),
        ("4.51 ton", ["port-overloaded"]),
    ],
)
def test_two_per_cent_against_54000_btuh(load: str, said: list[str]) -> None:
    """16 kW on a port of 54,000 Btu/h asks for the manual; the same excess in Btu/h or tons is an error."""
    assert said == one_port(load, FOUR.port_limit)


def test_a_conversion_warning_asks_for_the_manual() -> None:
    """It says why it is no error, and where to look."""
    (problem,) = found(rows("A 16 kW"))
    assert problem.message == (
        "port A of BB-1 carries 54.594 kBtu/h, 0.594 kBtu/h over its limit of 54 kBtu/h; "
        "the capacities were given in another unit system than the limit"
    )
    assert "manual for this box" in problem.hint


def test_a_joined_pair_has_its_own_two_per_cent() -> None:
    """32 kW on a pair of 108,000 Btu/h is 1.1 % over; 33 kW is 4 %."""
    assert codes(rows("A+B 32 kW")) == ["port-over-by-conversion"]
    assert codes(rows("A+B 33 kW")) == ["port-overloaded"]


def test_an_unknown_load_is_not_called_over() -> None:
    """A port with a missing capacity is told as missing, though the rest of it is over."""
    assert codes(rows("A 60 kBtu/h", "A")) == ["capacity-missing"]


@pytest.mark.parametrize(("load", "said"), [("70 kBtu/h", []), ("70001 Btu/h", ["box-overloaded"])])
def test_a_box_limit_where_the_family_has_one(load: str, said: list[str]) -> None:
    """A family may limit a box; without that key nothing is said."""
    limited = replace(FOUR, box_limit=Capacity(Fraction(100000)))
    job = rows("A+B 30 kBtu/h", f"C+D {load}")
    assert said == [code for code in codes(job.record(limited)) if code != "pair-needless"]
    assert "box-overloaded" not in codes(job)


def test_a_box_over_its_limit_is_told_with_both_figures() -> None:
    """At the box's own row; it holds that box up."""
    limited = replace(FOUR, box_limit=Capacity(Fraction(50000)))
    (problem,) = found(rows("A 30 kBtu/h", "B 30 kBtu/h").record(limited))
    assert (problem.code, problem.boxes, str(problem.where)) == ("box-overloaded", ("BB-1",), "job.toml:10")
    assert problem.message == "box BB-1 carries 60 kBtu/h; its family's limit is 50 kBtu/h"
    assert problem.hint == f"limit from {FOUR.where} ({FOUR.source})"


def test_a_box_with_an_unknown_load_is_not_called_over() -> None:
    """Where a capacity is missing, the box's total is unknown."""
    limited = replace(FOUR, box_limit=Capacity(Fraction(1)))
    assert codes(rows("A 20 kBtu/h", "B").record(limited)) == ["capacity-missing"]


# --- drafts ------------------------------------------------------------------------------------------------


def test_a_draft_may_lack_capacities() -> None:
    """While the job is a draft, a missing capacity is a warning; issued, it stops the job."""
    (drafted,) = found(replace(rows("A"), is_draft=True))
    (issued,) = found(rows("A"))
    assert issued.message == "unit FC-1 has no capacity: the load of BB-1 A is unknown"
    assert (drafted.code, drafted.severity) == ("capacity-missing", Severity.WARNING)
    assert (issued.code, issued.severity) == ("capacity-missing", Severity.ERROR)


def test_a_capacity_that_could_not_be_read_is_not_called_missing() -> None:
    """What is wrong with the cell was said where it was read."""
    job = rows("A").record()
    unread = replace(job, units=(replace(job.units[0], unread=frozenset({"capacity"})),))
    assert codes(unread) == []


def test_a_draft_excuses_nothing_else() -> None:
    """An overloaded port of a draft is an error like any other."""
    (problem,) = found(replace(rows("A 60 kBtu/h"), is_draft=True))
    assert problem.severity is Severity.ERROR


# --- letters -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "told"),
    [
        (("A 9 kBtu/h", "A+B 60 kBtu/h"), 1),
        (("A+B 60 kBtu/h", "A 9 kBtu/h"), 1),
        (("A+B 60 kBtu/h", "A 9 kBtu/h", "B 9 kBtu/h"), 2),
        (("A 9 kBtu/h", "B 9 kBtu/h", "A+B 60 kBtu/h"), 1),
    ],
)
def test_each_row_at_odds_with_an_earlier_one_is_told_once(texts: tuple[str, ...], told: int) -> None:
    """In any order, each later row that uses a letter otherwise is told, with the earlier row's place."""
    problems = [each for each in found(rows(*texts)) if each.code == "port-single-and-joined"]
    assert len(problems) == told
    assert all("see job.toml:10" in problem.hint for problem in problems)


def test_a_letter_used_twice_is_told_at_the_later_row() -> None:
    """Both units and both ways of using the letter are named."""
    (problem,) = found(rows("A+B 60 kBtu/h", "B 9 kBtu/h"))
    assert problem.message == "port B of BB-1 carries FC-2 on 'B' and FC-1 on 'A+B'"
    assert str(problem.where) == "job.toml:101"


def test_two_pairs_over_one_letter() -> None:
    """Where a family joins A+B and B+C, B cannot be in both."""
    job = replace(
        one_box(("FC-1", "A+B", "5 kW"), ("FC-2", "B+C", "5 kW"), ports=3), family="three-port-boards"
    )
    said = [code for code in codes(job.record(three())) if code == "port-single-and-joined"]
    assert said == ["port-single-and-joined"]


def test_a_wrong_port_is_named_as_it_was_written() -> None:
    """The message repeats the row's own text."""
    (problem,) = found(rows("b + c 60 kBtu/h".replace(" + ", "+")))
    assert problem.message == "box BB-1 cannot join 'b+c' (unit FC-1)"
    (problem,) = found(rows("Q 9 kBtu/h"))
    assert problem.message == "box BB-1 has no port 'Q' (unit FC-1)"


# --- sizes, twins, empty boxes -----------------------------------------------------------------------------


@pytest.mark.parametrize("ports", range(1, 14))
def test_only_the_familys_sizes_exist(ports: int) -> None:
    """4, 6, 8, 10 and 12 ports; every other size is an error that lists them, and is not planned."""
    job = one_box(("FC-1", "A", "9 kBtu/h"), ports=ports).record()
    plan, problems = plan_job(job)
    is_size = ports in (4, 6, 8, 10, 12)
    assert is_size == (not list(check_size(job.boxes[0])))
    assert is_size == (len(plan.boxes) == 1)
    assert is_size == (not problems)


def test_a_wrong_size_lists_the_right_ones() -> None:
    """The hint names the family's file and its sizes."""
    (problem,) = check_size(box_row(BoxSketch("BB-1", 5, ()), FOUR))
    assert (problem.code, problem.boxes, str(problem.where)) == ("size-unknown", ("BB-1",), "job.toml:10")
    assert problem.message == "box BB-1 has 5 ports; family 'four-port-boards' has none of that size"
    assert problem.hint == "sizes in layouts/families/four-port-boards.toml: 4, 6, 8, 10, 12"


def test_a_unit_named_twice_concerns_both_boxes() -> None:
    """Each twin's box is held up, and the earlier row's place is named."""
    boxes = tuple(BoxSketch(tag, 4, (UnitSketch("FC-1", "A"),)) for tag in ("BB-1", "BB-2"))
    (problem,) = check_job(JobSketch(boxes).record())
    assert problem.boxes == ("BB-1", "BB-2")
    assert "job.toml:100" in problem.hint
    assert str(problem.where) == "job.toml:101"


def test_a_unit_named_three_times_is_told_twice() -> None:
    """Every row after the first is told."""
    job = one_box(*[("FC-1", port, "9 kBtu/h") for port in "ABC"])
    assert codes(job) == ["unit-twice", "unit-twice"]


def test_a_box_whose_rows_could_not_be_read_is_not_called_empty() -> None:
    """What is wrong with it was said where it was read."""
    assert codes(replace(rows().record(), part_read=frozenset({"BB-1"}))) == []


# --- habits ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("used", "said"),
    [
        ("ABCD", ""),
        ("ABC", ""),  # the spare is at the end
        ("A", ""),
        ("BCD", ""),  # the spare is at the other end
        ("D", ""),
        ("AD", "ports B, C"),
        ("ABD", "port C"),
        ("BD", "port C"),
        ("AC", ""),  # B is spare between, yet D is free at the end
    ],
)
def test_spares_between_used_ports(used: str, said: str) -> None:
    """A spare is worth a note where it lies between used ports and the last port is used."""
    problems = found(rows(*(f"{port} 9 kBtu/h" for port in used)))
    assert bool(said) == bool(problems)
    assert all(problem.message.startswith(f"spare {said} of BB-1") for problem in problems)


def test_spares_of_a_half_read_box_are_not_judged() -> None:
    """A row that could not be read may hang on the port that looks spare."""
    job = replace(rows("A 9 kBtu/h", "D 9 kBtu/h").record(), part_read=frozenset({"BB-1"}))
    assert codes(job) == []


def test_a_pair_of_unknown_load_is_not_called_needless() -> None:
    """Only a known load shows that one port would do."""
    assert codes(replace(rows("A+B"), is_draft=True)) == ["capacity-missing"]


def test_a_crowded_port_is_told_at_its_last_row() -> None:
    """The row that is one too many, counted from 100."""
    (problem,) = found(rows(*["A 5 kBtu/h"] * 6))
    assert str(problem.where) == "job.toml:105"
    assert problem.message == "port A of BB-1 has 6 units; at most 5 is usual"


def test_units_per_port_are_the_familys() -> None:
    """A family that allows two units a port asks at the third."""
    family = replace(FOUR, units_per_port=2)
    assert codes(rows(*["A 5 kBtu/h"] * 2).record(family)) == []
    assert codes(rows(*["A 5 kBtu/h"] * 3).record(family)) == ["port-crowded"]


# --- settings that would be read otherwise -----------------------------------------------------------------


def test_settings_that_would_be_misread_stop_the_job() -> None:
    """One switch for A and B cannot say that A alone is spare: an error at the box, not a wrong placard."""
    shared = (Rule("unused", (1, 2), 1, 1), Rule("unused", (3,), 1, 3), Rule("unused", (4,), 1, 4))
    family = replace(FOUR, rules=shared)
    (problem,) = found(rows("B 9 kBtu/h").record(family))
    assert (problem.code, problem.severity) == ("switches-ambiguous", Severity.ERROR)
    assert problem.message == (
        "only board of BB-1: no switch setting of 'four-port-boards' gives the use of position 1"
    )
    assert (problem.boxes, str(problem.where)) == (("BB-1",), "job.toml:10")
    assert problem.hint == f"compare the rules in {FOUR.where} with the manual for this box"
    assert codes(rows("C 9 kBtu/h").record(family)) == []


def test_check_box_is_the_sum_of_its_checks() -> None:
    """Every check of the tuple is asked, in its order."""
    job = rows("A 60 kBtu/h", "B+C 9 kBtu/h", "D").record()
    box = first_box(job)
    each = [problem for check in BOX_CHECKS for problem in check(job, box)]
    assert each == list(check_box(job, box))
    assert [problem.code for problem in each] == [
        "pair-forbidden",
        "capacity-missing",
        "port-overloaded",
        "spare-in-middle",
    ]


OF_ROWS = {
    "address-twice",
    "address-wrong",
    "liquid-not-smaller",
    "run-too-long",
    "dimension-unusual",
    "port-flooded",
}
"""Codes of `row_checks` and of thousands of rows, which have tests of their own."""


def test_every_plan_problem_has_a_case_here() -> None:
    """No code of the plan's checks is without its smallest case."""
    tested = (
        {case.code for case in CASES}
        | OF_ROWS
        | {
            "size-unknown",
            "tag-unknown",  # of the command line, as box-unknown is
            "box-overloaded",
            "spare-in-service",
            "switches-ambiguous",
        }
    )
    first, last = list(CODES).index("size-unknown"), list(CODES).index("switches-ambiguous")
    assert set(list(CODES)[first : last + 1]) == tested


# --- spare ports that no switch takes out of service --------------------------------------------------------


def test_a_spare_port_without_a_switch_is_named() -> None:
    """Its box is warned of, the ports are named, and what the board will believe."""
    family = replace(FOUR, rules=tuple(rule for rule in FOUR.rules if rule.positions not in {(2,), (4,)}))
    problems = [each for each in found(rows("A 9 kBtu/h").record(family)) if each.code == "spare-in-service"]
    assert [(each.severity, each.message) for each in problems] == [
        (
            Severity.WARNING,
            (
                "spare ports B, D of BB-1 stay in service: 'four-port-boards' has no switch "
                "for an unused port there, and the board will expect a unit there"
            ),
        )
    ]
    assert "spare-in-service" not in codes(rows("A 9 kBtu/h", "B 9 kBtu/h", "D 9 kBtu/h").record(family))
    assert "spare-in-service" not in codes(rows("A 9 kBtu/h"))

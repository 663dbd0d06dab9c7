"""Logged temperatures are read by the same rule as a person's readings."""

import csv
import io

import pytest

from tagmaker.catalog.response import reading_rule
from tagmaker.site.response.temperatures import TemperatureLog, is_log, read_log, readings_of


def table(text: str) -> list[list[str]]:
    """The cells of a log."""
    return list(csv.reader(io.StringIO(text)))


def readings(text: str, rounds: int = 2) -> dict[str, tuple[str, ...]]:
    """What a log that can be read gives."""
    log = read_log(table(text))
    assert isinstance(log, TemperatureLog), log
    return dict(readings_of(log, reading_rule(), rounds))


def test_rule_is_data_with_its_standing() -> None:
    """Minutes and temperatures [practice]."""
    rule = reading_rule()
    assert (rule.first_minutes, rule.settle_minutes, rule.hot_f, rule.cold_f) == (30, 15, 100, 60)
    assert rule.source.startswith("common practice")


@pytest.mark.parametrize(
    ("degrees", "letter"), [(100, "H"), (140, "H"), (99.9, "?"), (60.1, "?"), (60, "C"), (38, "C")]
)
def test_limits_belong_to_heat_and_cool(degrees: float, letter: str) -> None:
    """100 °F or more, 60 °F or less, between them unclear."""
    assert reading_rule().letter(degrees) == letter


def test_a_log_is_read_round_by_round() -> None:
    """After 30 minutes in the first round, 15 in the next."""
    text = "time,round,FC-1,BB-1/A\n"
    text += "10:00,1,70,70\n10:29,1,70,50\n10:30,1,120,48\n10:40,1,125,47\n"
    text += "10:50,2,125,47\n11:04,2,80,80\n11:05,2,45,130\n"
    assert readings(text) == {"FC-1": ("H", "C"), "BB-1/A": ("C", "H")}


def test_a_header_may_say_celsius() -> None:
    """40 °C is 104 °F; 10 °C is 50 °F."""
    text = "Time,Round,FC-1 (°C),BB-1/A °C,FC-2 °F\n10:00,1,20,20,70\n10:31,1,40,10,110\n"
    assert readings(text, 1) == {"FC-1": ("H",), "BB-1/A": ("C",), "FC-2": ("H",)}


def test_temperatures_that_do_not_agree_are_unclear() -> None:
    """One place hot and then cold within a round."""
    assert readings("time,round,FC-1\n10:00,1,70\n10:30,1,120\n10:45,1,50\n", 1) == {"FC-1": ("?",)}


def test_what_was_not_logged_was_not_seen() -> None:
    """Empty cells, and rounds without a row."""
    assert readings("time,round,FC-1,FC-2\n10:00,1,70,70\n10:30,1,120,\n", 3) == {
        "FC-1": ("H", "", ""),
        "FC-2": ("", "", ""),
    }


def test_a_log_goes_on_after_midnight() -> None:
    """A clock that starts again is of the next day."""
    assert readings("time,round,FC-1\n23:50,1,70\n00:19,1,70\n00:20,1,120\n", 1) == {"FC-1": ("H",)}


def test_a_time_may_have_its_date() -> None:
    """ISO 8601."""
    text = "time,round,FC-1\n2026-06-03 23:50,1,70\n2026-06-04T00:20:00,1,120\n"
    assert readings(text, 1) == {"FC-1": ("H",)}


def test_summer_time_begins_in_a_log() -> None:
    """The clock goes on an hour, the equipment ten minutes: nothing has settled."""
    text = "time,round,FC-1\n2026-03-29T01:55:00+01:00,1,70\n2026-03-29T03:05:00+02:00,1,120\n"
    assert readings(text, 1) == {"FC-1": ("",)}
    assert readings(f"{text}2026-03-29T03:25:00+02:00,1,120\n", 1) == {"FC-1": ("H",)}


@pytest.mark.parametrize(
    "row", ["", "noon,1,70", "25:00,1,70", "10:00,,70", "10:00,zero,70", "10:00,1,warm", "10:00,1,900"]
)
def test_a_cell_that_is_none_refuses_the_log(row: str) -> None:
    """With its row; an empty row is passed over."""
    log = read_log(table(f"time,round,FC-1\n{row}\n"))
    assert isinstance(log, TemperatureLog) if not row else "row 2" in str(log)


def test_other_tables_are_no_logs() -> None:
    """A log has a time and a round."""
    assert is_log(["Time", " round", "FC-1"])
    assert not is_log(["plan", "system", "box", "port", "unit", "round 1"])


@pytest.mark.parametrize(
    ("rows", "part"),
    [
        ("10:40,1,120\n10:00,1,70", "before the row above"),
        ("2026-06-03 10:40,1,120\n2026-06-03 10:00,1,70", "before the row above"),
        ("11:10,2,50\n10:30,1,120", "before the row above"),
        ("10:00,1,70\n2026-06-03 10:05,1,120", "before the row above"),
        ("2026-06-03 10:00,1,70\n2026-06-03T10:40Z,1,120", "before the row above"),
        ("10:00,1,70\n10:40,2,50\n11:20,1,120", "goes back to round 1 in row 4"),
    ],
)
def test_a_log_that_goes_back_is_refused(rows: str, part: str) -> None:
    """The newest row first, or a round begun again: settling times would count as readings."""
    log = read_log(table(f"time,round,FC-1\n{rows}\n"))
    assert part in str(log)


def test_a_dated_log_may_pause_for_days() -> None:
    """Over a weekend."""
    text = "time,round,FC-1\n2026-06-05 10:00,1,70\n2026-06-05 10:40,1,120\n2026-06-08 09:00,2,50\n"
    assert readings(text) == {"FC-1": ("H", "")}


def log_of(head: str, *degrees: int) -> str:
    """Three places in three rounds."""
    rows = [f"{10 + number}:00,{number},{','.join(map(str, degrees))}" for number in (1, 2, 3)]
    return "\n".join([f"time,round,{head}", *rows])


@pytest.mark.parametrize(
    ("head", "degrees", "part"),
    [
        ("A,B,C", (45, 8, 50), "has no temperature above 65 °F"),
        ("A °C,B °C,C °C", (110, 45, 120), "has no temperature below 86 °F"),
    ],
)
def test_a_log_in_the_other_unit_is_refused(head: str, degrees: tuple[int, ...], part: str) -> None:
    """Degrees of the other scale make every place cold, or every place hot."""
    assert part in str(read_log(table(log_of(head, *degrees))))


@pytest.mark.parametrize(
    ("head", "degrees"),
    [
        ("A °F,B °F,C °F", (45, 8, 50)),
        ("A °C,B °C,C °C", (45, 8, 50)),
        ("A,B,C", (110, 45, 120)),
        ("A,B", (45, 50)),
        ("A °C,B °C", (45, 50)),
    ],
)
def test_a_log_that_says_its_unit_or_shows_it_is_read(head: str, degrees: tuple[int, ...]) -> None:
    """A few places may all be cold, or all hot."""
    assert isinstance(read_log(table(log_of(head, *degrees))), TemperatureLog)

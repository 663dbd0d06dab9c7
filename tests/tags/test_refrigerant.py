"""The refrigerant as it is printed: its safety group, its warnings, and a note where neither is known."""

import pytest

from tagmaker.catalog.bands import band_rules
from tagmaker.job.model import Bands
from tagmaker.problems import Severity, Where
from tagmaker.tags.refrigerant import (
    check_refrigerant,
    refrigerant_text,
    refrigerant_warnings,
    safety_group,
)
from tests.records import replace
from tests.strategies import one_box, words

JOB = one_box(("FC-1", "A", "9 kBtu/h")).record()


@pytest.mark.parametrize("name", band_rules().groups)
def test_a_known_refrigerant_has_its_group_and_its_groups_warnings(name: str) -> None:
    """ASHRAE 34's group after the name; the warnings are those of `layouts/bands.toml`."""
    group = band_rules().groups[name]
    assert safety_group(name) == group
    assert refrigerant_text(name, words()) == f"Refrigerant {name}, group {group}"
    assert refrigerant_warnings(name) == band_rules().warnings[group]


def test_flammable_and_toxic_groups_are_warned_of() -> None:
    """Every group but A1 has a warning."""
    assert {group for group, said in band_rules().warnings.items() if not said} == {"A1"}


def test_an_unknown_one_is_printed_alone_with_a_note() -> None:
    """No group is guessed, no warning left out in silence: a note names it and the nearest that is known."""
    job = replace(JOB, refrigerant="R-33")
    assert (refrigerant_text("R-33", words()), refrigerant_warnings("R-33")) == ("Refrigerant R-33", ())
    (problem,) = check_refrigerant(job)
    assert (problem.severity, problem.code, problem.where) == (
        Severity.NOTE,
        "refrigerant-unknown",
        job.where,
    )
    assert "'R-33'" in problem.message
    assert "did you mean 'R-32'?" in problem.hint


def test_no_note_where_there_is_nothing_to_note() -> None:
    """A known refrigerant, none at all, or a job with bands, which have an error of their own."""
    with_bands = replace(JOB, refrigerant="R-33", bands=Bands(None, Where("job.toml", 6)))
    for job in (JOB, replace(JOB, refrigerant="R-32"), with_bands):
        assert list(check_refrigerant(job)) == []

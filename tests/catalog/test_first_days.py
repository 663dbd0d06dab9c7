"""The file of first days: its days, its rules, and what each asks."""

from tagmaker.catalog.first_days import MODES, first_days
from tagmaker.catalog.signs import sign_rule


def test_days_and_rules() -> None:
    """Days in order; every rule has a limit, known modes and words; common practice is called so."""
    found = first_days()
    assert list(found.days) == sorted(set(found.days))
    assert "common practice" in found.source
    for rule in found.rules:
        assert set(rule.modes) <= set(MODES)
        assert rule.least is not None or rule.most is not None
        assert rule.of[0] != rule.of[1]
        assert rule.text


def test_signs_are_as_the_specification_asks() -> None:
    """13 mm; above 50 kg more signs: UFGS, section on direct-expansion equipment, read in a copy."""
    rule = sign_rule()
    assert rule.letters_least.mm == 13
    assert rule.more_above.value == 50_000
    assert "UFGS" in rule.source

"""The rules for pipe identification bands: groups, warnings, letter heights, interval, all of them data."""

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from tagmaker.catalog.bands import band_rules
from tagmaker.catalog.folders import layouts

FIRE = "WARNING - Risk of Fire. Flammable Refrigerant."
EXPLOSION = "DANGER - Risk of Fire or Explosion. Flammable Refrigerant."
TOXIC = "DANGER - Toxic Refrigerant."
WARNINGS = {
    "A1": (),
    "A2L": (FIRE,),
    "A2": (EXPLOSION,),
    "A3": (EXPLOSION,),
    "B1": (TOXIC,),
    "B2L": (FIRE, TOXIC),
    "B2": (EXPLOSION, TOXIC),
    "B3": (EXPLOSION, TOXIC),
}
"""IMC 2021/2024 1109.2.7 [memory]: recalled, not read; a user may edit the file."""
GROUPS = {
    "R-410A": "A1",  # ASHRAE 34 [2nd], as those that follow
    "R-22": "A1",
    "R-134a": "A1",
    "R-404A": "A1",
    "R-32": "A2L",
    "R-454B": "A2L",
    "R-454C": "A2L",
    "R-1234yf": "A2L",
    "R-1234ze(E)": "A2L",
    "R-290": "A3",
    "R-717": "B2L",
    "R-407C": "A1",  # ASHRAE 34 [memory], as those that follow
    "R-513A": "A1",
    "R-466A": "A1",
    "R-744": "A1",
}
RULES = """interval = "5 m"
letters_least = "12 mm"
[safety_groups]
R-32 = "A2L"
[warnings]
A2L = ["BEWARE"]
[[letters]]
up_to = "50 mm"
height = "10 mm"
[[letters]]
up_to = "5 m"
height = "30 mm"
"""


def test_safety_groups() -> None:
    """ASHRAE 34, at second hand and from memory: every refrigerant that the file knows, and its group."""
    assert band_rules().groups == GROUPS


def test_warnings_of_the_groups() -> None:
    """A2L and B2L risk fire, A2, A3, B2 and B3 fire or explosion, every B is toxic, A1 is neither."""
    assert band_rules().warnings == WARNINGS


def test_every_group_of_the_file_has_its_warnings() -> None:
    """No refrigerant has a group that nobody says anything about."""
    assert set(band_rules().groups.values()) <= set(band_rules().warnings)


def test_interval_and_least_letters() -> None:
    """At most 20 ft, 6096 mm, apart; letters at least 1/2 in, 12.7 mm: IMC 1109.2.7 [memory]."""
    rules = band_rules()
    assert (float(rules.interval.mm), float(rules.letters_least.mm)) == (6096.0, 12.7)


@given(st.floats(1, 20000), st.floats(1, 20000))
def test_a_larger_pipe_never_has_smaller_letters(first: float, second: float) -> None:
    """Every diameter has a height, none below the least, rising with the pipe."""
    small, large = (band_rules().letter_mm(mm) for mm in sorted((first, second)))
    assert 12.7 <= small <= large


def test_file_says_how_each_rule_is_known() -> None:
    """What is from memory or at second hand says so beside the rule, for whoever edits the file."""
    lines = (layouts() / "bands.toml").read_text(encoding="utf-8").splitlines()
    marked = [line for line in lines if "from memory" in line or "second hand" in line]
    told = " ".join(marked)
    assert all(key in told for key in ("interval", "letters_least", "safety_groups", "warnings"))
    recalled = [key for key in ("R-407C", "R-513A", "R-466A", "R-744") if f"{key} =" in told]
    assert recalled == ["R-407C", "R-513A", "R-466A", "R-744"]


def test_rules_are_data(own_layouts: Path) -> None:
    """Another file gives other rules; the least letters hold where its table says less."""
    (own_layouts / "bands.toml").write_text(RULES, encoding="utf-8")
    rules = band_rules()
    assert (rules.groups, rules.warnings) == ({"R-32": "A2L"}, {"A2L": ("BEWARE",)})
    assert [rules.letter_mm(mm) for mm in (20, 50, 50.1, 4000)] == [12, 12, 30, 30]

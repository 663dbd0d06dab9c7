"""A box family is data: a good file is read as it stands, every contradiction in one is told."""

from fractions import Fraction
from pathlib import Path

import pytest

from tagmaker.catalog.family import CONDITIONS, Bank, Family, Rule, load_family
from tagmaker.catalog.folders import names
from tagmaker.problems import Problem, Where
from tagmaker.units import Capacity, Length
from tests.job_files import write_files
from tests.tables import table

HERE = Where("job.toml", 3)
OWN = """title = "Boards of three"
source = "an invented family"
port_names = "ABCDEF"
ports_per_board = 3
port_counts = [3, 5, 6]
places = [["only"], ["upper", "lower"]]
port_limit = "4 ton"
joined_limit = "7 ton"
box_limit = "40 kW"
units_per_port = 2

[[bank]]
name = "SW1"
switches = 6
on_points = "down"
numbered_from = "right"

[[rule]]
when = "unused"
positions = [1]
bank = 1
switch = 2

[[rule]]
when = "joined"
positions = [2, 3]
bank = 1
switch = 5
set_by = "factory"
"""
SMALLEST = """source = "an invented family"
port_names = "A"
ports_per_board = 1
port_counts = [1]
places = [["only"]]
port_limit = "1 ton"

[[bank]]
name = "SW"
switches = 1
"""
SECOND_BANK = '[[bank]]\nname = "sw1"\nswitches = 2\n\n[[rule]]'
ADDRESSES_WRONG = "'addresses' must be two whole numbers, least and most: [1, 64]"
PLACES_WRONG = '\'places\' must be lists of words, like [["only"], ["left", "right"]]'


def load(folder: Path, text: str) -> tuple[Family | None, tuple[Problem, ...]]:
    """The family of a text in a job's own folder."""
    write_files(folder, {"families/own.toml": text})
    return load_family("own", folder, HERE)


def told(folder: Path, text: str) -> list[str]:
    """The problems with a family's text, which must all stand in it; then there is no family."""
    family, problems = load(folder, text)
    assert family is None
    return [problem.as_text() for problem in problems]


def changed(old: str, new: str) -> str:
    """The good text with one thing in it changed."""
    assert old in OWN
    return OWN.replace(old, new, 1)


# --- good files ---------------------------------------------------------------------------------------------


def test_family_is_read_as_it_stands(tmp_path: Path) -> None:
    """Every key of the file is in the record, capacities exact."""
    family, problems = load(tmp_path, OWN)
    assert problems == ()
    assert family == Family(
        name="own",
        title="Boards of three",
        source="an invented family",
        port_names="ABCDEF",
        ports_per_board=3,
        port_counts=(3, 5, 6),
        places=(("only",), ("upper", "lower")),
        port_limit=Capacity(Fraction(48000), "ton"),
        joined_limit=Capacity(Fraction(84000), "ton"),
        box_limit=Capacity(40 * Fraction(3600 * 1000) / Fraction("1055.05585262"), "kW"),
        units_per_port=2,
        banks=(Bank("SW1", 6, "down", "right"),),
        rules=(Rule("unused", (1,), 1, 2), Rule("joined", (2, 3), 1, 5, "factory")),
        where=Where("families/own.toml"),
    )


def test_family_of_few_words(tmp_path: Path) -> None:
    """What a file may leave out has a value that common practice gives: a pair carries twice a port's."""
    dropped = ("title", "joined_limit", "box_limit", "units_per_port", "on_points", "numbered_from", "set_by")
    text = "".join(line for line in OWN.splitlines(keepends=True) if not line.startswith(dropped))
    family, problems = load(tmp_path, text)
    assert problems == ()
    assert family
    assert (family.title, family.units_per_port, family.box_limit) == ("own", 5, None)
    assert family.joined_limit.btuh == 96000
    assert family.banks == (Bank("SW1", 6, "up", "left"),)
    assert family.rules[1].set_by == "site"


def test_ports_with_valves_of_their_own(tmp_path: Path) -> None:
    """Only where the file says so: without valves a port cannot be isolated."""
    with_valves = changed("units_per_port = 2", "units_per_port = 2\nport_valves = true")
    for text, has_valves in ((OWN, False), (with_valves, True)):
        family, problems = load(tmp_path, text)
        assert problems == ()
        assert family
        assert family.port_valves == has_valves


def test_smallest_family(tmp_path: Path) -> None:
    """One port a board, one switch a bank."""
    family, problems = load(tmp_path, SMALLEST)
    assert problems == ()
    assert family
    assert (family.ports_per_board, family.banks, family.rules) == (1, (Bank("SW", 1),), ())


def test_boards_of_a_box(tmp_path: Path) -> None:
    """A board serves so many ports; one begun is a whole board."""
    family, _ = load(tmp_path, OWN)
    assert family
    assert [family.board_count(ports) for ports in (1, 3, 4, 6)] == [1, 1, 2, 2]


def test_rules_of_a_switch(tmp_path: Path) -> None:
    """A switch has the rules that set it, or none; joinable positions are those of the joining rules."""
    family, _ = load(tmp_path, OWN)
    assert family
    assert family.rules_of(1, 5) == (Rule("joined", (2, 3), 1, 5, "factory"),)
    assert family.rules_of(1, 1) == ()
    assert family.joinable() == ((2, 3),)


def test_four_port_boards_say_what_is_common_practice() -> None:
    """The program's own family, [common practice; confirm against the manual for this box]."""
    family, problems = load_family("four-port-boards", None, HERE)
    assert problems == ()
    assert family
    assert family.port_counts == (4, 6, 8, 10, 12)
    assert family.places == (("only",), ("left", "right"), ("left", "middle", "right"))
    assert [family.port_limit.btuh, family.joined_limit.btuh] == [54000, 108000]
    assert family.box_limit is None
    assert [(bank.name, bank.switches) for bank in family.banks] == [("Bank 1", 4), ("Bank 2", 4)]
    assert family.rules == (
        *(Rule("unused", (n,), 1, n) for n in (1, 2, 3, 4)),
        Rule("joined", (1, 2), 2, 1),
        Rule("joined", (3, 4), 2, 2),
        Rule("unfitted", (3, 4), 2, 4, "factory"),
    )
    assert "confirm against the manual" in family.source


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("ABCDEF", "ABCDEFGHIJKLMNOPQRSTUVWXYZ"),
        ("7 ton", "4 ton"),
        ("units_per_port = 2", "units_per_port = 1"),
        ("switches = 6", "switches = 5"),
        ("[3, 5, 6]", "[1]"),
    ],
)
def test_family_at_its_bounds(old: str, new: str, tmp_path: Path) -> None:
    """26 letters, a pair that carries what a port does, a single unit a port: unusual, no contradiction."""
    assert load(tmp_path, changed(old, new))[1] == ()


@pytest.mark.parametrize("name", names("families", None))
def test_every_family_that_ships_is_sound(name: str) -> None:
    """No family of the program contradicts itself, and each names its source."""
    family, problems = load_family(name, None, HERE)
    assert problems == ()
    assert family
    assert family.source


def test_own_family_goes_before_the_programs(tmp_path: Path) -> None:
    """A job's file of the same name is the one that counts, and the one that problems name."""
    write_files(tmp_path, {"families/four-port-boards.toml": OWN})
    family, _ = load_family("four-port-boards", tmp_path, HERE)
    assert family
    assert (family.title, str(family.where)) == ("Boards of three", "families/four-port-boards.toml")


# --- bad files ----------------------------------------------------------------------------------------------


def test_family_that_does_not_exist(tmp_path: Path) -> None:
    """It is told where it was named, with the nearest name, the job's own among them."""
    write_files(tmp_path, {"families/own.toml": OWN})
    family, problems = load_family("owm", tmp_path, HERE)
    assert family is None
    assert [problem.as_text() for problem in problems] == [
        "job.toml:3: error: no box family is named 'owm' [family-unknown]\n    did you mean 'own'?"
    ]


def test_family_file_that_is_no_toml(tmp_path: Path) -> None:
    """A file that cannot be parsed is told as such."""
    (problem,) = load(tmp_path, "title = \n")[1]
    assert (problem.code, problem.where) == ("toml-syntax", Where("families/own.toml", 1))


@pytest.mark.parametrize(
    ("old", "new", "place", "key"),
    table(
        r"""
    port_limit = "4 ton"\n                     |              |     | port_limit
    source = "an invented family"\n            |              |     | source
    places = [["only"], ["upper", "lower"]]\n  |              |     | places
    port_names = "ABCDEF"\n                    |              |     | port_names
    ports_per_board = 3\n                      |              |     | ports_per_board
    port_counts = [3, 5, 6]\n                  |              |     | port_counts
    switches = 6\n                             |              | :12 | bank.switches
    bank = 1\nswitch = 2\n                     | switch = 2\n | :18 | rule.bank
    bank = 1\nswitch = 2\n                     | bank = 1\n   | :18 | rule.switch
    positions = [1]\n                          |              | :18 | rule.positions
    name = "SW1"                               | nmae = "SW1" | :12 | bank.name
    when = "unused"\n                          |              | :18 | rule.when
        """
    ),
)
def test_a_key_that_is_missing(old: str, new: str, place: str, key: str, tmp_path: Path) -> None:
    """It is reported at its table's line."""
    expected = f"families/own.toml{place}: error: key '{key}' is missing [key-missing]"
    assert expected in told(tmp_path, changed(old, new))


@pytest.mark.parametrize(
    ("old", "new", "place", "told_there"),
    [
        ('[["only"], ["upper", "lower"]]', '["only"]', ":6", f"{PLACES_WRONG} [value-wrong]"),
        ('[["only"], ["upper", "lower"]]', "[]", ":6", f"{PLACES_WRONG} [value-wrong]"),
        ('"upper"', '"up per"', ":6", f"{PLACES_WRONG} [value-wrong]"),
        ('"unused"', '"used"', ":19", "'when' cannot be 'used' [value-wrong]\n    did you mean 'unused'?"),
        ("switches = 6", "switches = 11", ":14", "'switches' must be a whole number, 1 to 10 [value-wrong]"),
        ('"right"', '"top"', ":16", "'numbered_from' cannot be 'top' [value-wrong]\n    known: left, right"),
        *(
            ("units_per_port = 2", f"addresses = {value}", ":10", f"{ADDRESSES_WRONG} [value-wrong]")
            for value in ("[64, 1]", "[1]", "[1, 2, 3]", "[true, 9]", '"1-64"', "[-1, 4]")
        ),
    ],
)
def test_family_that_is_not_well_formed(
    old: str, new: str, place: str, told_there: str, tmp_path: Path
) -> None:
    """A value that is wrong is told with its line."""
    assert f"families/own.toml{place}: error: {told_there}" in told(tmp_path, changed(old, new))


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    table(
        r"""
    ABCDEF | ABCDEE | 3 | 'port_names' must be different capital letters A to Z
    ABCDEF | abcdef | 3 | 'port_names' must be different capital letters A to Z
    ABCDEF | 123456 | 3 | 'port_names' must be different capital letters A to Z
    ABCDEF | ABCDE | 5 | 6 ports need more than 5 port names
    ["only"] | ["only", "two"] | 6 | row 1 of 'places' must name 1 different boards
    ["upper", "lower"] | ["upper", "Upper"] | 6 | row 2 of 'places' must name 2 different boards
    , ["upper", "lower"] |  | 6 | 6 ports need 2 boards; 'places' has no row for so many
    "upper", | "Port", | 6 | no board can be called 'Port': fields of the walk sheet have this name
    "upper", | "sign", | 6 | no board can be called 'sign': fields of the walk sheet have this name
    "upper", | "item", | 6 | no board can be called 'item': fields of the walk sheet have this name
    "upper", | "date", | 6 | no board can be called 'date': fields of the walk sheet have this name
    7 ton | 3 ton | 8 | a joined pair's limit is below a single port's
    [[rule]] | [[bank]]\nname = "sw1"\nswitches = 2\n\n[[rule]] | 12 | two banks have the same name
    positions = [1] | positions = [4] | 20 | positions must be different, 1 to 3
    positions = [2, 3] | positions = [2, 2] | 26 | positions must be different, 1 to 3
    positions = [2, 3] | positions = [1, 2, 3] | 26 | a rule for joined ports needs two positions
    positions = [2, 3] | positions = [2] | 26 | a rule for joined ports needs two positions
    bank = 1 | bank = 2 | 21 | the family has no bank 2
    switch = 2 | switch = 7 | 22 | bank 1 has no switch 7
    switch = 5 | switch = 2 | 28 | two rules set bank 1 switch 2
    """
    ),
)
def test_family_that_contradicts_itself(old: str, new: str, line: str, message: str, tmp_path: Path) -> None:
    """Each contradiction is told once, at the line of what is wrong."""
    assert told(tmp_path, changed(old, new)) == [f"families/own.toml:{line}: error: {message} [family-wrong]"]


def test_family_without_banks(tmp_path: Path) -> None:
    """No bank is a contradiction, and so is each rule that sets one."""
    before, _, rest = OWN.partition("[[bank]]")
    rules = rest[rest.index("[[rule]]") :]
    assert told(tmp_path, before + rules) == [
        "families/own.toml: error: the family has no [[bank]] [family-wrong]",
        "families/own.toml:15: error: the family has no bank 1 [family-wrong]",
        "families/own.toml:21: error: the family has no bank 1 [family-wrong]",
    ]


def test_every_contradiction_is_told_in_one_run(tmp_path: Path) -> None:
    """Several at once are several problems."""
    text = changed("switch = 2", "switch = 9").replace("ABCDEF", "ABCDEE")
    assert len(told(tmp_path, text)) == 2


def test_states_of_rules() -> None:
    """A rule speaks of a state that a board can be told: used is what remains."""
    assert CONDITIONS == ("unused", "joined", "unfitted")


def test_a_family_may_give_addresses_and_the_longest_run(tmp_path: Path) -> None:
    """Neither is assumed where it is absent."""
    family, problems = load(tmp_path, f'addresses = [0, 63]\nlongest_run = "50 m"\n{OWN}')
    assert problems == ()
    assert family
    assert (family.addresses, family.longest_run) == ((0, 63), Length(Fraction(50_000), "50 m"))
    family, _ = load(tmp_path, OWN)
    assert family
    assert (family.addresses, family.longest_run) == (None, None)

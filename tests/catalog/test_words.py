"""Every printed word stands in `layouts/words/`, and every word there is printed."""

import ast
import re
import string
from collections.abc import Iterator
from pathlib import Path

import pytest

import tagmaker
from tagmaker.catalog.words import Words, load_words
from tagmaker.typeset.fonts import BOLD, PLAIN, face
from tests.job_files import write_files

SOURCES = sorted(Path(tagmaker.__file__).parent.rglob("*.py"))
TREES = [ast.parse(path.read_text(encoding="utf-8")) for path in SOURCES]
TEXTS = load_words().texts
SECTIONS = "|".join(sorted({key.partition(".")[0] for key in TEXTS}))
KEY = re.compile(rf"({SECTIONS})\.[a-z_]*[a-z]")
BUILT_KEY = re.compile(rf"({SECTIONS})\.[a-z_]*(\{{\}})+[a-z_]*")
FILES = {"hold.toml", "placard.html", "walk.pdf", "walk.html", "walk.toml", "summary.pdf", "changes.pdf"}
FILES |= {"isolation.pdf", "systems.pdf", "handover.pdf", "explain.html", "room.html", "response.html"}
FILES |= {"response.csv", "response.json", "response.pdf", "response.toml", "system.toml"}
FILES |= {"handover.json", "typed.json"}
BUILT = {
    "changes.{}": (
        "new",
        "gone",
        "renamed",
        "replaced",
        "port",
        "ports",
        "shown",
        "place",
        "system",
        "level",
        "power",
        "fed_from",
        "capacity_btuh",
        "room",
        "address",
        "liquid",
        "gas",
        "insulation",
        "run",
        "cable",
    ),
    "days.{}": ("unit", "room", "port", "mode", "set", "in", "out"),
    "days.named_{}": ("set", "in", "out"),
    "isolation.column_{}": ("circuit", "box", "place", "level", "system"),
    "hold.{}": ("lower", "higher", "below", "above", "holds", "falls", "coarse", "hidden"),
    "changes.cut_{}": ("new", "gone", "replaced"),
    "walk.legend_{}": ("marked", "taken_back", "blank"),
    "changes.tags_{}": ("on", "off"),
    "changes.tags_all_{}": ("on", "off"),
    "changes.unit_{}": ("added", "removed", "renamed", "moved"),
    "document.{}": ("tags", "placards", "walk", "changes", "kits", "bands", "summary"),
    "explain.{}": ("used", "unused", "unfitted"),
    "handover.{}": (
        *("complete", "not_complete", "as_planned", "differs", "not_seen"),
        *("walked_by", "sign_name", "sign_date"),
    ),
    "handover.about_{}": ("register", "plan", "read", "picture"),
    "handover.board_{}": ("board", "bank", "planned", "found"),
    "handover.column_{}": ("what", "planned", "found"),
    "handover.file_{}": ("attached", "read"),
    "handover.found_{}": ("on", "off", "unseen"),
    "handover.item_{}": ("item", "role", "found"),
    "handover.open_{}": ("number", "where", "what", "do"),
    "handover.plan_from_{}": ("set", "job"),
    "handover.port_{}": ("port", "planned", "pipe", "cable", "tags", "proof"),
    "handover.role_{}": ("installer", "technician", "verifier", "owner", "inspector"),
    "handover.sign_{}": ("role", "name", "signature", "date"),
    "kit.column_{}": ("room", "unit", "port"),
    "page.kit_{}": ("box", "cables", "lines"),
    "page.stage_{}": ("rough_in", "final"),
    "phone.planned_{}": ("spare", "used", "joined", "second"),
    "placard.{}": ("place", "power", "system", "level", "fed_from", "checked_manual", "set_by", "checked_by"),
    "placard.scan_{}": ("contact", "text", "link"),
    "placard.towards_{}": ("right", "below"),
    "placard.caution_{}": ("power", "pressure", "manual"),
    "placard.column_{}": ("port", "units", "units_address", "rooms", "load"),
    "punch.bring_{}": ("cable", "pipe"),
    "punch.missing_{}": ("cable", "pipe"),
    "punch.to_letter_{}": ("cable", "pipe"),
    "punch.{}": ("cable", "pipe"),
    "punch.{}_unseen": ("pipe", "cable"),
    "reason.{}{}": ("unused", "joined", "unfitted", "unfitted_one"),
    "response.caution_{}": ("stop", "licence", "seen"),
    "room.{}": ("free", "shared", "left", "over", "most_free", "most_pair", "most_shared"),
    "state.{}": ("on", "off"),
    "summary.all_{}": ("system", "level"),
    "summary.column_{}": (
        *("system", "level", "boxes", "ports", "single", "pairs", "spare", "units", "load", "limit"),
        *("file", "stock", "labels", "sheets", "box", "place", "used", "bar", "load_limit", "share"),
        *("port", "units_address", "board", "bank", "settings"),
    ),
    "summary.legend_{}": ("load", "left_used", "left_spare", "unknown"),
    "changes.system_{}": ("new", "gone", "renamed"),
    "changes.figure_{}": ("total", "connected", "heater_hours"),
    "system.{}": (
        *("longest_run", "total_run", "first_box", "port_run", "outdoor_above", "outdoor_below"),
        *("between_units", "per_box", "per_unit", "holds", "falls", "cannot_tell", "pressure", "temperature"),
        *("time", "gauge", "thermometer", "vacuum_gauge", "serial", "calibrated", "accuracy"),
        *("charge_title", "start_title"),
    ),
    "system.column_{}": (
        *("unit", "port", "address", "room", "capacity", "liquid", "run", "run_built"),
        *("charge", "charge_built", "opened", "gauges"),
    ),
    "system.gate_{}": ("walked", "tested", "evacuated", "charged", "opened", "heated", "started"),
    "system.hold_{}": ("start", "end"),
    "system.shut_{}": ("opened", "gauges"),
    "handover.shut_{}": ("opened", "gauges"),
    "system.spoken_{}": ("run", "charge", "pipes", "total"),
    "system.test_{}": ("relief", "steps", "bubbles", "settled", "outdoor", "cylinder"),
    "system_found.{}": (
        *("test", "vacuum", "charge", "missing", "to_type", "conflict", "unreadable", "not_ticked"),
        *("unclear", "no_figure", "section", "section_unclear", "beyond", "falls", "cannot_tell"),
        *("other_verdict", "verdict_alone", "end_before_start", "held_short", "start_low"),
        *("start_high", "expired", "not_farthest", "vacuum_short", "vacuum_leak", "vacuum_moisture"),
        *("vacuum_rises", "vacuum_unclear", "runs_missing", "no_charge", "sum", "weighed_less"),
        *("weighed_more", "weighed_added", "gate_skipped", "gate_early", "gate_walked"),
        *("gate_tested", "gate_evacuated", "gate_charged", "section_tested", "outdoor_tested"),
        *("step_low", "step_high", "step_short", "hold_early", "heated_short", "gate_unread"),
        *("vacuum_early", "charge_early", "weighed_other", "unstated"),
    ),
    "system_found.{}_do": (
        *("falls", "other_verdict", "verdict_alone", "end_before_start", "held_short", "start_low"),
        *("start_high", "vacuum_short", "vacuum_leak", "vacuum_moisture", "vacuum_rises", "sum"),
        *("weighed_less", "weighed_more", "weighed_added", "gate_skipped", "gate_early"),
        *("gate_walked", "gate_tested", "gate_evacuated", "gate_charged", "section_tested", "outdoor_tested"),
        *("step_low", "step_high", "step_short", "hold_early", "heated_short", "gate_unread"),
        *("vacuum_early", "charge_early", "weighed_other"),
    ),
    "tag.main_{}": ("liquid", "suction", "hot_gas"),
    "tag.{}": (
        *("liquid", "gas", "cable", "terminal", "locator", "isolation", "unit", "controller"),
        *("box_end", "unit_end", "ceiling", "isolation_end", "splitter_end", "in_room"),
    ),
    "walk.{}": ("place", "power", "installer", "technician", "verifier"),
    "walk.column_{}": ("pipe", "cable", "tags", "pipe_proved", "cable_proved", "how", "note"),
    "walk.told_{}": ("pipe", "cable", "on", "off"),
}
"""Keys that the program puts together, as f-strings with {} for each part, and what the parts can be."""


def nodes() -> Iterator[ast.AST]:
    """Every node of the program's source."""
    for tree in TREES:
        yield from ast.walk(tree)


def whole_keys() -> set[str]:
    """Keys that stand in the program as they are; some texts of that form are files' names."""
    texts = {node.value for node in nodes() if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    return {text for text in texts if KEY.fullmatch(text)} - FILES


def built_keys() -> set[str]:
    """Keys that the program puts together, {} for each part."""
    return {pattern for node in nodes() if BUILT_KEY.fullmatch(pattern := as_pattern(node))}


def as_pattern(node: ast.AST) -> str:
    """An f-string with {} for each part; empty for any other node."""
    if not isinstance(node, ast.JoinedStr):
        return ""
    return "".join(str(value.value) if isinstance(value, ast.Constant) else "{}" for value in node.values)


def calls() -> Iterator[tuple[str, set[str]]]:
    """Each call of the words with a whole key: the key, and the names of its values."""
    for node in nodes():
        if isinstance(node, ast.Call) and isinstance(node.args[0] if node.args else None, ast.Constant):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            key = getattr(node.args[0], "value", None)
            if name in {"words", "word"} and isinstance(key, str):
                yield key, {keyword.arg or "" for keyword in node.keywords}


def places(text: str) -> set[str]:
    """The named places of a text."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


# --- the file and the program agree -------------------------------------------------------------------------


def test_every_key_that_is_asked_for_exists() -> None:
    """No run can stop at a word that does not exist."""
    assert whole_keys() - set(TEXTS) == set()


def test_keys_put_together_are_listed_here() -> None:
    """A new f-string key must say what it can become."""
    assert built_keys() == set(BUILT)


@pytest.mark.parametrize(("pattern", "parts"), BUILT.items())
def test_every_key_put_together_exists(pattern: str, parts: tuple[str, ...]) -> None:
    """Whatever its parts are, the key is there."""
    assert {re.sub(r"(\{\})+", part, pattern) for part in parts} <= set(TEXTS)


def test_every_word_is_used() -> None:
    """A word that nothing prints does not stay in the file."""
    built = {re.sub(r"(\{\})+", part, pattern) for pattern, parts in BUILT.items() for part in parts}
    in_page = {
        key for key in TEXTS if key.startswith(("phone.", "phone_system."))
    }  # its script names them; tested with the page
    states = (
        "(used|unused|joined|unfitted)"  # what is true and what is believed; test_causes goes through all
    )
    caused = {key for key in TEXTS if re.fullmatch(rf"cause\.{states}_{states}(_one)?", key)}
    assert set(TEXTS) - whole_keys() - built - in_page - caused == set()


def test_calls_fill_the_places_of_their_words() -> None:
    """Each call gives exactly the values that its text has places for."""
    wrong = [(key, names, places(TEXTS[key])) for key, names in calls() if names != places(TEXTS[key])]
    assert len(list(calls())) > 40
    assert wrong == []


def test_words_are_printable() -> None:
    """Both faces have every sign of every word, and no word is empty or badly spaced."""
    signs = "".join(TEXTS.values())
    assert (face(PLAIN).missing(signs), face(BOLD).missing(signs)) == ("", "")
    assert [
        key for key, text in TEXTS.items() if not text or (text != text.strip() and key != "cause.and")
    ] == []


# --- the record ---------------------------------------------------------------------------------------------


def test_values_are_filled_in() -> None:
    """A text's places take the values by name."""
    assert load_words()("tag.second_terminal", ports="G+H", first="G") == "NO CABLE HERE – G+H ON G"


def test_unknown_key_is_a_bug() -> None:
    """A key that does not exist is an exception."""
    with pytest.raises(KeyError):
        Words({})("tag.liquid")


def test_language_without_a_file_is_a_bug() -> None:
    """A language that does not exist is an exception that names its file."""
    with pytest.raises(FileNotFoundError, match=r"layouts/words/xx\.toml does not exist"):
        load_words("xx")


def test_only_tables_hold_words(own_layouts: Path) -> None:
    """A key outside a table is no word."""
    write_files(own_layouts, {"words/en.toml": 'language = "English"\n[tag]\ngas = "GAS"\n'})
    assert load_words() == Words({"tag.gas": "GAS"})

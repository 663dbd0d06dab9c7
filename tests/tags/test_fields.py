"""Names of the walk's fields, as they are in forms and in what comes back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagmaker.tags import fields
from tests.strategies import tags

PLACES = st.from_regex(r"[A-Za-z]+", fullmatch=True)
LETTERS = st.sampled_from("ABCDEFGHIJKL")
KEYS = st.from_regex(r"[a-z][a-z0-9-]{0,19}", fullmatch=True)
NUMBERS = st.integers(1, 20)
ROLES = st.sampled_from(("installer", "technician", "verifier"))


def test_names_are_flat_and_as_agreed() -> None:
    """Each name, letter by letter: whoever fills in forms by program depends on them."""
    assert fields.board_seen("BB-1", "left") == "BB-1/left/seen"
    assert fields.switch_on("BB-1", "left", 1, 4) == "BB-1/left/1/4"
    assert fields.port_field("BB-1", "A", "pipe/ok") == "BB-1/port/A/pipe/ok"
    assert fields.box_item("BB-1", "cover") == "BB-1/item/cover"
    assert fields.port_item("BB-1", "A", "drain") == "BB-1/port/A/item/drain"
    assert fields.sign("BB-1", "verifier") == "BB-1/sign/verifier"
    assert fields.date("BB-1", "verifier") == "BB-1/date/verifier"
    assert fields.printed_for("BB-1") == "BB-1/printed-for"


def test_a_boxs_tag_stands_in_capitals() -> None:
    """As in codes, whatever it is written like in the job."""
    names = (
        fields.board_seen("bb-1a", "left"),
        fields.switch_on("bb-1a", "left", 1, 4),
        fields.port_field("bb-1a", "A", "note"),
        fields.box_item("bb-1a", "cover"),
        fields.port_item("bb-1a", "A", "drain"),
        fields.sign("bb-1a", "verifier"),
        fields.date("bb-1a", "verifier"),
        fields.printed_for("bb-1a"),
    )
    assert {name.partition("/")[0] for name in names} == {"BB-1A"}


def test_no_name_has_a_point() -> None:
    """A point would make one field the parent of another (ISO 32000-1, 12.7.3.2, from memory)."""
    assert "." not in fields.switch_on("BB-1", "left", 1, 4) + fields.port_item("BB-1", "A", "drain")


TICKS = ("pipe/ok", "cable/ok", "tags/ok", "pipe/proved", "cable/proved")


@given(tags(), PLACES, LETTERS, KEYS, NUMBERS, NUMBERS, ROLES)
def test_every_name_reads_back(  # noqa: PLR0917 — one part of a name each
    box: str, place: str, letter: str, key: str, bank: int, switch: int, role: str
) -> None:
    """Into its box and the way in which it is filled in, whatever the parts are called."""
    kinds: dict[str, fields.FieldKind] = {
        fields.board_seen(box, place): "tick",
        fields.switch_on(box, place, bank, switch): "switch",
        fields.box_item(box, key): "tick",
        fields.port_item(box, letter, key): "tick",
        fields.sign(box, role): "remark",
        fields.date(box, role): "remark",
        fields.printed_for(box): "printed_for",
        fields.printed_as(box, 12): "printed_for",
        fields.switch_off(box, place, bank, switch): "switch_off",
        **{fields.port_field(box, letter, what): "tick" for what in TICKS},
        **{fields.port_field(box, letter, what): "unit" for what in ("pipe/found", "cable/found")},
        **{fields.port_field(box, letter, what): "remark" for what in ("proved", "note")},
    }
    read = {name: fields.read_field(name) for name in kinds}
    assert {name: (field.box, field.kind) for name, field in read.items() if field} == {
        name: (box.upper(), kind) for name, kind in kinds.items()
    }
    places = {field.place for field in read.values() if field}
    assert places == {place, "item", f"port/{letter}", "sign", "date", ""}
    assert {fields.box_of(name) for name in kinds} == {box.upper()}


@pytest.mark.parametrize(
    "name",
    [
        "",
        "BB-1",
        "BB-1/left",
        "BB-1/left/1",
        "BB-1/port/A",
        "BB-1/port/A/pipe",
        "BB-1/port/a/note",
        "/left/seen",
    ],
)
def test_other_names_are_no_fields(name: str) -> None:
    """A form of somebody else's may have any names."""
    assert fields.read_field(name) is None

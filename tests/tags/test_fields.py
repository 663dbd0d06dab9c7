"""Names of the walk's fields, as they stand in forms and in what comes back."""

from tagmaker.tags import fields


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

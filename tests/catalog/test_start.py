"""The parts of a new job's file are data: `layouts/start.toml`."""

from pathlib import Path

from tagmaker.catalog.start import start_parts


def test_parts_are_texts(own_layouts: Path) -> None:
    """By name; the words in them are still to be filled in."""
    (own_layouts / "start.toml").write_text("head = 'name = {name}'\nversion = 1\n", encoding="utf-8")
    assert start_parts() == {"head": "name = {name}"}

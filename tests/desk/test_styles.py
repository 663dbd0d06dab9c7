"""The sheets of rules: no rule without a use, no class without a rule, no sheet that no page loads."""

import re
from pathlib import Path
from typing import get_args

import tagmaker.desk
from tagmaker.workflows.sheet_view import RowKind

HOME = Path(tagmaker.desk.__file__).parent
SHEETS = sorted((HOME / "static").glob("*.css"))
TEMPLATES = sorted((HOME / "templates").glob("*.html"))
SCRIPTS = sorted((HOME / "static").glob("*.js"))
WORD = re.compile(r"[A-Za-z][\w-]*")
SELECTOR = re.compile(r"[^{}]+(?=\{)")
CLASS = re.compile(r"\.([A-Za-z][\w-]*)")
COMMENT = re.compile(r"/\*.*?\*/|\{#.*?#\}", re.DOTALL)
SPOKEN = re.compile(r"\{%.*?%\}|\{\{.*?\}\}")
ATTRIBUTE = re.compile(r'class="([^"]*)"')
QUOTED = re.compile(r'"[^"]*"|`[^`]*`')
BUILT = re.compile(r"([a-z]+-)\$\{")


def _text(path: Path) -> str:
    return COMMENT.sub("", path.read_text(encoding="utf-8"))


def _classes(sheet: Path) -> set[str]:
    """The names of classes in a sheet's selectors."""
    return set(CLASS.findall(" ".join(SELECTOR.findall(_text(sheet)))))


def _words(texts: list[str]) -> set[str]:
    return {word for text in texts for word in WORD.findall(text)}


def test_every_rule_is_used() -> None:
    """By a template or script, by a kind of row, or as a name that a script builds ("load-" and a state)."""
    scripts = [_text(script) for script in SCRIPTS]
    used = _words([*map(_text, TEMPLATES), *scripts]) | {kind.replace(" ", "-") for kind in get_args(RowKind)}
    built = tuple(start for script in scripts for start in BUILT.findall(script))
    unused = {sheet.name: {each for each in _classes(sheet) - used if not each.startswith(built)}
              for sheet in SHEETS}  # fmt: skip
    assert [f"{name}: {each}" for name, found in unused.items() for each in sorted(found)] == []


def test_every_class_has_a_rule_or_is_asked_for_by_a_script() -> None:
    """Names that a template has as they are; what an expression puts there is left out."""
    known = {name for sheet in SHEETS for name in _classes(sheet)}
    known |= _words([text for script in SCRIPTS for text in QUOTED.findall(_text(script))])
    for template in TEMPLATES:
        values = ATTRIBUTE.findall(SPOKEN.sub(" ", _text(template)))
        assert {name for value in values for name in value.split()} - known == set(), template.name


def test_every_sheet_is_loaded_by_a_template() -> None:
    """None is left over."""
    loaded = "".join(map(_text, TEMPLATES))
    assert [sheet.name for sheet in SHEETS if f"/static/{sheet.name}" not in loaded] == []

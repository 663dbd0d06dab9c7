"""walk.html: the page for a phone, its data, its words and its typeface, before any browser has it."""

import base64
import io
import json
import re
from functools import cache
from typing import Any

import html5lib
import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from tagmaker.catalog.folders import layouts
from tagmaker.catalog.walk_items import WalkItem, walk_items
from tagmaker.outputs.walk_html import walk_html
from tagmaker.plan.model import Plan
from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.walk import WALK_FORMAT, printed_for
from tagmaker.typeset.fonts import BOLD, PLAIN, SLASHED_ZERO, face
from tagmaker.typeset.web_fonts import faces_css
from tests.records import replace
from tests.strategies import JobSketch, one_box, words

SKETCH = one_box(
    ("FC-1", "A", "24 kBtu/h"), ("FC-2", "A", "12 kBtu/h"), ("AH-1", "C+D", "72 kBtu/h"), ports=6
)
"""A shared port, a pair, three spares, a last board with two positions that have no port."""
TEMPLATE = (layouts() / "walk.html").read_text(encoding="utf-8")


def planned(sketch: JobSketch = SKETCH) -> Plan:
    """The plan of a job with the items of every walk."""
    return plan_job(replace(sketch.record(), walk_items=walk_items()))[0]


def written(sketch: JobSketch = SKETCH) -> str:
    """The page of a job."""
    return walk_html(planned(sketch), words()).decode()


def data_of(text: str) -> Any:
    """What stands in a page for its script."""
    tree = html5lib.parse(text, namespaceHTMLElements=False)
    return json.loads(
        "".join(next(each for each in tree.iter("script") if each.get("id") == "data").itertext())
    )


@cache
def data() -> Any:
    """The data of the sketch's page."""
    return data_of(written())


def ports() -> dict[str, Any]:
    """The letters of the sketch's box."""
    return {port["letter"]: port for port in data()["boxes"][0]["ports"]}


# --- data ---------------------------------------------------------------------------------------------------


def test_its_format_is_the_one_that_is_read_back() -> None:
    """One name on both sides."""
    assert data()["format"] == WALK_FORMAT


def test_a_box_says_what_it_was_printed_for() -> None:
    """The same text as the form keeps."""
    plan = planned()
    assert printed_for(plan.job, plan.boxes[0]) == data()["boxes"][0]["printed_for"]


def test_boards_are_those_of_the_plan() -> None:
    """Letters, positions without a port, and of every bank what must be ON and what is left as found."""
    left, right = data()["boxes"][0]["boards"]
    assert (left["place"], left["ports"], left["unfitted"]) == ("left", ["A", "B", "C", "D"], 0)
    assert (right["place"], right["ports"], right["unfitted"]) == ("right", ["E", "F"], 2)
    assert [(bank["name"], bank["on"], bank["leave"]) for bank in left["banks"]] == [
        ("Bank 1", [2], []),
        ("Bank 2", [2], [3]),
    ]
    assert [(bank["name"], bank["on"], bank["leave"]) for bank in right["banks"]] == [
        ("Bank 1", [1, 2], []),
        ("Bank 2", [4], [3]),
    ]
    assert right["planned"] == (
        "Bank 1: ON 1 2, rest OFF; Bank 2: ON 4 (4 check only), leave 3 as found, rest OFF"
    )


@pytest.mark.parametrize(
    ("letter", "told"),
    [
        ("A", "FC-1, FC-2"),
        ("B", "spare: stubs capped, no cable"),
        ("C", "AH-1 on C+D, cable on C"),
        ("D", "AH-1 on C+D: pipe here, no cable here: it lands on C"),
    ],
)
def test_a_letter_says_in_words_what_is_planned(letter: str, told: str) -> None:
    """Its units; where a pair's cable lands; that a spare has none."""
    assert told == ports()[letter]["planned"]


def test_a_letter_says_whose_pipe_and_cable_are_right() -> None:
    """By key; a pair's second letter has the pipe and no cable."""
    whose = {letter: (port["pipe"], port["cable"]) for letter, port in ports().items()}
    assert whose == {
        "A": (["FC-1", "FC-2"], ["FC-1", "FC-2"]),
        "B": ([], []),
        "C": (["AH-1"], ["AH-1"]),
        "D": (["AH-1"], []),
        "E": ([], []),
        "F": ([], []),
    }


def test_items_that_tell_a_letters_use_wait() -> None:
    """What is asked of every letter comes first; what is asked of used, cabled or spare ones waits."""
    own = (WalkItem("mark", "port", "verifier", "Marked"), WalkItem("caps", "spare", "verifier", "Caps on"))
    job = replace(SKETCH.record(), walk_items=(*walk_items(), *own))
    asked = data_of(walk_html(plan_job(job)[0], words()).decode())["boxes"][0]["ports"]
    kept = {port["letter"]: [(item["key"], item["late"]) for item in port["items"]] for port in asked}
    assert [kept[letter] for letter in "ABD"] == [
        [("polarity", True), ("mark", False)],
        [("mark", False), ("caps", True)],
        [("mark", False)],
    ]


def test_a_place_that_is_not_given_says_so() -> None:
    """No empty line stands where the crew looks for the isolator."""
    box = data()["boxes"][0]
    assert (box["place"], box["power"]) == ("not given", "not given")


@pytest.mark.parametrize(
    ("refrigerant", "said", "warning"),
    [
        ("R-410A", "Refrigerant R-410A, group A1", ""),
        ("R-32", "Refrigerant R-32, group A2L", "WARNING - Risk of Fire. Flammable Refrigerant."),
        (
            "R-290",
            "Refrigerant R-290, group A3",
            "DANGER - Risk of Fire or Explosion. Flammable Refrigerant.",
        ),
        ("R-9999", "Refrigerant R-9999", ""),
        ("", "", ""),
    ],
)
def test_the_refrigerant_is_named_with_its_group_and_warning(
    refrigerant: str, said: str, warning: str
) -> None:
    """As layouts/bands.toml has them; a refrigerant that is not known there has no group."""
    plan = planned()
    job = replace(plan.job, refrigerant=refrigerant)
    page = data_of(walk_html(replace(plan, job=job), words()).decode())
    assert (page["refrigerant"], page["warnings"]) == (said, [warning] if warning else [])


def test_a_unit_is_named_with_its_address() -> None:
    """Units of a shared port, each with its own; one without an address by its tag alone."""
    job = planned(SKETCH).job
    units = tuple(replace(unit, address=at) for unit, at in zip(job.units, ("2-07", "", "9"), strict=True))
    plan, _ = plan_job(replace(job, units=units, site="14 Tide Street"))
    page = data_of(walk_html(plan, words()).decode())
    told = {port["letter"]: port["planned"] for port in page["boxes"][0]["ports"]}
    assert told["A"] == "FC-1 (address 2-07), FC-2"
    assert told["C"] == "AH-1 (address 9) on C+D, cable on C"
    assert page["site"] == "14 Tide Street"


# --- safety -------------------------------------------------------------------------------------------------

HOSTILE = "</script><!--<script>&\"'\u2028{data} {faces} {job}"


def test_no_name_ends_the_script_or_becomes_a_part() -> None:
    """Whatever a job is called, the page has its own scripts and no other, and the name is the name."""
    text = written(replace(SKETCH, name=HOSTILE, number="<b>"))
    tree = html5lib.parse(text, namespaceHTMLElements=False)
    assert len(list(tree.iter("script"))) == 2
    assert [each.tag for each in tree.iter("b")] == []
    assert data_of(text)["job"]["name"] == HOSTILE
    assert f"Walk: <b> {HOSTILE}, revision 0" == next(tree.iter("h1")).text


def test_every_place_of_the_template_is_filled() -> None:
    """No mark of the template stays."""
    places = set(re.findall(r"\{[a-z_]+\}", TEMPLATE))
    assert places == {"{data}", "{faces}", "{no_script}", "{systems}", "{title}"}
    assert [place for place in places if place in written()] == []


def test_the_same_job_gives_the_same_bytes() -> None:
    """Its typeface included."""
    assert walk_html(planned(), words()) == walk_html(planned(), words())


# --- words --------------------------------------------------------------------------------------------------

BUILT = {
    "{}_box": ("back", "on"),
    "open_{}": ("box", "boards", "letters"),
    "option{}": ("", "_seen", "_differs"),
    "part_{}": ("box", "boards", "letters", "sign"),
    "state_{}": ("none", "some", "all", "differs"),
    "planned_{}": ("used", "joined", "second", "spare"),
    "alarm{}": ("_nothing", "_full", "_filled"),
    "keeps{}": ("", "_nothing", "_full", "_filled"),
    "{}": (
        "on",
        "off",
        "caution",
        "export_one",
        "export_all",
        "copy",
        "shown_told",
        "empty",
        "pipe",
        "cable",
    ),
    "{} ": ("title", "no_script", "unit_at", "place", "site"),
}
"""Keys that the page's script or the program puts together, and what the parts can be."""


def test_the_page_uses_every_word_and_has_every_word_that_it_uses() -> None:
    """A key of the script exists, and no key stays in the file unused."""
    said = set(re.findall(r'say\("([a-z_]+)"', TEMPLATE))
    said |= {
        word for pair in re.findall(r'say\([^()]+ \? "([a-z_]+)" : "([a-z_]+)"', TEMPLATE) for word in pair
    }
    said |= set(re.findall(r'say\(document.execCommand\("copy"\) \? "(\w+)" : "(\w+)"', TEMPLATE)[0])
    said |= {pattern.strip().format(part) for pattern, parts in BUILT.items() for part in parts}
    said = {word for word in said if not word.startswith("system_")}  # tested with the systems
    assert said - {"alarm", "open_", "part_", "state_"} == set(data()["words"])


# --- typeface -----------------------------------------------------------------------------------------------


def fonts(css: str) -> dict[str, TTFont]:
    """The fonts within @font-face rules, by weight."""
    found = re.findall(r"font-weight: (\d+); src: url\(data:font/woff;base64,([A-Za-z0-9+/=]+)\)", css)
    return {weight: TTFont(io.BytesIO(base64.b64decode(text))) for weight, text in found}


def outline(font: TTFont, glyph: str) -> list[Any]:
    """A glyph's contours."""
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[glyph].draw(pen)
    value: list[Any] = pen.value
    return value


@pytest.mark.parametrize(("weight", "name"), [("400", PLAIN), ("700", BOLD)])
def test_the_typeface_is_the_one_that_is_printed(weight: str, name: str) -> None:
    """Every letter has the printed one's contours, the zero with its slash."""
    ours, whole = fonts(faces_css("é"))[weight], TTFont(face(name).file.path)
    for sign in "ABCDEFGHIJKLMNOPQRSTUVWXYZl1Oé":
        assert outline(whole, whole.getBestCmap()[ord(sign)]) == outline(ours, ours.getBestCmap()[ord(sign)])
    assert outline(whole, SLASHED_ZERO) == outline(ours, ours.getBestCmap()[ord("0")])


def test_the_typeface_has_what_the_page_says_and_no_more() -> None:
    """All signs of the words that the face has, and what is typed; small enough for a page."""
    css = faces_css("‹›✓≠")
    (plain, _) = fonts(css).values()
    assert set(map(chr, plain.getBestCmap())) == {*map(chr, range(ord(" "), 127)), *"‹›✓≠"}
    assert len(css) < 25_000

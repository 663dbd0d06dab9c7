"""Lines as hand scanners type them: on another keyboard layout, with a prefix, in other signs."""

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.catalog.keyboards import keyboards
from tagmaker.files.toml import read_toml
from tagmaker.problems import Problem
from tagmaker.site.scans.codes import LineGatherer, scan_of
from tagmaker.site.scans.typed import plain_signs
from tagmaker.tags.codes import read_code
from tests.paths import ROOT
from tests.records import replace
from tests.site.papers import LIBRARY, library, placards, plan_of, tags_by_code
from tests.strategies import BoxSketch, UnitSketch

CODES = tuple(tags_by_code(library()))
NAMES = tuple(each.name for each in keyboards())
FIRST, SECOND = placards(library())
BY_HAND = {
    "German": "BBß1-A-LIQ",
    "French": "BB)&!Q!LIA",
    "Spanish": "BB'1-A-LIQ",
    "Italian": "BB'1-A-LIQ",
}
"""BB-1/A/LIQ as each layout types it."""


def levels(name: str) -> tuple[str, str, str]:
    """Both levels of a layout's keys as one text, the same of a US keyboard, and the layout's dead keys."""
    file = read_toml(ROOT / "layouts" / "keyboards.toml", "keyboards.toml")
    assert not isinstance(file, Problem)
    content: dict[str, object] = dict(file.content)
    layouts = content["layout"]
    assert isinstance(layouts, list)
    (layout,) = (each for each in layouts if each["name"] == name)
    return layout["plain"] + layout["shifted"], f"{content['plain']}{content['shifted']}", layout["dead"]


def typed(text: str, name: str) -> str:
    """A text as a scanner types it on a computer set to a layout; dead keys compose as on any computer."""
    there, us, dead = levels(name)
    out = ""
    for char in text.translate(str.maketrans(us, there)):
        if out and out[-1] in dead:
            composed = {"`A": "À", "`E": "È", "`I": "Ì", "`O": "Ò", "`U": "Ù"}.get(out[-1] + char)
            out = out[:-1] + composed if composed else out + char
        else:
            out += char
    return out


def locked(text: str, name: str) -> str:
    """The same with Caps Lock on, which exchanges both levels of every key."""
    there, us, _ = levels(name)
    half = len(us) // 2
    return text.translate(str.maketrans(us, there[half:] + there[:half]))


def gathered(lines: list[str], known: "dict[str, object] | None" = None) -> tuple[list[str], list[Problem]]:
    """The texts that lines give, and what is to say of them."""
    gatherer = LineGatherer(known)
    texts = [text for line in lines for text in gatherer.put(line)] + gatherer.rest()
    return texts, list(gatherer.typed.problems("-"))


KNOWN: dict[str, object] = dict.fromkeys(CODES)

# --- layouts ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "line"), BY_HAND.items())
def test_a_code_is_recognised_on_each_layout(name: str, line: str) -> None:
    """As a person sees it on the screen; typed above by hand, and as the table has it."""
    assert typed("BB-1/A/LIQ", name) == line
    texts, (problem,) = gathered([line], KNOWN)
    assert texts == ["BB-1/A/LIQ"]
    assert (problem.severity, problem.code) == ("note", "scan-keyboard")
    assert name in problem.message


@pytest.mark.parametrize("lock", [False, True])
@pytest.mark.parametrize("known", [KNOWN, None])
@pytest.mark.parametrize("name", NAMES)
def test_every_code_of_a_job_is_read_on_every_layout(
    name: str, known: "dict[str, object] | None", *, lock: bool
) -> None:
    """With a job or without, with Caps Lock or without; the layout is reported once."""
    lines = [locked(code, name) if lock else typed(code, name) for code in CODES]
    assert lines != list(CODES)
    texts, problems = gathered(lines, known)
    assert texts == list(CODES)
    assert [each.code for each in problems] == ["scan-keyboard"]


@pytest.mark.parametrize("name", NAMES)
def test_a_placard_is_read_on_every_layout(name: str) -> None:
    """With the dead keys of its plus signs, before tags and after them."""
    pairs = placards(plan_of(replace(LIBRARY, boxes=(pair_of("A+B"), pair_of("D+E"), pair_of("G+H")))))
    for text in (FIRST, SECOND, *pairs):
        lines = [typed(line, name) for line in text.splitlines()]
        assert gathered(lines)[0] == [text]
        tag = typed("BB-1/A/TRM", name)
        assert gathered([tag, *lines, tag])[0] == ["BB-1/A/TRM", text, "BB-1/A/TRM"]


def pair_of(port: str) -> BoxSketch:
    """A box with a joined pair."""
    return BoxSketch(f"BX-{port[0]}", 8, (UnitSketch(f"FC-{port[0]}", port, "60 kBtu/h"),))


@pytest.mark.parametrize("name", NAMES)
def test_the_last_line_of_a_placard_is_known_on_every_layout(name: str) -> None:
    """It ends the placard at once, so that nothing that follows is taken in."""
    gatherer = LineGatherer()
    *lines, last = (typed(line, name) for line in FIRST.splitlines())
    assert [gatherer.put(line) for line in lines] == [[]] * len(lines)
    assert gatherer.put(last) == [FIRST]


@pytest.mark.parametrize("name", NAMES)
def test_no_tag_that_reads_as_it_is_reads_otherwise_on_a_layout(name: str) -> None:
    """So that a layout is tried only for what is no tag."""
    (keyboard,) = (each for each in keyboards() if each.name == name)
    for sign in "/":
        assert keyboard.meant[ord(sign)] not in {*string.ascii_letters, *string.digits, "-", "/"}
    for code in CODES:
        assert read_code(code.translate(keyboard.meant)) is None
        assert read_code(code.translate(keyboard.locked)) is None


def test_a_code_of_another_job_recognises_no_layout() -> None:
    """It may be anything; once a tag of the job proved the layout it is read, as a tag of another job."""
    foreign = typed("ZZ-9/A/TRM", "German")
    assert gathered([foreign], KNOWN) == ([foreign], [])
    assert gathered([BY_HAND["German"], foreign], KNOWN)[0] == ["BB-1/A/LIQ", "ZZ-9/A/TRM"]


def test_without_a_job_every_line_must_be_a_tag() -> None:
    """Another code before it, and nothing is translated."""
    line = BY_HAND["German"]
    assert gathered(["4006381333931", line]) == (["4006381333931", line], [])
    assert gathered(["4006381333931", line], KNOWN)[0] == ["4006381333931", "BB-1/A/LIQ"]


def test_where_a_line_read_as_it_is_no_layout_is_tried() -> None:
    """The keyboard is the scanner's own: another code is another code."""
    line = BY_HAND["German"]
    assert gathered(["BB-1/A/TRM", line], KNOWN) == (["BB-1/A/TRM", line], [])
    assert gathered([*FIRST.splitlines(), line], KNOWN) == ([FIRST, line], [])


def test_layouts_that_differ_in_a_code_give_none() -> None:
    """HZ1 and HY1 are typed alike on a German and on a Spanish layout: neither is guessed, job or not."""
    line = "HZ1-A-LIQ"
    jobs: list[dict[str, object]] = [{"HZ1/A/LIQ": None}, {"HZ1/A/LIQ": None, "HY1/A/LIQ": None}]
    for known in (None, *jobs):
        texts, (problem,) = gathered([line], known)
        assert texts == [line]
        assert (problem.severity, problem.code) == ("warning", "scan-keyboard")
        assert "German" in problem.message
        assert "Spanish" in problem.message


@pytest.mark.parametrize(
    ("first", "codes"),
    [("HZß1-A-LIQ", ["HY-1/A/LIQ", "HY1/A/LIQ"]), ("HZ'1-A-LIQ", ["HZ-1/A/LIQ", "HZ1/A/LIQ"])],
)
def test_a_code_that_only_one_layout_types_decides_for_those_that_follow(
    first: str, codes: list[str]
) -> None:
    """By its hyphen, which is ß on one and ' on the others."""
    assert gathered([first, "HZ1-A-LIQ"])[0] == codes


@given(st.lists(st.sampled_from(CODES), min_size=1), st.sampled_from(NAMES), st.sampled_from((KNOWN, None)))
@settings(deadline=None)
def test_any_run_of_codes_typed_on_a_layout_is_read(
    codes: list[str], name: str, known: "dict[str, object] | None"
) -> None:
    """Each as the code that was scanned, whichever come first."""
    assert gathered([typed(code, name) for code in codes], known)[0] == codes


# --- signs --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        *("]Q1BB-1/A/LIQ", "]C0BB-1/A/LIQ", "]Q3BB-1/A/LIQ\r", "]d2bb-1/a/liq"),
        *("BB-1/A/LIQ\t", "\tBB-1/A/LIQ", "\x02BB-1/A/LIQ\x03", "BB-1/A/LIQ\x04", "\ufeffBB-1/A/LIQ\u200b"),
        *("BB\u20131/A/LIQ", "BB\u20141/A/LIQ", "BB\u20101/A/LIQ", "BB\u20111/A/LIQ", "BB\u22121/A/LIQ"),
        *(
            "BB-1\u2044A\u2215LIQ",
            "ＢＢ－１／Ａ／ＬＩＱ",
            "ｂｂ－１／ａ／ｌｉｑ",
            "］Ｑ１ＢＢ-1/A/LIQ",
            "\u3000BB-1/A/LIQ",
        ),
        *("bB-1/a/LiQ", "BB-1/A/LIQ "),
    ],
)
def test_signs_of_other_settings_are_read(line: str) -> None:
    """Identifiers, tabs, typographic dashes, full width, Caps Lock: in lines and in texts of any source."""
    (text,) = gathered([line])[0]
    assert scan_of(text, "").tag == scan_of(line, "").tag == read_code("BB-1/A/LIQ")
    assert gathered([line])[1] == []


@pytest.mark.parametrize(
    "line",
    [
        *("]Q1", "]Q1]Q1BB-1/A/LIQ", "]QBB-1/A/LIQ", "BB-1/A/L\u0131Q", "BB\xad1/A/LIQ", "\xdfB-1/A/LIQ"),
        *("\ufb01B-1/A/LIQ", "BB-1/A/LIQ;", "BB-1/A/LIQ\u2014", "BB_1/A/LIQ", "BB-1\\A\\LIQ", "BB-1/А/LIQ"),
    ],
)
def test_what_only_looks_like_a_code_is_unknown(line: str) -> None:
    """Letters of other alphabets, and such whose capitals are letters of a code; the text is kept."""
    assert (scan_of(line, "").kind, scan_of(line, "").text) == ("unknown", line)


def test_a_tab_ends_a_code_as_a_line_does() -> None:
    """A scanner that types a tab after each code fills one line."""
    line = "\t".join(("BB-1/A/TRM", "BB-1/A/COM", *FIRST.splitlines(), "BB-1/A/LIQ", ""))
    assert gathered([line])[0] == ["BB-1/A/TRM", "BB-1/A/COM", FIRST, "BB-1/A/LIQ"]


@pytest.mark.parametrize("name", [*NAMES, ""])
def test_an_identifier_before_a_placard_is_left_out(name: str) -> None:
    """Typed on any layout."""
    lines = f"]Q1{FIRST}".splitlines()
    assert gathered([typed(line, name) for line in lines] if name else lines)[0] == [FIRST]


def test_a_placard_in_full_width_is_read() -> None:
    """Its check sum proves it."""
    wide = {code: code + 0xFEE0 for code in range(0x21, 0x7F)} | {0x20: 0x3000}
    assert gathered([line.translate(wide) for line in FIRST.splitlines()])[0] == [FIRST]


def test_a_long_line_is_no_tag_and_takes_no_time() -> None:
    """However much a line holds, it is looked at once."""
    line = "ß-" * 1_000_000
    assert gathered([line])[0] == [line]
    assert plain_signs(" " * 1_000_000 + "a") == "a"

"""Text fitted to its place: never out of its frame, never below the least size, never cut."""

from itertools import pairwise
from string import ascii_letters, digits

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.draw.marks import Align, Text
from tagmaker.typeset.fonts import face
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.text import (
    ABOVE,
    BELOW,
    LEADING,
    LEGIBLE_MM,
    Style,
    Unfit,
    Upright,
    fit,
    fit_stack,
    fits,
    lines_at,
    text_height,
)
from tests.sheets.printed import Box, capitals, ink, outlines

NEAR = 0.01  # mm
SIGNS = "ABCEGHIJLMOQWXabcdfgijlmpqwxyzåéñöç0123456789 -+/,.()&–"
"""With and without ascenders and descenders; accents on capitals reach higher than a line's own room."""
TEXTS = st.text(SIGNS, min_size=1, max_size=60).map(lambda text: " ".join(text.split())).filter(bool)
FRAMES = st.builds(
    Frame, st.just(3.0), st.just(7.0), st.floats(3, 90, allow_nan=False), st.floats(2, 40, allow_nan=False)
)
STYLES = st.builds(
    Style,
    most=st.floats(0.5, 12, allow_nan=False),
    least=st.sampled_from((LEGIBLE_MM, 2.0, 4.0)),
    lines=st.integers(1, 4),
    bold=st.booleans(),
    align=st.sampled_from(("left", "center", "right")),
    upright=st.sampled_from(("top", "middle", "bottom")),
)


def lines_of(found: tuple[Text, ...] | Unfit) -> tuple[Text, ...]:
    """The lines of a text that must fit."""
    assert not isinstance(found, Unfit), found
    return found


def room_of(frame: Frame) -> Box:
    """A frame as a box, with room for rounding."""
    return Box(frame.x - NEAR, frame.y - NEAR, frame.right + NEAR, frame.bottom + NEAR)


# --- in the frame, legible, whole --------------------------------------------------------------------------


@given(TEXTS, FRAMES, STYLES)
@settings(max_examples=100, deadline=None)
def test_a_text_stays_in_its_frame_or_does_not_fit(text: str, frame: Frame, style: Style) -> None:
    """Every glyph's ink lies within the frame, wherever the text stands in it."""
    found = fit(text, frame, style)
    if not isinstance(found, Unfit):
        for line in found:
            assert room_of(frame).holds(ink(line)), (line, frame)


@given(TEXTS, FRAMES, STYLES)
@settings(max_examples=100, deadline=None)
def test_a_text_is_never_below_its_least_size(text: str, frame: Frame, style: Style) -> None:
    """However small the frame and whatever largest size was asked, capitals keep their least height."""
    found = fit(text, frame, style)
    if not isinstance(found, Unfit):
        assert {style.least <= capitals(line) + 1e-9 for line in found} == {True}
        assert {capitals(line) <= max(style.most, style.least) + 1e-9 for line in found} == {True}


@given(TEXTS, FRAMES, STYLES)
@settings(max_examples=100, deadline=None)
def test_no_character_is_lost_and_no_word_cut(text: str, frame: Frame, style: Style) -> None:
    """The lines together are the text; they break at spaces, and in a word only where it is too long."""
    found = fit(text, frame, style)
    if not isinstance(found, Unfit):
        lines = [line.text for line in found]
        assert text.replace(" ", "") == "".join(lines).replace(" ", "")
        assert len(lines) <= style.lines
        at = 0
        for line in lines[:-1]:
            at += len(line)
            if text[at] != " ":
                assert text[at - 1] in "-+/,"
                word = text[:at].rsplit(" ", maxsplit=1)[-1] + text[at:].split(" ", maxsplit=1)[0]
                assert face(style.face).width(word, found[0].size) > frame.width
            at += text[at] == " "


@given(TEXTS, FRAMES, STYLES)
@settings(max_examples=60, deadline=None)
def test_lines_stand_one_leading_apart(text: str, frame: Frame, style: Style) -> None:
    """Lines of one text do not touch: their baselines are LEADING capitals apart."""
    found = fit(text, frame, style)
    if not isinstance(found, Unfit):
        for upper, lower in pairwise(found):
            assert lower.y - upper.y == pytest.approx(LEADING * capitals(upper))
            assert not ink(upper).overlaps(ink(lower))


@given(TEXTS, st.floats(3, 90), STYLES)
@settings(max_examples=60, deadline=None)
def test_more_room_never_makes_a_text_smaller(text: str, width: float, style: Style) -> None:
    """A wider or higher frame gives the same size or a larger one."""
    sizes = []
    for wide, high in ((width, 12), (width, 20), (width * 1.3, 20)):
        found = fit(text, Frame(0, 0, wide, high), style)
        sizes.append(0.0 if isinstance(found, Unfit) else capitals(found[0]))
    assert sizes == sorted(sizes)


# --- what does not fit -------------------------------------------------------------------------------------


def test_a_text_that_cannot_fit_is_named() -> None:
    """Nothing is drawn of it; the answer holds the whole text."""
    assert fit("Conservatory", Frame(0, 0, 5, 10), Style(3)) == Unfit("Conservatory")
    assert fit("A", Frame(0, 0, 50, 1.4), Style(3)) == Unfit("A")


def test_a_missing_character_is_named() -> None:
    """A character that the face lacks is told, once, before anything is drawn."""
    assert fit("5 ☂ and ☂ 茶", Frame(0, 0, 90, 10), Style(3)) == Unfit("5 ☂ and ☂ 茶", "☂茶")
    stack = [("Hall", Style(3)), ("茶", Style(3))]
    assert fit_stack(stack, Frame(0, 0, 90, 20)) == Unfit("茶", "茶")
    assert not fits("☂", 90, 3)


def test_the_least_size_is_the_last_one_tried() -> None:
    """A frame that holds the text at exactly the least size holds it; a hair less does not."""
    measures = face("plain")
    width = measures.width("Reading room", measures.size_for_caps(LEGIBLE_MM))
    (line,) = lines_of(fit("Reading room", Frame(0, 0, width + 0.001, 10), Style(4)))
    assert capitals(line) == pytest.approx(LEGIBLE_MM)
    assert isinstance(fit("Reading room", Frame(0, 0, width - 0.001, 10), Style(4)), Unfit)


def test_the_height_decides_too() -> None:
    """Two lines of 2 mm capitals need 2 × (1.62 + 1 + what reaches above and below)."""
    high = text_height(2.0, 2)
    assert high == pytest.approx(2 * (LEADING + 1 + ABOVE + BELOW))
    measures = face("plain")
    wide = measures.width("Reading", measures.size_for_caps(2.0)) + 0.001
    assert len(lines_of(fit("Reading room", Frame(0, 0, wide, high), Style(2, 2, lines=2)))) == 2
    assert isinstance(fit("Reading room", Frame(0, 0, wide, high - 0.01), Style(2, 2, lines=2)), Unfit)


def test_a_size_asked_below_the_least_is_raised_to_it() -> None:
    """A style whose largest size is below its least prints at the least, or not at all."""
    (line,) = lines_of(fit("Hall", Frame(0, 0, 30, 10), Style(0.8)))
    assert capitals(line) == pytest.approx(LEGIBLE_MM)
    assert isinstance(fit("Hall", Frame(0, 0, 30, 1.9), Style(0.8)), Unfit)


# --- breaking ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("MAY HOLD PRESSURE", ["MAY HOLD", "PRESSURE"]),
        ("FC-127, FC-128, FC-129", ["FC-127,", "FC-128,", "FC-129"]),  # no tag is torn without need
        ("AHU-LEVEL-2-EAST", ["AHU-", "LEVEL-2-", "EAST"]),
        ("north/south/west", ["north/", "south/west"]),
        ("G+H+I+J+K+L+M+N", ["G+H+I+J+", "K+L+M+N"]),
    ],
)
def test_lines_break_between_words(text: str, lines: list[str]) -> None:
    """As many words as go on a line; a word longer than a line after a hyphen, slash, comma or plus."""
    style = Style(2.0, 2.0, lines=3)
    assert lines == [line.text for line in lines_of(fit(text, Frame(0, 0, 14.0, 30), style))]


def test_a_word_wider_than_a_line_does_not_fit_after_another() -> None:
    """A word that no line holds is never set over the frame's edge, wherever in the text it stands."""
    style = Style(2, 2, lines=4)
    assert fit("A Conservatory", Frame(0, 0, 5, 40), style) == Unfit("A Conservatory")


def test_a_word_that_just_fits_a_line_is_not_torn() -> None:
    """The space behind a word asks for no room: a tag as wide as its line keeps its hyphen within."""
    measures = face("plain")
    frame = Frame(0, 0, measures.width("FC-127,", measures.size_for_caps(2)) + 0.001, 30)
    lines = lines_of(fit("A FC-127, B", frame, Style(2, 2, lines=3)))
    assert [line.text for line in lines] == ["A", "FC-127,", "B"]


def test_a_space_at_the_start_asks_for_room() -> None:
    """It is printed, so that a frame as wide as the word alone does not hold it on one line."""
    measures = face("plain")
    frame = Frame(0, 0, measures.width("Hall", measures.size_for_caps(2)) + 0.001, 30)
    assert isinstance(fit(" Hall", frame, Style(2, 2)), Unfit)


def test_a_space_at_the_end_is_not_printed() -> None:
    """It asks for no room and ends no line, of a text on one line or on two."""
    measures = face("plain")
    frame = Frame(0, 0, measures.width("PRESSURE", measures.size_for_caps(2)) + 0.001, 30)
    for text, lines in (("PRESSURE ", ["PRESSURE"]), ("HIGH PRESSURE ", ["HIGH", "PRESSURE"])):
        assert lines == [line.text for line in lines_of(fit(text, frame, Style(2, 2, lines=len(lines))))]


def test_a_no_break_space_holds() -> None:
    """Words joined by it stay on one line."""
    style = Style(2.0, 2.0, lines=2)
    lines = lines_of(fit("to FC-1 · not\u00a0power", Frame(0, 0, 15.0, 30), style))
    assert [line.text for line in lines] == ["to FC-1 ·", "not\u00a0power"]


def test_fits_is_one_line() -> None:
    """`fits` asks for one line at one size, bold or plain."""
    measures = face("bold")
    width = measures.width("ON: 1, 4", measures.size_for_caps(3.0))
    assert fits("ON: 1, 4", width, 3.0, bold=True)
    assert not fits("ON: 1, 4", width - 0.01, 3.0, bold=True)
    assert fits("ON: 1, 4", width - 0.01, 3.0)


# --- where a text stands in its frame ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("upright", "top"),
    [("top", 0.42), ("middle", 9.0), ("letter", 9.0), ("bottom", 17.38)],
)
def test_uprights(upright: Upright, top: float) -> None:
    """Capitals of 2 mm in 20 mm: at the top, in the middle, at the foot with room for what hangs below."""
    (line,) = lines_of(fit("Hall", Frame(0, 0, 50, 20), Style(2, upright=upright)))
    assert line.y - 2 == pytest.approx(top)


def test_two_lines_stand_in_the_middle_together() -> None:
    """Two lines of 2 mm capitals, 1.62 × 2 mm apart, leave as much above as below: 7.38 mm of 20."""
    measures = face("plain")
    frame = Frame(0, 0, measures.width("Reading", measures.size_for_caps(2)) + 0.001, 20)
    lines = lines_of(fit("Reading room", frame, Style(2, 2, lines=2)))
    assert [line.y for line in lines] == pytest.approx([7.38 + 2, 7.38 + 2 + 3.24])


def test_a_bold_text_is_set_in_the_bold_face() -> None:
    """Measured in it, and drawn in it."""
    for bold, name in ((True, "bold"), (False, "plain")):
        (line,) = lines_of(fit("Hall", Frame(0, 0, 50, 20), Style(2, bold=bold)))
        assert (line.face, line.size) == (name, face(name).size_for_caps(2))


def test_a_line_is_of_its_styles_ink_and_role() -> None:
    """How grey a text is, and what it is for, is the style's to say."""
    (line,) = lines_of(fit("Hall", Frame(0, 0, 50, 20), Style(2, ink=0.4, role="main")))
    assert (line.ink, line.role) == (0.4, "main")


@pytest.mark.parametrize(("align", "x"), [("left", 5.0), ("center", 30.0), ("right", 55.0)])
def test_aligns(align: Align, x: float) -> None:
    """A text hangs on its frame's left edge, middle or right edge."""
    (line,) = lines_of(fit("Hall", Frame(5, 0, 50, 20), Style(2, align=align)))
    assert (line.x, line.align) == (x, align)


def test_a_lone_letter_may_fill_its_frame() -> None:
    """A port's letter has no descender to leave room for."""
    (line,) = lines_of(fit("G", Frame(0, 0, 40, 10), Style(10, upright="letter")))
    assert capitals(line) == pytest.approx(10)
    (line,) = lines_of(fit("G", Frame(0, 0, 40, 10), Style(10)))
    assert capitals(line) < 10 / (1 + ABOVE + BELOW) + 0.01


# --- stacks ------------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(TEXTS, STYLES), min_size=1, max_size=4), FRAMES, st.booleans())
@settings(max_examples=60, deadline=None)
def test_a_stack_stays_in_its_frame_and_its_paragraphs_apart(
    paragraphs: list[tuple[str, Style]],
    frame: Frame,
    alike: bool,  # noqa: FBT001
) -> None:
    """Paragraphs one below the other share the frame: each in it, none over another, none too small."""
    found = fit_stack(paragraphs, frame, alike=alike)
    if isinstance(found, Unfit):
        return
    boxes = [ink(line) for line in found]
    assert all(room_of(frame).holds(box) for box in boxes)
    assert not any(upper.overlaps(lower) for upper, lower in pairwise(boxes))
    whole = "".join(text for text, _ in paragraphs).replace(" ", "")
    assert whole == "".join(line.text for line in found).replace(" ", "")
    assert min(capitals(line) for line in found) >= min(style.least for _, style in paragraphs) - 1e-9


def test_a_stack_shrinks_its_first_paragraph_last() -> None:
    """Units stay large while remarks and rooms give way."""
    stack = [("FC-127", Style(4)), ("Equipment store and linen", Style(4))]
    first, second = lines_of(fit_stack(stack, Frame(0, 0, 25, 20)))
    assert capitals(first) == pytest.approx(4)
    assert capitals(second) < 3


def test_a_stack_alike_shrinks_together() -> None:
    """Cautions of one rank are of one size."""
    stack = [("FC-127", Style(4)), ("Equipment store and linen", Style(4))]
    first, second = lines_of(fit_stack(stack, Frame(0, 0, 25, 20), alike=True))
    assert capitals(first) == pytest.approx(capitals(second))


def test_a_stack_that_cannot_fit_names_what_is_in_the_way() -> None:
    """The text that does not fit alone; where each does, the one that takes most room."""
    stack = [("Hall", Style(3)), ("Conservatory", Style(3))]
    assert fit_stack(stack, Frame(0, 0, 5, 5)) == Unfit("Conservatory")
    tall = [("Hall", Style(3)), ("Great hall of the east wing", Style(3, lines=3))]
    assert fit_stack(tall, Frame(0, 0, 12, 6)) == Unfit("Great hall of the east wing")


def test_capitals_on_several_lines_have_a_leading_of_their_own() -> None:
    """Two lines of 3 mm, 1.5 capitals apart: 3 x 1.5 + 3 = 7.5 mm, and a hair less does not hold them."""
    style = Style(3, 3, lines=2, upright="letter", leading=1.5)
    upper, lower = lines_of(fit("MAY HOLD", Frame(0, 0, 14, 7.5), style))
    assert lower.y - upper.y == pytest.approx(4.5)
    assert isinstance(fit("MAY HOLD", Frame(0, 0, 14, 7.49), style), Unfit)


def test_a_whole_text_breaks_at_spaces_alone() -> None:
    """A tag is broken after a hyphen only where that is allowed."""
    frame = Frame(0, 0, 12, 20)
    assert len(lines_of(fit("FCU-2-131", frame, Style(3, 3, lines=2)))) == 2
    assert isinstance(fit("FCU-2-131", frame, Style(3, 3, lines=2, is_whole=True)), Unfit)


def test_a_stack_fits_at_exactly_its_height() -> None:
    """Two lines at their least size need twice a line's height; a hair less does not hold them."""
    stack = [("Hall", Style(2, 2)), ("Attic", Style(2, 2))]
    high = 2 * text_height(2, 1)
    assert len(lines_of(fit_stack(stack, Frame(0, 0, 50, high)))) == 2
    assert isinstance(fit_stack(stack, Frame(0, 0, 50, high - 0.01)), Unfit)


def test_a_stack_spreads_what_is_left() -> None:
    """Of 20 mm two lines of 2 mm capitals leave 13.92: half of it between them, a quarter at either end."""
    first, second = lines_of(fit_stack([("Hall", Style(2, 2)), ("Attic", Style(2, 2))], Frame(0, 0, 50, 20)))
    assert first.y == pytest.approx(13.92 / 4 + 0.42 + 2)
    assert second.y - first.y == pytest.approx(13.92 / 2 + text_height(2, 1))


@pytest.mark.parametrize("name", ["plain", "bold"])
def test_the_room_around_capitals_is_the_faces_own(name: str) -> None:
    """No small letter, accented or not, digit or bracket leaves the room that a line takes."""
    measures = outlines(name)
    signs = [measures[sign] for sign in f"{ascii_letters}{digits}åäéèñöçßý()[]-+/,.;:&'·–?"]
    high, low = max(up for _, up, _ in signs), min(down for _, _, down in signs)
    capital = face(name).cap_height
    assert high <= capital * (1 + ABOVE)
    assert -low <= capital * BELOW


# --- how many lines a text takes ---------------------------------------------------------------------------


@given(TEXTS, st.floats(3, 90, allow_nan=False), st.floats(1.5, 9, allow_nan=False), st.booleans())
def test_lines_at_a_size_are_those_that_fit(text: str, width: float, caps: float, is_bold: bool) -> None:  # noqa: FBT001 — drawn
    """In so many lines the text is set, no word broken; 0 where a word is longer than a line."""
    lines = lines_at(text, width, caps, bold=is_bold)
    words = [fits(word, width, caps, bold=is_bold) for word in text.split()]
    assert bool(lines) == all(words)
    for count in filter(None, (lines, lines - 1)):
        room = Frame(0, 0, width, text_height(caps, count))
        found = fit(text, room, Style(caps, caps, lines=count, bold=is_bold))
        if count == lines:
            assert " ".join(line.text for line in lines_of(found)) == text
        else:
            assert isinstance(found, Unfit)


def test_a_text_that_the_face_lacks_counts_as_one_line() -> None:
    """It is reported where it is set."""
    assert lines_at("左", 10, 2.3) == 1

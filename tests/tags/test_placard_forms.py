"""A placard's text as a contact card, as text and in a link: read back whole, or refused."""

import re
from urllib.parse import unquote, urlsplit

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tagmaker.job.model import Job
from tagmaker.job.prints import PLACARD_FORMS, PlacardForm
from tagmaker.plan.plan_job import plan_job
from tagmaker.site.scans.codes import LineGatherer, scan_of
from tagmaker.tags.placard_forms import form_heading, in_form, read_form
from tagmaker.tags.placard_text import BadPlacard, PlacardFacts, read_placard
from tests.records import replace
from tests.site.papers import LIBRARY, library, placards, plan_of
from tests.strategies import jobs

LINK = "https://example.org/tags/placard.html"
TEXT = placards(library())[0]
ODD = placards(plan_of(replace(LIBRARY, number="A,7; B\\n C:Größe+1%20")))[0]
"""Every sign that a card or a link writes in another way, within the job's number."""


def card_values(card: str) -> dict[str, str]:
    """A vCard's values by RFC 2426, read another way: unfolded, split at a colon, unescaped."""
    assert card.endswith("\r\n")
    assert "\n" not in card.replace("\r\n", "")
    lines = re.split("\r\n(?![ \t])", card[:-2])
    pairs = [re.sub("\r\n[ \t]", "", line).partition(":") for line in lines]
    assert all(re.search(r"(?<!\\)(?:\\\\)*[,;]", value) is None for _, _, value in pairs)
    signs = {"n": "\n"}
    return {
        name: re.sub(r"\\(.)", lambda each: signs.get(each[1], each[1]), value) for name, _, value in pairs
    }


# --- written ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", [TEXT, ODD])
def test_a_contact_card_has_box_short_line_and_text(text: str) -> None:
    """N is the box, FN the short line, NOTE the whole text with its CRC; nothing else is in it."""
    values = card_values(in_form(text, "contact"))
    assert list(values) == ["BEGIN", "VERSION", "N", "FN", "NOTE", "END"]
    assert [*values.values()] == ["VCARD", "3.0", "BB-1", text.partition("\n")[0], text, "VCARD"]


@pytest.mark.parametrize("text", [TEXT, ODD])
def test_no_line_of_a_card_is_longer_than_75_bytes(text: str) -> None:
    """As RFC 2426 has it; no sign is cut in two, since each line is UTF-8 by itself."""
    lines = in_form(text, "contact").encode().split(b"\r\n")
    assert max(map(len, lines)) in {74, 75}
    assert [line.decode() for line in lines]


@pytest.mark.parametrize("text", [TEXT, ODD])
def test_a_link_has_the_text_in_its_fragment(text: str) -> None:
    """Read by the standard library; only signs that a fragment may have (RFC 3986)."""
    link = in_form(text, "link", LINK)
    parts = urlsplit(link)
    assert (f"{parts.scheme}://{parts.netloc}{parts.path}", parts.query) == (LINK, "")
    assert re.fullmatch(r"(?:[A-Za-z0-9._~:;/?-]|%[0-9A-F]{2})+", parts.fragment)
    assert unquote(parts.fragment) == text


def test_plain_text_is_as_it_is() -> None:
    """Today's form."""
    assert in_form(TEXT, "text", LINK) == TEXT


# --- read ---------------------------------------------------------------------------------------------------


@given(jobs(), st.sampled_from(PLACARD_FORMS))
@settings(max_examples=40, deadline=None)
def test_every_form_reads_as_its_text(job: Job, form: PlacardForm) -> None:
    """Every box of any legal job."""
    for text in placards(plan_job(job)[0]):
        assert read_form(in_form(text, form, LINK)) == read_placard(text)


@pytest.mark.parametrize("form", PLACARD_FORMS)
def test_signs_that_are_written_in_another_way_read_back(form: PlacardForm) -> None:
    """Commas, semicolons, backslashes, percent signs, letters with marks."""
    facts = read_form(in_form(ODD, form, LINK))
    assert isinstance(facts, PlacardFacts)
    assert facts.number == "A,7; B\\n C:Größe+1%20"


def test_a_card_with_other_line_ends_reads() -> None:
    """As a keyboard or a text file has them."""
    card = in_form(TEXT, "contact")
    assert (
        read_form(card.replace("\r\n", "\n")) == read_form(card.replace("\r\n", "\r")) == read_placard(TEXT)
    )


@pytest.mark.parametrize("form", ["contact", "link"])
@pytest.mark.parametrize("sign", ["0", "x", "%", "\\", ";", " ", "ß"])
def test_no_changed_character_reads_as_anything_else(form: PlacardForm, sign: str) -> None:
    """Refused as a placard wherever it is; but for the address of a link, which leads elsewhere."""
    code = in_form(TEXT, form, LINK)
    first = len(LINK) if form == "link" else 0
    last = len(code.rstrip()) - (3 if form == "link" else 0)  # a last line end may be missing
    changed = [f"{code[:at]}{sign}{code[at + 1 :]}" for at in range(first, last) if code[at] != sign]
    read = [each for each in changed if not refused(each)]
    assert [each for each in read if read_form(each) != read_placard(TEXT)] == []
    assert len(read) <= len(code.split("\r\n"))  # what stands for the same line end


def refused(code: str) -> bool:
    """Whether a code is reported as a placard that cannot be read."""
    scan = scan_of(code, "")
    return (scan.kind, scan.placard) == ("placard", None) and scan.fault is not None


@pytest.mark.parametrize("form", PLACARD_FORMS)
def test_no_cut_code_reads(form: PlacardForm) -> None:
    """At its beginning or its end."""
    code = in_form(TEXT, form, LINK)
    least = len(LINK) + 4 if form == "link" else 12
    last = len(code.rstrip()) - (3 if form == "link" else 0)
    parts = [code[:at] for at in range(1, last)] + [code[at:] for at in range(least, last)]
    assert [part for part in parts if scan_of(part, "").placard] == []


@pytest.mark.parametrize(
    ("was", "now"), [("FN:BB-1 R2", "FN:BB-1 R3"), ("N:BB-1\r", "N:BB-2\r"), ("FN:BB-1 R2 5", "FN:BB-1 R2 1")]
)
def test_a_card_whose_name_is_not_of_its_text_is_refused(was: str, now: str) -> None:
    """What a phone shows first is the name, and no CRC is over that."""
    code = in_form(TEXT, "contact")
    assert was in code
    assert read_form(code.replace(was, now, 1)) == BadPlacard(
        "the name of its contact card and its settings differ", is_altered=True
    )


@pytest.mark.parametrize("more", ["TEL:5551234\r\n", "URL:https://example.org\r\n", "NOTE:more\r\n"])
def test_a_card_with_more_in_it_is_refused(more: str) -> None:
    """A person's card that took in a placard's text is none of ours."""
    assert refused(in_form(TEXT, "contact").replace("END:", f"{more}END:"))


OTHERS = (
    "BEGIN:VCARD\r\nVERSION:3.0\r\nN:Hale\r\nFN:R. Hale\r\nNOTE:box 7\r\nEND:VCARD\r\n",
    "https://example.org/placard.html",
    "https://example.org/placard.html#box",
    "BEGIN:VCARD",
    "END:VCARD",
)


@pytest.mark.parametrize("code", OTHERS)
def test_other_cards_and_links_are_no_placards(code: str) -> None:
    """Unknown, and kept as they are."""
    assert read_form(code) is None
    assert scan_of(code, "").kind == "unknown"


@given(
    st.text()
    | st.tuples(st.sampled_from(PLACARD_FORMS), st.text()).map(lambda each: in_form(each[1], each[0], LINK))
)
@settings(max_examples=200)
def test_any_text_is_read_or_refused(code: str) -> None:
    """Nothing else happens, whatever a code says; a message has a name for it."""
    assert read_form(code) is None or isinstance(read_form(code), PlacardFacts | BadPlacard)
    assert len(form_heading(code)) <= 60


@pytest.mark.parametrize("form", PLACARD_FORMS)
def test_a_message_names_the_box(form: PlacardForm) -> None:
    """Of a damaged code too, as far as it can be made out."""
    code = in_form(TEXT, form, LINK)
    assert form_heading(code) == form_heading(code[:-12]) == "BB-1 REV 2 JOB ML-24"


# --- typed by a hand scanner --------------------------------------------------------------------------------


def typed(*lines: str) -> list[str]:
    """The texts of lines."""
    gatherer = LineGatherer()
    return [text for line in lines for text in gatherer.put(line)] + gatherer.rest()


@pytest.mark.parametrize("form", PLACARD_FORMS)
@pytest.mark.parametrize("before", ["", "]Q1"])
def test_lines_of_any_form_are_one_text(form: PlacardForm, before: str) -> None:
    """Between tags; with and without what a scanner puts before a code; every line ended twice or once."""
    code = before + in_form(TEXT, form, LINK)
    for end in ("\n", "\n\n"):
        lines = code.replace("\r\n", "\n").replace("\n", end).split("\n")
        texts = typed("BB-1/A/TRM", *lines, "BB-1/A/COM")
        assert [scan_of(text, "").kind for text in texts] == ["tag", "placard", "tag"]
        assert scan_of(texts[1], "").placard == read_placard(TEXT)


@pytest.mark.parametrize("form", PLACARD_FORMS)
def test_forms_scanned_one_after_the_other_are_kept_apart(form: PlacardForm) -> None:
    """One that was cut ends where the next begins."""
    code = in_form(TEXT, form, LINK).replace("\r\n", "\n")
    cut = in_form(TEXT, "contact").split("\r\n")[:4]
    texts = typed(*cut, *code.removesuffix("\n").split("\n"))
    assert [scan_of(text, "").placard is not None for text in texts] == [False, True]

"""What a text of a form states: signed, proved, dated, or none of these."""

import pytest

from tagmaker.site.stated import is_date, is_denied, is_stated
from tests.tables import table


def texts(lines: str) -> list[str]:
    """The lines of a table of one column."""
    return [cell for (cell,) in table(lines)]


@pytest.mark.parametrize(
    "text",
    texts(
        """
        rung out, crossed with B, K.A.
        K.A.: wasn't rung out
        rung out – failed, K.A.
        K.A.: no continuity
        K.A., could not reach the unit
        K.A.: cable couldn’t be traced
        rung out, NOT OK, K.A.
        pipe was not traced, K.A.
        K.A. / unable to trace
        """
    ),
)
def test_a_proof_that_did_not_come_about_proves_nothing(text: str) -> None:
    """The tick beside it may be set all the same: the words of the person count against it."""
    assert is_denied(text)


@pytest.mark.parametrize(
    "text",
    texts(
        """
        rung out with a tone, K.A.
        rung out; tag missing, was not there before
        traced to the unit, not insulated there, K.A.
        nitrogen at the unit's end, K. Cannon
        """
    ),
)
def test_a_proof_with_a_remark_proves(text: str) -> None:
    """What a remark is about is another thing."""
    assert is_stated(text)
    assert not is_denied(text)


def test_who_refused_has_not_signed() -> None:
    """Nor has who is nowhere; a name that begins alike has."""
    for text in ("refused", "Refused to sign", "declined", "no access", "see remarks", "VOID", "idem"):
        assert not is_stated(text), text
    assert all(map(is_stated, ("Declan Refusson", "Forgeot")))


@pytest.mark.parametrize(
    ("text", "expected"),
    table(
        """
        2026-06-03                | yes
        06/03/26                  | yes
        31/05/2026                | yes
        05.31.26                  | yes
        3.6.2026                  | yes
        2026/06/03 14:30          | yes
        3 June                    | yes
        30.02.2026                | no
        31/04/2026                | no
        2026/02/30                | no
        13/13/2026                | no
        99/99/9999                | no
        1.1.1970                  | no
        expected 3 June           | no
        scheduled 2026-06-05      | no
        to follow 3 June          | no
        in 2 weeks                | no
        """
    ),
)
def test_a_day_is_one_of_the_calendar_that_may_have_been(text: str, expected: str) -> None:
    """In whichever order it is written; one that is announced is none."""
    assert is_date(text) is (expected == "yes")

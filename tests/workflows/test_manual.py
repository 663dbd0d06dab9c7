"""The manual's pages: all of them are listed, and those made from the code are fresh."""

import pytest

from tagmaker.desk.limits import desk_limits
from tagmaker.problems import CODES
from tagmaker.workflows.manual import PAGES, folder, page_text
from tagmaker.workflows.manual_generated import generated


def test_every_file_is_a_page_and_every_page_a_file() -> None:
    """Nothing else lies in the folder, since all of it is shipped."""
    assert sorted(path.name for path in folder().iterdir()) == sorted(f"{page}.md" for page in PAGES)


@pytest.mark.parametrize("page", ["problem-codes", "limits"])
def test_pages_made_from_the_code_are_fresh(page: str) -> None:
    """`.ci/manual` writes them."""
    assert page_text(page) == generated(desk_limits())[page]


def test_the_codes_are_in_the_codes_own_order() -> None:
    """Each once."""
    lines = [line for line in page_text("problem-codes").splitlines() if line.startswith("- ")]
    assert [line.split("`")[1] for line in lines] == list(CODES)


def test_a_limit_that_changes_changes_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """The figures are read from where they are defined."""
    before = generated()["limits"]
    monkeypatch.setattr("tagmaker.job.read.BOXES_AT_MOST", 1_234)
    monkeypatch.setattr("tagmaker.site.scans.sources.LINES_AT_MOST", 77)
    changed = set(generated()["limits"].splitlines()) - set(before.splitlines())
    assert changed == {"- `[[box]]`: 1,234", "- lines of text for `scan`: 20 MB, 77 lines"}


def test_a_limit_of_the_phones_door_that_changes_changes_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those too, each from the constant that the door goes by."""
    before = generated(desk_limits())["limits"]
    monkeypatch.setattr("tagmaker.desk.phones.devices.DEVICES_AT_MOST", 7)
    monkeypatch.setattr("tagmaker.desk.phones.door.WRONG_A_MINUTE", 3)
    monkeypatch.setattr("tagmaker.workflows.sheet_view.ROWS_AT_MOST", 55)
    changed = set(generated(desk_limits())["limits"].splitlines()) - set(before.splitlines())
    assert changed == {
        "- phones that are let in: 7",
        "- wrong secrets from one address: 3 at once, then 3 a minute",
        "- rows of a schedule shown at once: 55; the rest follows in further parts",
    }

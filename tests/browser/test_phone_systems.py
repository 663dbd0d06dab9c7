"""Systems' sheets on a phone, in a real browser: filled in, kept, handed in, read back as the form is."""

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from tagmaker.tags.fields import SHEET
from tagmaker.workflows.readback import readback
from tests.browser.phone import Phone, write_page
from tests.site.systems import CLINIC, clinic, form, named, rightly, write_form

ONE = f"{SHEET}/HR-1"


@pytest.fixture(scope="module")
def system_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the example with two systems."""
    return write_page(clinic(), tmp_path_factory.mktemp("systems"))


def test_a_sheet_is_filled_in_reloaded_exported_and_reads_back_as_the_form(
    phone: Phone, system_page: Path, tmp_path: Path
) -> None:
    """A reload loses nothing; the same findings, the same result, no problem; no box counts as walked."""
    one = clinic().systems[0]
    everything = named(one, rightly(one))
    phone.open(system_page).go(ONE)
    phone.enter(everything)
    phone.reload()
    assert phone.entered() == everything
    from_phone = readback([phone.export("export-one", "system-HR-1.json")], CLINIC)
    write_form(tmp_path / "systems.pdf", clinic(), [(one, rightly(one))])
    from_form = readback([tmp_path / "systems.pdf"], CLINIC)
    assert from_phone.problems == from_form.problems == ()
    assert from_phone.outline == from_form.outline
    assert [each.result for each in from_phone.outline.systems] == ["complete", "not seen"]
    assert not from_phone.is_walked
    assert phone.text("#open") == "All of System HR-1 is filled in. The readback reports whether it is right."
    assert phone.errors() == []


def test_the_sheets_ask_what_the_form_asks_in_its_order(
    phone: Phone, system_page: Path, tmp_path: Path
) -> None:
    """Every field once, by the form's names; its table of pressures, no verdict of its own."""
    (tmp_path / "systems.pdf").write_bytes(form(clinic()))
    asked = [
        name for name in PdfReader(tmp_path / "systems.pdf").get_fields() or {} if "printed-for" not in name
    ]
    phone.open(system_page)
    shown: list[str] = []
    for each in ("HR-1", "HR-2"):
        phone.go(f"{SHEET}/{each}")
        script = "return [...document.querySelectorAll('[data-field]')].map((each) => each.dataset.field)"
        shown += phone.js(script)
    assert shown == asked
    cells = phone.js(
        "return [...document.querySelectorAll('.expected tr')].map((row) => row.children.length)"
    )
    assert cells == [12] * 6
    assert phone.text("#verdict").startswith("The readback gives the verdict")


def test_boxes_and_systems_are_exported_in_one_file(phone: Phone, system_page: Path) -> None:
    """A walk that was not begun is not handed in with a system's sheet."""
    phone.open(system_page)
    phone.enter({"BB-11/item/power": True})
    phone.go(ONE)
    phone.enter({f"{ONE}/test/relief": True, f"{ONE}/charge/weighed": "102"})
    path = phone.export("export-all", "walk.json")
    content = json.loads(path.read_text(encoding="utf-8"))
    assert [each["system"] for each in content["systems"]] == ["HR-1", "HR-2"]
    found = readback([path], CLINIC)
    assert found.problems == ()
    assert found.outline.boxes[0].ticked == ("BB-11/item/power",)
    assert found.outline.systems[0].ticked == (f"{ONE}/test/relief",)
    assert found.outline.systems[0].charge.weighed_g is not None


def test_what_was_entered_for_other_figures_stays_apart(phone: Phone, system_page: Path) -> None:
    """Of the pipe whose planned length changed, and of who signed; the rest counts on."""
    line = f"{ONE}/line/BB-11/main"
    fields: dict[str, bool | str] = {
        f"{line}/run": "80",
        f"{ONE}/test/relief": True,
        f"{ONE}/gate/tested/by": "R. Hale",
    }
    phone.open(system_page).go(ONE)
    phone.enter(fields)
    text = system_page.read_text(encoding="utf-8")
    assert text.count("Run: 78 ft") == 1
    system_page.write_text(text.replace("Run: 78 ft", "Run: 79 ft"), encoding="utf-8")
    phone.reload()
    try:
        assert phone.entered() == {f"{ONE}/test/relief": True}
        assert phone.driver.page_source.count("Discard") >= 2
    finally:
        system_page.write_text(text, encoding="utf-8")


def test_what_was_entered_before_a_box_was_replaced_stays_apart(phone: Phone, system_page: Path) -> None:
    """Its lines were connected again: nothing of the test counts, though no figure is another one."""
    phone.open(system_page).go(ONE)
    phone.enter({f"{ONE}/test/relief": True, f"{ONE}/gate/tested/by": "R. Hale"})
    text, was = system_page.read_text(encoding="utf-8"), '["BB-11","four-port-boards/4"]'
    assert text.count(was) == 1
    system_page.write_text(text.replace(was, was.replace("/4", "/6")), encoding="utf-8")
    phone.reload()
    try:
        assert phone.entered() == {}
        assert phone.driver.page_source.count("Discard") >= 2
    finally:
        system_page.write_text(text, encoding="utf-8")


def test_the_ways_on_and_back_are_named_by_where_they_lead(phone: Phone, system_page: Path) -> None:
    """From the last box to the first system and on; there is nothing before the first, nor after the last."""
    last = clinic().boxes[-1].row.key
    script = (
        "return ['back', 'on'].map((id) => [document.getElementById(id).getAttribute('aria-label'),"
        " document.getElementById(id + '-below').textContent, document.getElementById(id).disabled])"
    )
    box, system = ("Previous box", "Next box"), ("Previous system", "Next system")
    phone.open(system_page)
    for place, back, on, ends in (
        (last, box[0], system[1], [False, False]),
        (ONE, box[0], system[1], [False, False]),
        (f"{SHEET}/HR-2", system[0], system[1], [False, True]),
        (clinic().boxes[0].row.key, box[0], box[1], [True, False]),
    ):
        phone.go(place)
        assert phone.js(script) == [[back, back, ends[0]], [on, on, ends[1]]]

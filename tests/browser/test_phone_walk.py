"""The walk on a phone, in a real browser: what is entered stays, is handed in, and reads back."""

import json
import re
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject

from tagmaker.plan.model import Plan
from tagmaker.revisions.selection import Selection
from tagmaker.site.stated import is_stated
from tagmaker.site.walk.lines import NOTHING
from tagmaker.tags import fields
from tagmaker.tags.walk import letters_of
from tagmaker.workflows import make
from tagmaker.workflows.readback import Counts, readback
from tests.browser.phone import Findings, Phone, as_planned, two_boxes, write_page
from tests.paths import EXAMPLES
from tests.site.found import walk_of

JOB = EXAMPLES / "bakery"
BOX = "BX-1"
DIFFERING: Findings = {
    "BX-1/left/seen": True,
    "BX-1/left/1/3": True,
    "BX-1/left/2/3": True,
    "BX-1/port/A/pipe/ok": True,
    "BX-1/port/A/cable/found": "fc-2",
    "BX-1/port/B/pipe/found": "FC-3",
    "BX-1/port/D/cable/found": "AH-1",
    "BX-1/port/F/tags/ok": True,
    "BX-1/port/F/note": "behind the duct",
    "BX-1/item/valves": True,
    "BX-1/sign/verifier": "R. Hale",
}
"""A walk half done: switches, a cable and a pipe that differ, a switch and a unit that do not."""
STATED = [
    "K.A.", "No Min-woo", "-", "– ", "N / A", "n.a.", "K.A. / -", "K.A.?", "None yet", "didn’t", "ｎ／ａ",
    "xXx",
    "rung out; tag missing", "(not yet)", "№", "²", "\u200b", "\u3164", "n\u200bo",
    "See other  sheet", "Ü", "tbd by 9 June", "",
]  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole set of the smallest example, as `make` writes it."""
    out = tmp_path_factory.mktemp("made") / "out"
    assert make.make(JOB, out, selection=Selection(proof=False)).files
    return out


def fill(pdf: Path, findings: Findings, out: Path) -> Path:
    """The paper's form with the same findings in it."""
    writer = PdfWriter(clone_from=PdfReader(pdf))
    for sheet in writer.pages:
        values = {
            str(note.get_object()["/T"]): findings.get(str(note.get_object()["/T"]))
            for note in sheet.annotations or ()
        }
        ticks = {name: NameObject("/Yes") for name, value in values.items() if value is True}
        texts = {name: value for name, value in values.items() if isinstance(value, str)}
        writer.update_page_form_field_values(sheet, {**ticks, **texts}, auto_regenerate=False)
    writer.write(out)
    return out


# --- a whole box --------------------------------------------------------------------------------------------


def test_a_whole_box_is_tapped_reloaded_exported_and_reads_back_as_planned(
    phone: Phone, page: Path, plan: Plan
) -> None:
    """Every control by taps and keys; a reload loses nothing; nothing is left unknown, unproved, unsigned."""
    everything = as_planned(plan.job, plan.boxes[0])
    phone.open(page).walk(everything)
    assert everything == phone.entered()
    phone.reload()
    assert everything == phone.entered()
    returned = readback([phone.export("export-one", "walk-BX-1.json")], JOB)
    (box,) = returned.boxes
    assert (
        box.state,
        box.unknown,
        box.unproved,
        box.unsigned,
        returned.problems,
    ) == ("as planned", [], [], [], ())


def test_the_page_tells_a_whole_box(phone: Phone, page: Path, plan: Plan) -> None:
    """All counts are full, every board and letter says that it was seen, the chooser and the end too."""
    phone.open(page).enter(as_planned(plan.job, plan.boxes[0]))
    assert phone.text("#parts").split("\n") == [
        "Box", "7 of 7", "Boards", "2 of 2", "Letters", "6 of 6", "Signed", "3 of 3",
    ]  # fmt: skip
    assert {"seen"} == set(
        phone.js("return [...document.querySelectorAll('.state')].map((x) => x.textContent)")
    )
    assert phone.text("#open") == "All of BX-1 was seen."
    assert phone.text("#choose").strip().startswith("BX-1 – all seen")


def test_what_states_nothing_is_shown_as_open(phone: Phone, page: Path, plan: Plan) -> None:
    """A dash as a signature, or alone at an empty letter: `readback` counts neither."""
    spare = next(port.name for port in plan.boxes[0].ports if not port.units)
    look = f"BX-1/port/{spare}/pipe"
    everything = as_planned(plan.job, plan.boxes[0])
    rest = {name: value for name, value in everything.items() if name != f"{look}/ok"}
    phone.open(page).enter({**rest, "BX-1/sign/verifier": "N / A", f"{look}/found": "-"})
    assert phone.text("#parts").split("\n") == [
        "Box", "7 of 7", "Boards", "2 of 2", "Letters", "5 of 6", "Signed", "2 of 3",
    ]  # fmt: skip
    ask = f"return {json.dumps(STATED)}.map(isStated)"
    assert phone.js(ask) == [is_stated(text) for text in STATED]


def test_the_page_has_every_field_of_the_paper_and_no_other(phone: Phone, page: Path, made: Path) -> None:
    """The phone asks what the form asks, by the same names."""
    form = {str(name) for name in PdfReader(made / "walk.pdf").get_fields() or {}}
    phone.open(page)
    names = phone.js("return [...document.querySelectorAll('[data-field]')].map((x) => x.dataset.field)")
    assert form - {fields.printed_for(BOX)} == set(names)
    assert len(set(names)) == len(names)


def test_the_phones_file_comes_to_the_same_as_the_form(
    phone: Phone, page: Path, made: Path, tmp_path: Path
) -> None:
    """Punch list, unknown, unproved, unsigned, counts and problems: nothing tells the two apart."""
    phone.open(page).enter(DIFFERING)
    from_phone = readback([phone.export("export-one", "walk-BX-1.json")], JOB)
    from_form = readback([fill(made / "walk.pdf", DIFFERING, tmp_path / "walk.pdf")], JOB)
    assert from_form.outline == from_phone.outline
    assert from_form.problems == from_phone.problems
    assert from_phone.counts == Counts(as_planned=0, differs=1, not_seen=0)


def test_all_boxes_are_exported_in_one_file(phone: Phone, tmp_path: Path) -> None:
    """Each box with what it was printed for; one that nobody walked is not seen."""
    job, plan = two_boxes(tmp_path)
    phone.open(write_page(plan, tmp_path))
    phone.go("BB-2")
    phone.enter(as_planned(plan.job, plan.boxes[1]))
    returned = readback([phone.export("export-all", "walk.json")], job)
    assert [(box.box, box.state) for box in returned.boxes] == [("BB-1", "not seen"), ("BB-2", "as planned")]
    assert returned.problems == ()


def test_a_tick_taken_back_after_an_export_is_not_counted_from_the_earlier_file(
    phone: Phone, page: Path, plan: Plan, tmp_path: Path
) -> None:
    """Both files are handed in, after a reload; a tick taken back before any export leaves nothing."""
    phone.open(page).enter(as_planned(plan.job, plan.boxes[0]))
    phone.js("put({'BX-1/port/A/tags/ok': false}); put({'BX-1/port/A/tags/ok': true})")
    first = phone.export("export-all", "walk.json").rename(tmp_path / "monday.json")
    assert "false" not in first.read_text(encoding="utf-8")
    phone.reload()
    phone.js("put({'BX-1/port/A/pipe/ok': false})")
    second = phone.export("export-all", "walk.json").rename(tmp_path / "tuesday.json")
    result = readback([first, second], JOB)
    assert [problem.code for problem in result.problems] == ["return-contradiction"]
    assert result.boxes[0].state == "not seen"
    assert readback([first], JOB).boxes[0].state == "as planned"


def test_a_text_taken_back_after_an_export_is_not_counted_from_the_earlier_file(
    phone: Phone, page: Path, plan: Plan, tmp_path: Path
) -> None:
    """A signature that is deleted, and those of a box that is emptied; a note stays, it may help somebody."""
    name, note = "BX-1/sign/verifier", "BX-1/port/A/note"
    phone.open(page).enter({**as_planned(plan.job, plan.boxes[0]), note: "behind the duct"})
    first = phone.export("export-all", "walk.json").rename(tmp_path / "monday.json")
    phone.js(f"put({{'{name}': ''}}); put({{'{note}': ''}})")
    second = phone.export("export-all", "walk.json").rename(tmp_path / "tuesday.json")
    (box,) = readback([first, second], JOB).boxes
    assert (box.unsigned, box.state, box.notes[0]) == ([name], "not seen", "A: behind the duct")
    phone.js("window.confirm = () => true; empty()")
    third = phone.export("export-all", "walk.json").rename(tmp_path / "wednesday.json")
    (box,) = readback([first, third], JOB).boxes
    assert len(box.unsigned) == 6


def test_the_text_to_copy_is_the_file(phone: Phone, page: Path) -> None:
    """What is shown can be sent as a message and saved: it is the same as the export."""
    phone.open(page).enter(DIFFERING)
    phone.tap(phone.find("#copy"))
    shown = phone.find("#text").get_attribute("value") or ""
    content = json.loads(shown)
    assert shown == phone.export("export-all", "walk.json").read_text(encoding="utf-8")
    assert set(content) == {"format", "job", "boxes"}
    assert [set(box) for box in content["boxes"]] == [{"box", "printed_for", "fields"}]
    assert content["boxes"][0]["fields"] == {**DIFFERING}


# --- what is told, and when ---------------------------------------------------------------------------------


def test_every_single_wrong_switch_is_told_as_readback_tells_it(phone: Phone, page: Path, plan: Plan) -> None:
    """Each switch of each board moved alone: the page and the punch list name the same ones, or none."""
    box = plan.boxes[0]
    right = {name: value for name, value in as_planned(plan.job, box).items() if "/port/" not in name}
    phone.open(page).enter(right)
    for board in box.boards:
        for bank in board.banks:
            for switch in bank.switches:
                moved = fields.switch_off if switch.state == "on" else fields.switch_on
                name = moved(BOX, board.place, bank.number, switch.number)
                phone.js("document.querySelector(`[data-field='${arguments[0]}']`).click()", name)
                punches = walk_of(plan, BOX, phone.entered()).punches
                assert [punch.wrong for punch in punches] == [text.partition(",")[0] for text in phone.told()]
                assert bool(punches) == (switch.state != "leave")
                back = fields.switch_on if switch.state == "on" else fields.switch_off
                name = back(BOX, board.place, bank.number, switch.number)
                phone.js("document.querySelector(`[data-field='${arguments[0]}']`).click()", name)


def test_a_wrong_unit_is_told_as_readback_tells_it(phone: Phone, page: Path, plan: Plan) -> None:
    """A port's own unit is right in any case of letters; the pair's second letter has no cable of its own."""
    phone.open(page).enter(
        {
            **DIFFERING,
            "BX-1/port/B/cable/ok": True,
            "BX-1/port/C/pipe/found": "ah-1",
            "BX-1/port/C/cable/ok": True,
            "BX-1/port/D/pipe/ok": True,
        }
    )
    told = [text for text in phone.told() if "found" in text]
    punches = walk_of(plan, BOX, phone.entered()).punches
    assert told == ["Cable found: fc-2", "Cable found: AH-1"]
    assert [punch.place for punch in punches if punch.place.startswith("port")] == ["port A", "port D"]


WRITTEN = (
    *NOTHING,
    "None",
    "?",
    "and",
    "fc-2, FC-3",
    "FC-2 and FC-3",
    "FC-2/FC-9",
    "FC-1",
    "AH-1",
    "ah-1 (wet)",
    "(FC-1)",
    "FC-1?",
    "≠ FC-1",
    "FC-1１",
)
WRONG_UNITS = """
for (const port of box.ports)
  for (const what of ["pipe", "cable"]) put({ [portName(box, port, what + "/found")]: arguments[0] });
return box.ports.flatMap((port) => wrongUnits(box, port).map(({ what }) => port.letter + " " + what));
"""


def is_punched(plan: Plan, place: str, text: str) -> bool:
    """Whether readback punches what was written of a place like A/pipe."""
    return bool(walk_of(plan, BOX, {f"BX-1/port/{place}/found": text}).punches)


def test_whatever_is_written_of_a_letter_is_judged_as_readback_judges_it(
    phone: Phone, page: Path, plan: Plan
) -> None:
    """Units in any case, several of a shared port, words for nothing, and what says nothing at all."""
    box = plan.boxes[0]
    phone.open(page)
    for text in WRITTEN:
        named = [(letter, what) for letter, _ in letters_of(box) for what in ("pipe", "cable")]
        punched = [f"{letter} {what}" for letter, what in named if is_punched(plan, f"{letter}/{what}", text)]
        assert punched == phone.js(WRONG_UNITS, text)


def test_a_board_is_told_only_after_it_was_seen(phone: Phone, page: Path) -> None:
    """Nothing of the plan shows before, and nothing any more once the tick is taken back."""
    phone.open(page)
    board = ".board:first-of-type"
    assert "Planned" not in phone.text(board)
    phone.tap("BX-1/left/2/2")
    assert "Planned" not in phone.text(board)
    phone.tap("BX-1/left/seen")
    assert "Planned\nBank 1: all OFF; Bank 2: ON 2, leave 3 as found, rest OFF" in phone.text(board)
    phone.tap("BX-1/left/seen")
    assert "Planned" not in phone.text(board)


def test_what_is_not_tapped_is_unknown_until_the_board_was_seen(phone: Phone, page: Path) -> None:
    """A switch shows no state at first; seen, what is not ON is OFF."""
    phone.open(page)
    switch = ".switch:has([data-field='BX-1/left/1/4'])"
    chosen = """
        const pressed = document.querySelectorAll(arguments[0] + " [aria-pressed=true]");
        return [...pressed].map((each) => each.dataset.field);
    """
    phone.open(page)
    assert phone.js(chosen, switch) == []
    phone.tap("BX-1/left/seen")
    assert phone.js(chosen, switch) == ["BX-1/left/1/4/off"]
    assert phone.entered() == {"BX-1/left/seen": True}


def test_a_switch_is_at_one_end_alone_and_can_be_taken_back(phone: Phone, page: Path) -> None:
    """ON takes OFF back and the other way round; the same end tapped again leaves it unknown."""
    on, off = "BX-1/left/1/4", "BX-1/left/1/4/off"
    phone.open(page)
    for tapped, expected in ((on, {on}), (off, {off}), (on, {on}), (on, set()), (off, {off}), (off, set())):
        phone.tap(tapped)
        assert set(phone.entered()) == expected
        assert set(json.loads(phone.js("return exported([box])"))["boxes"][0]["fields"]) == expected


def test_a_board_whose_switches_were_all_tapped_is_seen(phone: Phone, page: Path, plan: Plan) -> None:
    """Without a tick; the plan shows with the last one, and readback knows every switch."""
    board = plan.boxes[0].boards[0]
    names = [
        (fields.switch_on if switch.state == "on" else fields.switch_off)(
            BOX, board.place, bank.number, switch.number
        )
        for bank in board.banks
        for switch in bank.switches
    ]
    phone.open(page)
    for name in names:
        assert "Planned" not in phone.text(".board:first-of-type")
        phone.tap(name)
    assert "Planned\nBank 1" in phone.text(".board:first-of-type")
    assert "1 of 2" in phone.text("#parts a:nth-child(2)")
    assert [each for each in walk_of(plan, BOX, phone.entered()).unknown if "left" in each] == []


def test_a_letter_is_told_only_after_pipe_and_cable_were_answered(
    phone: Phone, page: Path, plan: Plan
) -> None:
    """No unit, no use, nothing that only some uses are asked shows before; then all of it."""
    box = plan.boxes[0]
    phone.open(page)
    for letter, _ in letters_of(box):
        phone.open_letter(letter)
    before = phone.text("main")
    cards = {
        letter: phone.text(f"#letter-{letter} .inside").partition("Next:")[0] for letter, _ in letters_of(box)
    }
    alike = {re.sub(rf"\b{letter}\b", "", text) for letter, text in cards.items()}
    assert [unit.tag for port in box.ports for unit in port.units if unit.tag in before] == []
    assert len(alike) == 1
    phone.tap("BX-1/port/E/pipe/ok")
    assert "Planned" not in phone.text("#letter-E")
    phone.tap("BX-1/port/E/cable/ok")
    assert "Planned\nspare: stubs capped, no cable" in phone.text("#letter-E")
    assert "Polarity" not in before
    phone.tap("BX-1/port/A/pipe/ok")
    phone.tap("BX-1/port/A/cable/ok")
    assert "Polarity, shield per manual" in phone.text("#letter-A")


def test_right_and_another_units_exclude_each_other(phone: Phone, page: Path) -> None:
    """One answer at a time; an answer taken back is unknown again."""
    phone.open(page)
    phone.open_letter("A")
    other = phone.find('[data-opens="BX-1/port/A/pipe/found"]')
    phone.tap("BX-1/port/A/pipe/ok")
    phone.tap(other)
    assert phone.entered() == {}
    phone.press("FC-2")
    assert phone.entered() == {"BX-1/port/A/pipe/found": "FC-2"}
    phone.tap("BX-1/port/A/pipe/ok")
    assert json.loads(phone.js("return exported([box])"))["boxes"][0]["fields"] == {
        "BX-1/port/A/pipe/ok": True
    }
    phone.tap("BX-1/port/A/pipe/ok")
    assert json.loads(phone.js("return exported([box])"))["boxes"][0]["fields"] == {}


def test_progress_is_counted_letter_by_letter(phone: Phone, page: Path, plan: Plan) -> None:
    """A letter counts when nothing of it is unknown; what is open stands at the end."""
    everything = as_planned(plan.job, plan.boxes[0])
    phone.open(page).enter({name: value for name, value in everything.items() if "/port/A/" in name})
    assert "Letters\n1 of 6" in phone.text("#parts")
    assert phone.text("#choose").strip().startswith("BX-1 – 1 of 6 letters")
    assert "left board, right board; letters B C D E F." in phone.text("#open")


def test_a_box_that_differs_is_marked_in_the_chooser(phone: Phone, page: Path) -> None:
    """Also in the count of its boards, beside how many were seen."""
    phone.open(page).enter({"BX-1/left/1/1": True, "BX-1/left/seen": True})
    assert phone.text("#choose").strip().startswith("BX-1 – differs – Above the cold store")
    assert phone.js("return document.querySelector('#parts a:nth-child(2)').dataset.state") == "differs"
    assert "Boards\n1 of 2" in phone.text("#parts")


def test_a_thumb_goes_from_letter_to_letter(phone: Phone, page: Path) -> None:
    """The button at a card's end opens the next card below the bar; the last goes to the signatures."""
    phone.open(page)
    phone.open_letter("E")
    phone.tap(phone.find("#letter-E .wide"))
    place = phone.js("return document.getElementById('letter-F').getBoundingClientRect().top")
    bar = phone.js("return document.getElementById('bar').getBoundingClientRect().bottom")
    assert bar <= place <= bar + 40
    assert phone.driver.switch_to.active_element.text.split()[:2] == ["Port", "F"]
    phone.tap(phone.find("#letter-F .wide"))
    assert phone.driver.switch_to.active_element.text == "Signatures"

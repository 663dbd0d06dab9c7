"""What phones send is kept as their files would have it: the same comes back from `readback`."""

import json
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from tagmaker.tags.walk import printed_for
from tagmaker.workflows.readback import readback
from tests.desk.phone_client import PhoneClient, invited, let_in
from tests.desk.running import RunningDesk, running_desk
from tests.desk.tag_photos import tags_photo
from tests.site.walks import as_planned, phone, plan_of

NOW = 1_790_000_000_000
TAKEN = {"X-Taken-Ago": "2"}
"""What a phone's page sends beside a picture: how many seconds ago it was taken."""


@pytest.fixture
def bakery(desk_folder: Path) -> Path:
    """The bakery's folder."""
    return desk_folder / "bakery"


def sent(client: PhoneClient, job: Path, values: Mapping[str, bool | str | None], at: int = NOW) -> Any:
    """Entries of the bakery's box, as its page sends them; the desk's answer."""
    plan = plan_of(job)
    answer = client.enter("BX-1", printed_for(plan.job, plan.boxes[0]), values, at)
    assert answer.status == 200, answer.text
    return answer.json["synced"]


def files_of(job: Path, pattern: str = "walk-phone-*.json") -> list[Path]:
    """The phones' files of a job."""
    return sorted((job / "returned").glob(pattern), key=lambda path: (len(path.name), path.name))


def test_readback_of_what_was_sent_is_that_of_the_same_file(
    desk: RunningDesk, bakery: Path, tmp_path: Path
) -> None:
    """Entry by entry, in several requests; field by field the same result."""
    plan = plan_of(bakery)
    values = as_planned(plan, "BX-1") | {"BX-1/port/A/note": "dry & <b>clean</b>"}
    client = let_in(desk, "bakery")
    names = list(values)
    for first in range(0, len(names), 40):
        assert (
            sent(client, bakery, {name: values[name] for name in names[first : first + 40]})["refused"] == {}
        )
    (tmp_path / "walk.json").write_text(phone(plan, values), "utf-8")
    (file,) = files_of(bakery)
    by_phone, by_file = readback([file], bakery), readback([tmp_path / "walk.json"], bakery)
    assert by_phone.problems == by_file.problems == ()
    assert by_phone.outline == by_file.outline
    assert by_phone.outline.boxes[0].result == "as planned"


def test_a_files_names_and_times_are_kept_beside_it(desk: RunningDesk, bakery: Path) -> None:
    """Who entered what and when."""
    sent(let_in(desk, "bakery", "R. Hale"), bakery, {"BX-1/left/seen": True})
    found = json.loads(files_of(bakery)[0].read_bytes())
    assert found["device"]["name"] == "R. Hale"
    assert found["boxes"][0]["times"] == {"BX-1/left/seen": "2026-09-21T14:13:20.000Z"}


def test_another_phone_gets_what_was_entered_and_only_what_is_new(desk: RunningDesk, bakery: Path) -> None:
    """With name and time; nothing again that it knows."""
    hale, moss = let_in(desk, "bakery", "R. Hale"), let_in(desk, "bakery", "T. Moss")
    sent(hale, bakery, {"BX-1/left/1/1": True})
    first = moss.post("/walk").json["synced"]
    (box,) = first["groups"]["BX-1"]
    assert (box["name"], box["is_own"], box["fields"]) == ("R. Hale", False, {"BX-1/left/1/1": [True, NOW]})
    known = {"epoch": first["epoch"], "version": first["version"]}
    assert moss.post("/walk", known).json["synced"]["groups"] == {}
    sent(hale, bakery, {"BX-1/left/1/1": None})
    assert moss.post("/walk", known).json["synced"]["groups"]["BX-1"][0]["fields"] == {}


def test_two_phones_that_differ_are_a_contradiction_in_readback(desk: RunningDesk, bakery: Path) -> None:
    """Both are kept; neither wins by being later."""
    plan = plan_of(bakery)
    right = as_planned(plan, "BX-1")
    switch = next(name for name in right if name.startswith("BX-1/left/") and name.count("/") == 3)
    sent(let_in(desk, "bakery", "R. Hale"), bakery, right)
    sent(let_in(desk, "bakery", "T. Moss"), bakery, {f"{switch}/off": True}, NOW + 60_000)
    found = readback([bakery / "returned"], bakery)
    assert [each.code for each in found.problems] == ["return-contradiction"]
    assert found.outline.boxes[0].result == "not seen"


def test_a_tick_that_another_phone_took_back_does_not_count(desk: RunningDesk, bakery: Path) -> None:
    """It is checked again: a contradiction, until the first one takes it back too."""
    plan = plan_of(bakery)
    tick = "BX-1/port/A/pipe/ok"
    hale, moss = let_in(desk, "bakery", "R. Hale"), let_in(desk, "bakery", "T. Moss")
    sent(hale, bakery, as_planned(plan, "BX-1"))
    sent(moss, bakery, {tick: False})
    found = readback([bakery / "returned"], bakery)
    assert [each.message.partition(":")[0] for each in found.problems] == [tick]
    assert found.outline.boxes[0].result == "not seen"
    sent(moss, bakery, {tick: None})
    assert readback([bakery / "returned"], bakery).outline.boxes[0].result == "as planned"


def test_entries_survive_a_restart(desk_folder: Path, tmp_path: Path) -> None:
    """Of the desk; the phone goes on under its token, and its file is not begun again."""
    bakery, kept = desk_folder / "bakery", tmp_path / "phones.json"
    with running_desk(desk_folder, tmp_path / "one", kept) as desk:
        client = let_in(desk, "bakery")
        epoch = sent(client, bakery, {"BX-1/left/seen": True})["epoch"]
    with running_desk(desk_folder, tmp_path / "two", kept) as desk:
        assert desk.phones.start() is None
        answer = client.post("/walk", {"epoch": epoch, "version": 99}).json["synced"]
        assert answer["groups"]["BX-1"][0]["fields"] == {"BX-1/left/seen": [True, NOW]}
        assert answer["groups"]["BX-1"][0]["is_own"]
        sent(client, bakery, {"BX-1/right/seen": True})
    (file,) = files_of(bakery)
    assert set(json.loads(file.read_bytes())["boxes"][0]["fields"]) == {"BX-1/left/seen", "BX-1/right/seen"}


def test_what_was_entered_for_an_earlier_plan_stays_apart(desk: RunningDesk, bakery: Path) -> None:
    """A tick means what the page showed: in a file of its own, and not shown to others."""
    client = let_in(desk, "bakery")
    plan = plan_of(bakery)
    old = printed_for(plan.job, plan.boxes[0])
    sent(client, bakery, {"BX-1/port/A/pipe/ok": True})
    text = (bakery / "job.toml").read_text("utf-8").replace("revision = 1", "revision = 2")
    (bakery / "job.toml").write_text(text, "utf-8")
    answer = client.enter("BX-1", old, {"BX-1/port/B/pipe/ok": True}).json
    assert answer["synced"]["groups"]["BX-1"] == []
    sent(client, bakery, {"BX-1/port/C/pipe/ok": True})
    kept = [json.loads(file.read_bytes())["boxes"][0] for file in files_of(bakery)]
    assert [set(each["fields"]) for each in kept] == [
        {"BX-1/port/A/pipe/ok", "BX-1/port/B/pipe/ok"}, {"BX-1/port/C/pipe/ok"},
    ]  # fmt: skip
    assert readback(files_of(bakery), bakery).is_walked


REFUSED = {
    "another box's field": ("BX-1", "BX-2/left/seen", True),
    "a box that the job does not have": ("BB-11", "BB-11/left/seen", True),
    "no field of a walk": ("BX-1", "BX-1/../../job.toml", "x"),
    "a hidden field": ("BX-1", "BX-1/printed-for", "x"),
    "a text for a tick": ("BX-1", "BX-1/left/seen", "yes"),
    "a tick for a text": ("BX-1", "BX-1/port/A/note", True),
    "a text that is too long": ("BX-1", "BX-1/port/A/note", "x" * 1_001),
    "a name that is too long": ("BX-1", "BX-1/item/" + "x" * 300, True),
}


@pytest.mark.parametrize("kind", REFUSED)
def test_what_is_no_entry_of_a_walk_is_not_taken(desk: RunningDesk, bakery: Path, kind: str) -> None:
    """It has its reason, what came with it is kept, and nothing of the job changes."""
    client = let_in(desk, "bakery")
    before = {path.name: path.read_bytes() for path in bakery.iterdir() if path.is_file()}
    group, field, value = REFUSED[kind]
    change = {"group": group, "field": field, "value": value, "at": NOW, "for_": "x"}
    plan = plan_of(bakery)
    good = change | {
        "group": "BX-1", "field": "BX-1/right/seen", "value": True,
        "for_": printed_for(plan.job, plan.boxes[0]),
    }  # fmt: skip
    answer = client.post("/walk", {"changes": [change, good]})
    assert list(answer.json["synced"]["refused"]) == [field[:200]]
    (file,) = files_of(bakery)
    assert json.loads(file.read_bytes())["boxes"][0]["fields"] == {"BX-1/right/seen": True}
    assert {path.name: path.read_bytes() for path in bakery.iterdir() if path.is_file()} == before


def test_a_phone_cannot_enter_for_another_job(desk: RunningDesk, desk_folder: Path) -> None:
    """Its token is of its job: nothing reaches another's folder."""
    client = let_in(desk, "bakery")
    plan = plan_of(desk_folder / "clinic")
    key = plan.boxes[0].row.key
    answer = client.enter(key, printed_for(plan.job, plan.boxes[0]), {f"{key}/left/seen": True})
    assert list(answer.json["synced"]["refused"].values()) == [f"the job has no box {key}"]
    assert not (desk_folder / "clinic" / "returned").exists()


def test_entries_that_cannot_be_written_stay_on_the_phone(desk: RunningDesk, bakery: Path) -> None:
    """The answer is no success, and no other phone sees them."""
    client = let_in(desk, "bakery")
    (bakery / "returned").write_text("in the way", "utf-8")
    plan = plan_of(bakery)
    answer = client.enter("BX-1", printed_for(plan.job, plan.boxes[0]), {"BX-1/left/seen": True})
    assert answer.status == 507
    (bakery / "returned").unlink()
    assert client.post("/walk").json["synced"]["groups"] == {}


def test_a_job_with_errors_takes_nothing_until_they_are_corrected(desk: RunningDesk, bakery: Path) -> None:
    """In words; the phone keeps what it has."""
    client = let_in(desk, "bakery")
    text = (bakery / "job.toml").read_text("utf-8")
    (bakery / "job.toml").write_text("[job]\n", "utf-8")
    answer = client.post("/walk")
    assert answer.status == 409
    assert "errors" in answer.json["said"]
    (bakery / "job.toml").write_text(text, "utf-8")
    assert client.post("/walk").status == 200


# --- response test ------------------------------------------------------------------------------------------


def test_readings_come_back_as_a_table_that_readback_takes(desk: RunningDesk, desk_folder: Path) -> None:
    """What is called, read as called, by two phones a half each: all ports as called."""
    clinic = desk_folder / "clinic"
    clients = [let_in(desk, "clinic", name) for name in ("R. Hale", "T. Moss")]
    tests = clients[0].get("/response/tests").json["tests"]
    from tagmaker.plan.response import Asked, boxes_by_system, plan_response  # noqa: PLC0415
    from tagmaker.tags.response import lines_of, response_field  # noqa: PLC0415

    plan = plan_of(clinic)
    for calls in plan_response(plan, Asked())[0]:
        assert calls.plan in {test["plan"] for test in tests}
        for at, line in enumerate(lines_of(calls, boxes_by_system(plan)[calls.system.upper()])):
            changes = [
                {"group": calls.plan, "field": response_field(line, number + 1), "at": NOW,
                 "value": line.calls[number] if line.calls else "0"}
                for number in range(calls.rounds)
            ]  # fmt: skip
            answer = clients[at % 2].post("/response", {"changes": changes})
            assert answer.json["synced"]["refused"] == {}
    found = readback([clinic / "returned"], clinic)
    assert found.problems == ()
    assert found.responses
    verdicts = {port.verdict for each in found.responses for port in each.judged.ports}
    assert verdicts == {"as called", "no answer"}  # the spare ports, as is right
    assert not any(each.is_wrong for each in found.responses)


def test_two_readings_of_one_place_that_differ_are_a_contradiction(
    desk: RunningDesk, desk_folder: Path
) -> None:
    """And a reading is one of four signs."""
    hale, moss = let_in(desk, "clinic", "R. Hale"), let_in(desk, "clinic", "T. Moss")
    test = hale.get("/response/tests").json["tests"][0]
    change = {"group": test["plan"], "field": f"{test['lines'][0]['field']}1", "at": NOW}
    for phone_, value in ((hale, "H"), (moss, "C")):
        assert phone_.post("/response", {"changes": [change | {"value": value}]}).status == 200
    refused = moss.post("/response", {"changes": [change | {"value": "=1+1"}]}).json["synced"]["refused"]
    assert list(refused.values()) == ["a reading is H, C, 0 or ?"]
    found = readback([desk_folder / "clinic" / "returned"], desk_folder / "clinic")
    assert [each.code for each in found.problems] == ["return-contradiction"]


# --- tags ---------------------------------------------------------------------------------------------------


def test_a_photo_is_answered_and_others_see_it(desk: RunningDesk, desk_folder: Path) -> None:
    """Two pictures of one terminal; the second brings the first one's codes along."""
    hale, moss = let_in(desk, "clinic", "R. Hale"), let_in(desk, "clinic", "T. Moss")
    first = hale.post("/check/upload", None, TAKEN, raw=tags_photo("BB-11/B/TRM", "BB-11/C/COM")).json
    assert (first["state"], first["message"]) == ("crossed", "tags disagree at B and C")
    codes = {"X-Codes": " ".join(first["codes"]), **TAKEN}
    second = hale.post("/check/upload", None, codes, raw=tags_photo("BB-11/B/LIQ", "BB-11/B/GAS")).json
    assert (second["state"], len(second["codes"])) == ("crossed", 4)
    (last,) = moss.get("/check/last").json
    assert (last["place"], last["state"], last["who"]) == ("BB-11 B", "crossed", "R. Hale")
    assert len(list((desk_folder / "clinic" / "returned").glob("scans-phone-*.txt"))) == 1


def test_a_picture_of_another_time_makes_no_terminal_right(desk: RunningDesk, desk_folder: Path) -> None:
    """Nor does one whose time the phone does not send; it is kept with its time all the same."""
    hale = let_in(desk, "clinic")
    photo = tags_photo(*(f"BB-11/C/{each}" for each in ("TRM", "COM", "LIQ", "GAS")), size=(1800, 700))
    for ago in ("86400", "", "-5", "2.5", "tomorrow", "9999999999"):
        answer = hale.post("/check/upload", None, {"X-Taken-Ago": ago}, raw=photo).json
        assert (answer["state"], answer["codes"], answer["ends"]) == ("old picture", [], True), ago
    assert hale.get("/check/last").json == []
    found = readback([desk_folder / "clinic" / "returned"], desk_folder / "clinic")
    (result,) = (each for each in found.scans.results if (each.box, each.letter) == ("BB-11", "C"))
    assert result.result == "missing"
    assert hale.post("/check/upload", None, TAKEN, raw=photo).json["state"] == "agrees"


@pytest.mark.parametrize("body", [b"x", b"%PDF-1.7", b"\xff\xd8\xff" + b"\0" * 99, b"GIF89a"])
def test_what_is_no_photo_is_refused(desk: RunningDesk, body: bytes) -> None:
    """In words."""
    answer = let_in(desk, "bakery").post("/check/upload", raw=body)
    assert (answer.status, "cannot read this photo" in answer.json["said"]) == (415, True)


def test_hostile_codes_are_shown_as_text(desk: RunningDesk, desk_folder: Path) -> None:
    """And none leads out of the session's file."""
    client = let_in(desk, "bakery")
    code = "<script>alert(1)</script>"
    answer = client.post("/check/upload", raw=tags_photo(code, "../../x\nBX-1/A/TRM")).json
    assert answer["state"] == "unknown"
    (file,) = (desk_folder / "bakery" / "returned").glob("scans-phone-*.txt")
    assert "\nBX-1/A/TRM" not in file.read_text("utf-8")
    assert time.time() - file.stat().st_mtime < 600
    assert invited(desk, "bakery")

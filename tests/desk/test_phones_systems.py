"""Systems' sheets that phones send: kept as their files have them; the desk gives the verdict of a hold."""

import json
from pathlib import Path
from typing import Any

from tagmaker.sheets.system import system_screen
from tagmaker.site.system.pressure import compared as text_of
from tagmaker.tags.walk import WALK_FORMAT
from tagmaker.workflows.readback import readback
from tests.desk.phone_client import PhoneClient, let_in
from tests.desk.running import RunningDesk
from tests.site.systems import Sheet, clinic, found, named, rightly, without
from tests.strategies import words

SHEET = "system/HR-1"
NOW = 1_790_000_000_000


def printed() -> str:
    """What the first system's sheets are printed for."""
    return system_screen(clinic().job, clinic().systems[0], words()).printed_for


def compared(sheet: Sheet) -> str:
    """The readings with what was expected, as the findings have them."""
    return text_of(found(clinic().systems[0], sheet).hold)


def sent(client: PhoneClient, fields: dict[str, Any], for_: str = "") -> Any:
    """Entries of the first system's sheet; the desk's answer."""
    answer = client.enter(SHEET, for_ or printed(), fields, NOW)
    assert answer.status == 200, answer.text
    return answer.json["synced"]


def test_what_two_phones_sent_reads_back_as_one_file(
    desk: RunningDesk, desk_folder: Path, tmp_path: Path
) -> None:
    """Half of the sheet each; each sees the other's half, and the files survive as they were written."""
    one, job = clinic().systems[0], desk_folder / "clinic"
    values = list(named(one, rightly(one)).items())
    hale, moss = let_in(desk, "clinic", "R. Hale"), let_in(desk, "clinic", "T. Moss")
    assert sent(hale, dict(values[::2]))["refused"] == {}
    (seen,) = sent(moss, dict(values[1::2]))["groups"][SHEET][:1]
    assert (seen["name"], set(seen["fields"])) == ("R. Hale", {name for name, _ in values[::2]})
    files = sorted((job / "returned").glob("walk-phone-*.json"))
    whole = {"system": "HR-1", "printed_for": printed(), "fields": dict(values)}
    head = {"name": clinic().job.name, "number": clinic().job.number}
    one_file = {"format": WALK_FORMAT, "job": head, "boxes": [], "systems": [whole]}
    (tmp_path / "walk.json").write_text(json.dumps(one_file), "utf-8")
    by_two, by_one = readback(files, job), readback([tmp_path / "walk.json"], job)
    assert by_two.problems == by_one.problems == ()
    assert by_two.outline == by_one.outline
    assert by_two.outline.systems[0].result == "complete"
    content = json.loads(files[0].read_bytes())
    assert (content["boxes"], [each["system"] for each in content["systems"]]) == ([], ["HR-1"])


def test_a_tick_that_another_phone_took_back_is_unclear(desk: RunningDesk, desk_folder: Path) -> None:
    """It does not count as done, whoever was later."""
    tick = f"{SHEET}/test/relief"
    sent(let_in(desk, "clinic", "R. Hale"), {tick: True})
    sent(let_in(desk, "clinic", "T. Moss"), {tick: False})
    system = readback([desk_folder / "clinic" / "returned"], desk_folder / "clinic").outline.systems[0]
    assert (system.ticked, system.unclear) == ((), (tick,))


def test_what_is_no_entry_of_a_systems_sheet_is_not_taken(desk: RunningDesk) -> None:
    """A tick for a text, a hidden field, another system's field, a sheet of no system."""
    client = let_in(desk, "clinic")
    wrong = {
        f"{SHEET}/charge/weighed": True, f"{SHEET}/test/relief": "yes", f"{SHEET}/printed-for": "x",
        "system/HR-2/test/relief": True,
    }  # fmt: skip
    assert set(sent(client, wrong)["refused"]) == set(wrong)
    assert set(sent(client, {f"{SHEET}/test/relief": True}, "x")["refused"]) == {f"{SHEET}/test/relief"}
    answer = client.enter("system/HR-9", printed(), {"system/HR-9/test/relief": True})
    assert list(answer.json["synced"]["refused"].values()) == ["the job has no sheet system/HR-9"]


def test_the_desk_gives_the_verdict_that_readback_gives(desk: RunningDesk) -> None:
    """Holds, falls, none while a reading is missing; nothing is kept."""
    one, client = clinic().systems[0], let_in(desk, "clinic")
    right = rightly(one)
    leak = {**right, ("hold", "end", "pressure"): "510"}
    part = without(right, ("hold", "end"))

    def verdict(sheet: Sheet) -> tuple[str | None, str]:
        answer = client.post("/walk/hold", {"sheet": SHEET, "fields": named(one, sheet)}).json
        return answer["verdict"], answer["text"]

    assert verdict(right) == ("holds", f"The readings come to: holds. {compared(right)}.")
    assert verdict(leak) == ("falls", f"The readings come to: falls. {compared(leak)}.")
    assert verdict(part)[0] is None
    assert verdict(part)[1].startswith("No verdict yet")
    assert client.post("/walk/hold", {"sheet": "system/HR-9", "fields": {}}).status == 404

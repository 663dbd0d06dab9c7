"""Phones served at once: so many people check tags by photo and enter a walk through the phones' door.

`python -m tests.bench.phones [PHONES] [PHOTOS]`: 30 phones with 100 photos each unless given; 18 minutes. The
door runs in a process of its own, as `tagmaker desk --phones 127.0.0.1`; no address but this computer's is
asked. A person takes a photo of 12 megapixels every 10 seconds, sent as the phone's page sends it, and the
page asks for the list of last answers after it and every 5 seconds; before that all phones send one photo at
the same moment. Reports how long answers took, in seconds, and what is on disk at the end. Beside other work
the times of processors are the ones to compare.
"""

import json
import os
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import parse_qs, urlencode, urlsplit

from tagmaker.tags.walk import printed_for
from tests.browser.phone import plan_of
from tests.desk.tag_photos import tags_photo
from tests.paths import EXAMPLES

PHONES, PHOTOS = 30, 100
PHONES_AT_MOST, PHOTOS_AT_MOST = 100, 1_000
PHOTO_PX = (4000, 3000)
QUALITY = 60  # as the phone's page makes it (check.js)
BURSTS = 3
ASKS_SECONDS = 5.0
THINKS_SECONDS = 10.0
"""Between two photos of one person: to take the next one needs longer."""
ENTRIES_EACH = 5


class _Phone:
    """A phone that was let in: photos, each with an entry of the walk after it."""

    def __init__(self, host: str, key: str, number: int) -> None:
        self.connection = HTTPConnection(host, timeout=120)
        self.origin, self.number = f"http://{host}", number
        self.cookie = ""
        self.photos: list[float] = []
        self.bursts: list[float] = []
        self.entries: list[float] = []
        self.lists: list[float] = []
        self.states: Counter[str] = Counter()
        form = {"Content-Type": "application/x-www-form-urlencoded"}
        body = urlencode({"key": key, "name": f"Phone {number}"}).encode()
        _, headers, _ = self._ask("POST", "/join", body, form)
        self.cookie = headers["set-cookie"].partition(";")[0]

    def _ask(
        self, method: str, path: str, body: bytes, more: dict[str, str]
    ) -> tuple[float, dict[str, str], bytes]:
        began = time.perf_counter()
        headers = {"Origin": self.origin, "Cookie": self.cookie, "Accept": "application/json", **more}
        self.connection.request(method, path, body, headers)
        answer = self.connection.getresponse()
        content = answer.read()
        took = time.perf_counter() - began
        if answer.status not in {200, 303}:
            raise RuntimeError(f"{path}: {answer.status} {content[:200]!r}")
        return took, {name.lower(): value for name, value in answer.getheaders()}, content

    def photograph(self, photo: bytes, times: list[float]) -> None:
        """One terminal in one picture, then the list of last answers, as the page does."""
        took, _, content = self._ask(
            "POST", "/check/upload", photo, {"Content-Type": "application/octet-stream", "X-Taken-Ago": "1"}
        )
        times.append(took)
        self.states[json.loads(content)["state"]] += 1
        self.ask_last()

    def ask_last(self) -> None:
        """The list of last answers."""
        self.lists.append(self._ask("GET", "/check/last", b"", {})[0])

    def enter(self, box: str, for_: str, letter: str, count: int) -> None:
        """Entries of a letter."""
        changes = [
            {"group": box, "field": f"{box}/port/{letter}/{what}", "value": True, "at": count, "for_": for_}
            for what in ("pipe/ok", "cable/ok", "tags/ok", "pipe/proved", "cable/proved")
        ]
        body = json.dumps({"changes": changes[:ENTRIES_EACH]}).encode()
        took, _, _ = self._ask("POST", "/walk", body, {"Content-Type": "application/json"})
        self.entries.append(took)


def main() -> None:
    """Run the phones and print what was measured."""
    phones, photos = _wanted(sys.argv[1:])
    with tempfile.TemporaryDirectory(prefix="tagmaker-phones-") as folder:
        job = Path(folder) / "clinic"
        shutil.copytree(EXAMPLES / "clinic", job, ignore=shutil.ignore_patterns("pictures", "returned"))
        pictures = _pictures(job)
        command = [sys.executable, "-m", "tagmaker", "desk", str(job), "--no-open", "--phones", "127.0.0.1"]
        environment = os.environ | {"XDG_STATE_HOME": folder}
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as desk:
            try:
                if desk.stdout is None:
                    raise RuntimeError("the desk has no output")
                desk.stdout.readline()
                address = urlsplit(desk.stdout.readline().strip())
                _run(address.netloc, parse_qs(address.query)["key"][0], phones, photos, pictures, job)
                memory = _peak_mb(desk.pid)
            finally:
                desk.terminate()
        seconds = resource.getrusage(resource.RUSAGE_CHILDREN)
        print(f"desk: {seconds.ru_utime + seconds.ru_stime:.1f} s of processors, {memory} MB at most")  # noqa: T201
        _on_disk(job)


def _wanted(words: list[str]) -> tuple[int, int]:
    numbers = [int(word) for word in words if word.isdecimal()]
    phones, photos = (*numbers, *(PHONES, PHOTOS)[len(numbers) :])[:2]
    return min(phones, PHONES_AT_MOST), min(photos, PHOTOS_AT_MOST)


def _pictures(job: Path) -> list[tuple[str, str, bytes]]:
    """A photo of each cabled terminal with its tags; every fifth has another one's cable."""
    found: list[tuple[str, str, bytes]] = []
    boxes = plan_of(job).boxes
    letters = [(box.row.key, port.letters[0]) for box in boxes for port in box.ports if port.units]
    for number, (box, letter) in enumerate(letters):
        other = letters[(number + 1) % len(letters)] if number % 5 == 4 else (box, letter)
        codes = [f"{box}/{letter}/{what}" for what in ("TRM", "LIQ", "GAS")]
        found.append(
            (
                box,
                letter,
                tags_photo(*codes, "/".join((*other, "COM")), seed=number, size=PHOTO_PX, quality=QUALITY),
            )
        )
    return found


def _run(  # noqa: PLR0917 — a bench's settings
    host: str, key: str, phones: int, photos: int, pictures: list[tuple[str, str, bytes]], job: Path
) -> None:
    plan = plan_of(job)
    fors = {box.row.key: printed_for(plan.job, box) for box in plan.boxes}
    people = [_Phone(host, key, number) for number in range(phones)]

    def works(phone: _Phone) -> None:
        time.sleep(THINKS_SECONDS * phone.number / phones)
        for number in range(photos):
            began = time.perf_counter()
            box, letter, photo = pictures[(phone.number * 7 + number) % len(pictures)]
            phone.photograph(photo, phone.photos)
            phone.enter(box, fors[box], letter, number)
            _rest(began + ASKS_SECONDS)
            phone.ask_last()
            _rest(began + THINKS_SECONDS)

    def bursts(phone: _Phone) -> None:
        phone.photograph(pictures[phone.number % len(pictures)][2], phone.bursts)

    for _ in range(BURSTS):
        _together(people, bursts)
    began = time.perf_counter()
    _together(people, works)
    took = time.perf_counter() - began
    all_photos = [each for phone in people for each in phone.photos]
    count, size = len(all_photos), " × ".join(map(str, PHOTO_PX))
    print(f"{phones} phones, {count} photos of {size} pixels in {took:.0f} s")  # noqa: T201
    _told(f"a photo's answer, one every {THINKS_SECONDS:.0f} s a phone", all_photos)
    _told(f"a photo's answer, {phones} at once", [each for phone in people for each in phone.bursts])
    _told("the list of last answers", [each for phone in people for each in phone.lists])
    _told(f"an answer to {ENTRIES_EACH} entries", [each for phone in people for each in phone.entries])
    print("states:", dict(sum((phone.states for phone in people), Counter())))  # noqa: T201


def _together(people: list[_Phone], work: Callable[[_Phone], None]) -> None:
    """All phones at the same time, to the last one's end."""
    with ThreadPoolExecutor(len(people)) as pool:
        list(pool.map(work, people))


def _rest(until: float) -> None:
    time.sleep(max(0.0, until - time.perf_counter()))


def _told(what: str, seconds: list[float]) -> None:
    ranked = sorted(seconds)
    at = {share: ranked[min(len(ranked) - 1, int(len(ranked) * share / 100))] for share in (50, 95, 99)}
    shown = ", ".join(f"{share} %: {found:.2f} s" for share, found in at.items())
    print(f"{what}: mean {statistics.mean(seconds):.2f} s, {shown}, longest {ranked[-1]:.2f} s")  # noqa: T201


def _peak_mb(number: int) -> int:
    """The most memory that a process had, where the system tells it."""
    status = Path(f"/proc/{number}/status")
    found = re.search(r"VmHWM:\s+(\d+) kB", status.read_text("utf-8")) if status.exists() else None
    return int(found[1]) // 1000 if found else 0


def _on_disk(job: Path) -> None:
    """That every photo is in its phone's session."""
    sessions = sorted((job / "returned").glob("scans-phone-*.txt"))
    visits = sum(line.startswith("# ") for file in sessions for line in file.read_text("utf-8").splitlines())
    walks = len(list((job / "returned").glob("walk-phone-*.json")))
    print(f"on disk: {len(sessions)} sessions with {visits} visits, {walks} walk files")  # noqa: T201


if __name__ == "__main__":
    main()

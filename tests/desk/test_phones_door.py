"""The phones' door: a phone has its own job's three pages, and nobody else has anything."""

import http.client
import json
import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tagmaker.desk.phones.devices import DEVICES_AT_MOST, Devices, clean_name
from tagmaker.desk.phones.rates import Rates
from tagmaker.desk.phones.serve import Phones, PhonesAsked, is_address, own_address
from tagmaker.problems import Problem
from tests.desk.phone_client import PhoneClient, asked, invited, let_in
from tests.desk.running import RunningDesk, running_desk
from tests.desk.test_run import run_desk
from tests.paths import ROOT

PAGES = ("/", "/walk", "/check", "/response", "/response/tests", "/check/last")


def test_a_phone_with_the_code_is_let_in_to_its_job_alone(desk: RunningDesk) -> None:
    """Its pages answer; they name its own job and no other."""
    phone = let_in(desk, "bakery")
    for path in PAGES:
        answer = phone.get(path)
        assert answer.status == 200, path
        assert b"Alder Row" not in answer.body
    assert "Tide Street Bakery" in phone.get("/").text


def test_the_placards_page_is_for_phones_that_were_let_in(desk: RunningDesk) -> None:
    """The shipped files, under the page's own policy; nobody else has them, and no other page is below it."""
    phone = let_in(desk, "bakery")
    for name in ("placard.html", "placard-worker.js"):
        answer = phone.get(f"/placard/{name}")
        assert answer.body == (ROOT / "layouts" / name).read_bytes()
        assert phone.get(f"/placard/{name}", FOREIGN["no cookie"]).status == 403
    policy = phone.get("/placard/placard.html").headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'sha256-")
    assert policy.endswith("frame-ancestors 'none'")
    assert phone.get("/placard/walk").status == 404


@pytest.mark.parametrize("path", ["/manual", "/job/x/schedule", "/events", "/stocks", "/explain", "/work/1"])
def test_a_phone_never_reaches_the_desks_pages(desk: RunningDesk, path: str) -> None:
    """Nor any job's by the desk's own addresses; the desk's door takes no phone's token."""
    phone = let_in(desk, "bakery")
    assert phone.get(path).status == 404
    assert phone.get(f"{desk.job('clinic')}/site").status == 404
    assert phone.get(f"{desk.job('bakery')}/site").status == 404
    assert phone.post(f"{desk.job('bakery')}/site/upload").status in {404, 405}
    assert asked(desk.key.host, "GET", path, None, {"Cookie": phone.cookie}).status == 403


def test_the_desks_secret_opens_no_phones_page(desk: RunningDesk) -> None:
    """Two doors, two secrets."""
    host, key = invited(desk, "bakery")
    assert asked(host, "GET", f"/?key={desk.key.secret}").status == 403
    assert asked(host, "GET", "/", None, {"Cookie": f"phone-{host[-5:]}={desk.key.secret}"}).status == 403
    assert desk.get(f"/?key={key}", {"Cookie": ""}).status == 403


FOREIGN = {
    "no cookie": {"Cookie": ""},
    "another token": {"Cookie": "phone-1=x"},
    "another host": {"Host": "desk.example"},
    "another name of this computer": {"Host": "localhost:1"},
    "no host": {"Host": ""},
    "another origin": {"Origin": "http://desk.example"},
    "no origin at all": {"Origin": "null"},
    "another site": {"Sec-Fetch-Site": "cross-site"},
    "another port": {"Sec-Fetch-Site": "same-site"},
}


@pytest.mark.parametrize("kind", FOREIGN)
@pytest.mark.parametrize("path", ["/walk", "/check/last", "/nothing"])
def test_any_other_request_is_refused(desk: RunningDesk, kind: str, path: str) -> None:
    """Whatever it asks for, in the same words."""
    phone = let_in(desk, "bakery")
    answer = phone.get(path, FOREIGN[kind])
    assert answer.status in {400, 403}
    assert b"Bakery" not in answer.body


@pytest.mark.parametrize("origin", ["", "null", "http://desk.example", "http://127.0.0.1:1"])
def test_what_changes_something_names_the_doors_origin(desk: RunningDesk, origin: str) -> None:
    """Every browser sends it; what has none, or another, is no page of this door."""
    phone = let_in(desk, "bakery")
    assert phone.post("/walk", {}, {"Origin": origin}).status == 403
    assert phone.post("/walk", {}).status == 200


def test_every_answer_has_the_headers(desk: RunningDesk) -> None:
    """Let in or not: no frame, nothing kept, no script but the door's own and the walk's by its digest."""
    phone = let_in(desk, "bakery")
    for answer in (phone.get("/"), phone.get("/walk"), phone.get("/walk", FOREIGN["no cookie"])):
        policy = answer.headers["content-security-policy"]
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["referrer-policy"] == "same-origin"
        assert answer.headers["cache-control"] == "no-store"
        assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_token_is_out_of_reach_of_scripts(desk: RunningDesk) -> None:
    """And for this door's port alone."""
    host, key = invited(desk, "bakery")
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://{host}"}
    answer = asked(host, "POST", "/join", urlencode({"key": key, "name": "A"}).encode(), headers)
    name, *attributes = answer.headers["set-cookie"].split("; ")
    assert name.startswith(f"phone-{host.rpartition(':')[2]}=")
    assert {"httponly", "path=/", "samesite=strict"} <= {each.lower() for each in attributes}
    assert key not in answer.headers["set-cookie"]


def test_a_closed_door_is_closed_for_all(desk: RunningDesk, desk_folder: Path) -> None:
    """One click: no server; opened again, the old code and the old token are void, at the same port."""
    host, key = invited(desk, "bakery")
    phone = let_in(desk, "bakery")
    assert desk.post(f"{desk.job('bakery')}/site/phones/close").status == 303
    with pytest.raises(OSError, match="refused"):
        phone.get("/")
    assert invited(desk, "bakery")[0] == host
    assert phone.get("/walk").status == 403
    assert asked(host, "GET", f"/?key={key}").status == 403
    assert let_in(desk, "bakery").get("/walk").status == 200
    assert desk_folder.is_dir()


def test_closing_one_jobs_door_leaves_anothers_open(desk: RunningDesk) -> None:
    """A phone of the other job goes on."""
    one, other = let_in(desk, "bakery"), let_in(desk, "clinic")
    desk.post(f"{desk.job('bakery')}/site/phones/close")
    assert (one.get("/walk").status, other.get("/walk").status) == (403, 200)


def test_phones_and_port_survive_a_restart(desk_folder: Path, tmp_path: Path) -> None:
    """The token lets in again; the code is a new one. No token is in the file in plain."""
    kept = tmp_path / "state" / "phones.json"
    with running_desk(desk_folder, tmp_path / "one", kept) as desk:
        host, key = invited(desk, "bakery")
        phone = let_in(desk, "bakery")
    assert phone.cookie.partition("=")[2] not in kept.read_text("utf-8")
    assert kept.stat().st_mode & 0o077 == 0
    with running_desk(desk_folder, tmp_path / "two", kept) as desk:
        assert desk.phones.start() is None
        assert desk.phones.address().startswith(f"http://{host}/")
        assert phone.get("/walk").status == 200
        assert asked(host, "GET", f"/?key={key}").status == 403


@pytest.mark.parametrize("content", [b"", b"{}", b"[1]", b'{"port": "x"}', b"\xff", b'{"devices": 3}'])
def test_a_broken_file_means_that_phones_scan_again(tmp_path: Path, content: bytes) -> None:
    """Nobody is let in by it."""
    file = tmp_path / "kept.json"
    file.write_bytes(content)
    devices = Devices(file)
    assert (devices.port, devices.open_jobs, devices.of_token("")) == (0, (), None)


def test_wrong_secrets_are_limited(desk: RunningDesk) -> None:
    """After some the door looks at nothing from there for a while, the right one included."""
    host, key = invited(desk, "bakery")
    phone = let_in(desk, "bakery")
    answers = [asked(host, "GET", f"/?key={number}").status for number in range(14)]
    assert (answers[0], answers[-1]) == (403, 429)
    assert asked(host, "GET", f"/?key={key}").status == 429
    assert phone.get("/walk").status == 200


def test_a_phone_whose_token_is_void_can_scan_the_new_code(desk: RunningDesk) -> None:
    """It keeps asking as its page is open: that does not count as guessing a code."""
    phone = let_in(desk, "bakery")
    id_ = desk.job("bakery").rpartition("/")[2]
    desk.phones.close(id_)
    host, key = invited(desk, "bakery")
    assert {phone.post("/walk", {}).status for _ in range(30)} <= {403, 429}
    assert asked(host, "GET", f"/?key={key}").status == 200


def test_a_phone_that_asks_too_often_waits_and_others_do_not(desk: RunningDesk) -> None:
    """So many at once, then so many a second."""
    one, other = let_in(desk, "bakery"), let_in(desk, "bakery", "T. Moss")
    answers = [one.get("/nothing").status for _ in range(200)]
    assert 429 in answers
    assert other.get("/walk").status == 200


def test_rates_come_back_with_time() -> None:
    """And names are forgotten before they fill the memory."""
    now = [0.0]
    rates = Rates(2, 0.5, lambda: now[0])
    assert [rates.take("a") for _ in range(3)] == [True, True, False]
    assert rates.is_over("a")
    now[0] = 2.0
    assert [rates.take("a"), rates.take("a")] == [True, False]
    assert all(rates.take(str(number)) for number in range(5_000))


HOSTILE = [
    "<script>alert(1)</script>",
    "\u202eelaH .R",
    "a\nb",
    "x" * 5_000,
    '"><img src=x onerror=a()>',
    "’ ; --",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_one_short_line_and_shown_as_text(desk: RunningDesk, name: str) -> None:
    """On the phone's own pages and on the desk's."""
    phone = let_in(desk, "bakery", name)
    page = desk.get(f"{desk.job('bakery')}/site/phones").text
    for text in (phone.get("/").text, page):
        assert "<script>alert" not in text
        assert "<img src=x" not in text
        assert "\u202e" not in text
        assert "x" * 100 not in text


@pytest.mark.parametrize("name", ["", "  ", "\u200b", "\n"])
def test_a_name_that_shows_as_nothing_is_asked_for_again(desk: RunningDesk, name: str) -> None:
    """Others must see whose marks they are."""
    host, key = invited(desk, "bakery")
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://{host}"}
    answer = asked(host, "POST", "/join", urlencode({"key": key, "name": name}).encode(), headers)
    assert answer.status == 400
    assert "Enter your name" in answer.text
    assert clean_name(name) == ""


def test_so_many_phones_and_no_more(tmp_path: Path) -> None:
    """A code that went round fills nothing up."""
    devices = Devices(tmp_path / "kept.json")
    devices.open_job("job", 1)
    assert all(devices.let_in("job", "A") for _ in range(DEVICES_AT_MOST))
    assert devices.let_in("job", "A") is None
    assert devices.let_in("other", "A") is None


def test_a_body_that_is_too_large_is_refused_while_it_arrives(desk: RunningDesk) -> None:
    """An entry's, and a photo's."""
    phone = let_in(desk, "bakery")
    assert phone.post("/walk", raw=b"x" * 3_000_000).status == 413
    assert phone.post("/check/upload", raw=b"x" * 26_000_000).status == 413
    assert phone.get("/walk").status == 200


@pytest.mark.parametrize(
    "body", [b"{", b"[]", b'{"changes": 3}', b'{"changes": [{"group": 1}]}', b"\xff" * 9]
)
def test_what_is_no_entry_is_refused(desk: RunningDesk, body: bytes) -> None:
    """In words, and nothing is kept."""
    phone = let_in(desk, "bakery")
    assert phone.post("/walk", raw=body).status == 400


def test_it_listens_on_one_address(desk: RunningDesk) -> None:
    """Another address of this computer does not answer."""
    host, _ = invited(desk, "bakery")
    with pytest.raises(OSError, match="refused"):
        http.client.HTTPConnection("127.0.0.2", int(host.rpartition(":")[2]), timeout=5).request("GET", "/")


def test_its_own_address_is_found_without_a_network() -> None:
    """By asking the system which address it would use; here towards this computer itself."""
    assert own_address("127.0.0.2") in {"127.0.0.1", "127.0.0.2"}


NO_ADDRESS = ["", "own", "example.org", "0.0.0.0", "224.0.0.1", "1.2.3", "::1", "1.2.3.4:5"]  # noqa: S104


@pytest.mark.parametrize("text", NO_ADDRESS)
def test_what_is_no_address_is_none(text: str) -> None:
    """All addresses at once are none either."""
    assert not is_address(text)
    assert is_address("192.168.1.5")


def test_an_address_of_another_computer_is_a_problem(desk: RunningDesk, tmp_path: Path) -> None:
    """In words, with what to do; nothing is opened."""
    phones = Phones(desk.desk, PhonesAsked("192.0.2.7"), tmp_path / "kept.json")
    problem = phones.start()
    assert isinstance(problem, Problem)
    assert "cannot be opened at 192.0.2.7" in problem.message
    assert phones.address() == ""


# --- the command --------------------------------------------------------------------------------------------


def test_the_second_line_is_the_doors_address(desk_folder: Path, tmp_path: Path) -> None:
    """With one job it lets in at once; the desk's own address stays the first line."""
    state = {"XDG_STATE_HOME": str(tmp_path / "state")}
    with run_desk(str(desk_folder / "bakery"), "--phones", "127.0.0.2", **state) as run:
        assert run.stdout
        first, second = run.stdout.readline().strip(), run.stdout.readline().strip()
        assert first.startswith("http://127.0.0.1:")
        assert second.startswith("http://127.0.0.2:")
        host, path = second.removeprefix("http://").split("/", 1)
        assert "Tide Street Bakery" in asked(host, "GET", f"/{path}").text
    assert list((tmp_path / "state").rglob("*.json"))


def test_with_several_jobs_the_address_has_no_secret(desk_folder: Path, tmp_path: Path) -> None:
    """Each job's page has its own code."""
    with run_desk(str(desk_folder), "--phones=127.0.0.2", XDG_STATE_HOME=str(tmp_path / "state")) as run:
        assert run.stdout
        run.stdout.readline()
        second = run.stdout.readline().strip()
        assert second.endswith("/")
        assert asked(second.removeprefix("http://").strip("/"), "GET", "/").status == 403


@pytest.mark.parametrize("words", [["--phones=desk.example"], ["--phones=0.0.0.0"]])
def test_a_word_that_is_no_address_is_wrong_usage(tmp_path: Path, words: list[str]) -> None:
    """Exit code 2."""
    with run_desk(str(tmp_path), *words) as run:
        assert "not an address" in run.communicate(timeout=60)[1]
    assert run.returncode == 2


@pytest.mark.parametrize("phones", [("--phones", "127.0.0.1"), ()])
def test_a_file_that_is_no_certificate_is_a_problem(phones: tuple[str, ...], tmp_path: Path) -> None:
    """Before anything is served, also where phones are let in later, from the page."""
    (tmp_path / "x.pem").write_text("-----BEGIN NOTHING-----\n", "utf-8")
    options = (*phones, "--certificate", str(tmp_path / "x.pem"))
    with run_desk(str(tmp_path), *options, XDG_STATE_HOME=str(tmp_path)) as run:
        out, err = run.communicate(timeout=60)
    assert (run.returncode, out) == (1, "")
    assert "cannot be used" in err


def test_with_a_certificate_all_is_encrypted(desk: RunningDesk, tmp_path: Path) -> None:
    """The address says so, and plain requests get nothing."""
    pem = tmp_path / "door.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=127.0.0.1",
         "-keyout", str(tmp_path / "key"), "-out", str(tmp_path / "crt")],
        check=True, capture_output=True,
    )  # fmt: skip
    pem.write_bytes((tmp_path / "crt").read_bytes() + (tmp_path / "key").read_bytes())
    phones = Phones(desk.desk, PhonesAsked("127.0.0.1", pem), tmp_path / "kept.json")
    try:
        id_ = desk.job("bakery").rpartition("/")[2]
        assert phones.let_in(id_) is None
        address = phones.address(id_)
        assert address.startswith("https://127.0.0.1:")
        script = (
            "import ssl, sys, urllib.request as r; c = ssl._create_unverified_context();"
            "print(r.urlopen(sys.argv[1], context=c).read().decode())"
        )
        environment = {name: value for name, value in os.environ.items() if "proxy" not in name.lower()}
        done = subprocess.run(
            [sys.executable, "-c", script, address],
            capture_output=True,
            text=True,
            check=True,
            env=environment,
        )
        assert "Tide Street Bakery" in done.stdout
        assert "not encrypted" not in done.stdout
        with pytest.raises((http.client.HTTPException, OSError)):
            asked(address.split("/")[2], "GET", "/")
    finally:
        phones.end()


def test_the_kept_file_has_what_it_needs_alone(desk: RunningDesk, tmp_path: Path) -> None:
    """Names, ids and digests; no secret of a code."""
    host, key = invited(desk, "bakery")
    phone = let_in(desk, "bakery")
    text = next(tmp_path.rglob("phones.json")).read_text("utf-8")
    assert key not in text
    assert json.loads(text)["port"] == int(host.rpartition(":")[2])
    assert isinstance(phone, PhoneClient)

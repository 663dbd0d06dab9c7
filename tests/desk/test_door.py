"""Nobody but the desk's own browser is let in, whatever the request looks like."""

import http.client
from collections.abc import Mapping

import pytest

from tests.desk.running import RunningDesk

OWN: Mapping[str, str] = {}
FOREIGN = {
    "no cookie": {"Cookie": ""},
    "another secret": {"Cookie": "desk-1=x"},
    "another host": {"Host": "desk.example"},
    "another name of this computer": {"Host": "localhost:1"},
    "no host": {"Host": ""},
    "another origin": {"Origin": "http://desk.example"},
    "no origin at all": {"Origin": "null"},
    "another site": {"Sec-Fetch-Site": "cross-site"},
    "another port of this computer": {"Sec-Fetch-Site": "same-site"},
}
PATHS = ("/", "/manual", "/static/desk.css", "/face/plain.woff", "/events", "/nothing")


def test_the_own_browser_is_let_in(desk: RunningDesk) -> None:
    """With its cookie, and with what a browser says of a request that the page itself sends."""
    for site in ("none", "same-origin"):
        assert desk.get("/", {"Sec-Fetch-Site": site, "Origin": desk.url}).status == 200


@pytest.mark.parametrize(
    ("site", "status"),
    [("same-origin", 404), ("same-site", 403), ("cross-site", 403), ("none", 403), ("", 403)],
)
def test_a_form_without_an_origin_is_let_in_from_the_own_pages_alone(
    desk: RunningDesk, site: str, status: int
) -> None:
    """Pages that give no referrer have none; which site a form is of, no page can say, but the browser."""
    given = {"Origin": "null", "Sec-Fetch-Site": site}
    assert desk.ask("POST", "/nothing", b"", given).status == status


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("kind", FOREIGN)
def test_any_other_request_is_refused(desk: RunningDesk, kind: str, path: str) -> None:
    """On every path, with the same words, so that nothing shows what is there."""
    answer = desk.get(path, FOREIGN[kind])
    assert answer.status in {400, 403}
    assert b"bakery" not in answer.body
    if answer.status == 403:
        assert answer.text == desk.get("/", FOREIGN["no cookie"]).text


def test_the_secret_is_exchanged_for_a_cookie_and_leaves_the_address(desk: RunningDesk) -> None:
    """The cookie is for this port alone, out of reach of scripts and of other sites."""
    answer = desk.get(f"/?key={desk.key.secret}", {"Cookie": ""})
    assert (answer.status, answer.headers["location"]) == (303, "/")
    name, *attributes = answer.headers["set-cookie"].split("; ")
    assert name == f"desk-{desk.url.rpartition(':')[2]}={desk.key.secret}"
    assert {each.lower() for each in attributes} == {"httponly", "path=/", "samesite=strict"}


@pytest.mark.parametrize(
    "query", ["key=", "key=x", "key=x&key={secret}", "key={secret}&key=x", "Key={secret}"]
)
def test_a_wrong_secret_is_refused(desk: RunningDesk, query: str) -> None:
    """An empty, another, a second one."""
    answer = desk.get("/?" + query.format(secret=desk.key.secret), {"Cookie": ""})
    assert (answer.status, "set-cookie" in answer.headers) == (403, False)


def test_the_secret_opens_nothing_for_another_site(desk: RunningDesk) -> None:
    """Even one that knows it: a page elsewhere must not sit on the desk's cookie."""
    assert desk.get(f"/?key={desk.key.secret}", {"Cookie": "", "Sec-Fetch-Site": "cross-site"}).status == 403


@pytest.mark.parametrize("path", ["/", "/nothing", "/static/desk.css"])
def test_every_answer_has_the_headers(desk: RunningDesk, path: str) -> None:
    """Let in or not: no script of others, no frame, nothing kept, no address passed on."""
    for headers in (OWN, FOREIGN["no cookie"]):
        found = desk.get(path, headers).headers
        assert "script-src 'self'" in found["content-security-policy"]
        assert "unsafe" not in found["content-security-policy"]
        assert "frame-ancestors 'none'" in found["content-security-policy"]
        assert found["referrer-policy"] == "no-referrer"
        assert found["cache-control"] == "no-store"
        assert found["x-content-type-options"] == "nosniff"


def test_it_listens_on_this_computer_alone(desk: RunningDesk) -> None:
    """No other address of this computer answers."""
    assert desk.key.host.startswith("127.0.0.1:")
    port = int(desk.key.host.rpartition(":")[2])
    with pytest.raises(OSError, match="refused"):
        http.client.HTTPConnection("127.0.0.2", port, timeout=5).request("GET", "/")


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2f..%2fcli/app.py", "/static//etc/passwd",
        "/job/..%2f..%2fetc/schedule", "/job/%2fetc/events", "/face/..%2fplain.woff", "/manual/..%2fjob-file",
        "/manual/%2fetc%2fpasswd",
    ],
)  # fmt: skip
def test_no_path_leads_out(desk: RunningDesk, path: str) -> None:
    """An address names pages and ids, never a path on disk."""
    assert desk.get(path).status == 404


def test_a_request_that_is_too_large_is_refused_while_it_arrives(desk: RunningDesk) -> None:
    """And the desk goes on."""
    answer = desk.ask("POST", "/work/1/stop", b"x" * 5_000_000, {"Origin": desk.url})
    assert answer.status == 413
    assert desk.get("/").status == 200

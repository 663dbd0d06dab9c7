"""A phone at the phones' door, without a browser: let in by the code, then asking with its token."""

import contextlib
import json
from collections.abc import Mapping
from http.client import HTTPConnection
from urllib.parse import parse_qs, urlencode, urlsplit

from tests.desk.running import Answer, RunningDesk

__all__ = ["PhoneClient", "asked", "invited", "let_in"]


def asked(
    host: str, method: str, path: str, body: bytes | None = None, headers: Mapping[str, str] | None = None
) -> Answer:
    """One request of anybody; a header of "" is left out."""
    connection = HTTPConnection(host, timeout=60)
    with contextlib.closing(connection):
        connection.putrequest(method, path, skip_host=True)
        for name, value in ({"Host": host} | dict(headers or {})).items():
            if value:
                connection.putheader(name, value)
        if body is not None:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body)
        return Answer(connection.getresponse())


class PhoneClient:
    """A phone that was let in."""

    def __init__(self, host: str, cookie: str) -> None:
        self.host, self.cookie = host, cookie

    def get(self, path: str, headers: Mapping[str, str] | None = None) -> Answer:
        """Ask for a page."""
        return asked(self.host, "GET", path, None, {"Cookie": self.cookie} | dict(headers or {}))

    def post(
        self, path: str, body: object = None, headers: Mapping[str, str] | None = None, *, raw: bytes = b""
    ) -> Answer:
        """Send an object as JSON, or bytes as they are, as the pages' scripts do."""
        own = {
            "Cookie": self.cookie,
            "Origin": f"http://{self.host}",
            "Content-Type": "application/json",
            "Accept": "application/json",
        }
        return asked(
            self.host, "POST", path, raw or json.dumps(body or {}).encode(), own | dict(headers or {})
        )

    def enter(self, box: str, printed_for: str, fields: Mapping[str, object], at: int = 1) -> Answer:
        """Entries of a walk."""
        changes = [
            {"group": box, "field": name, "value": value, "at": at, "for_": printed_for}
            for name, value in fields.items()
        ]
        return self.post("/walk", {"changes": changes})


def invited(desk: RunningDesk, job: str) -> tuple[str, str]:
    """Host and secret of a job's code; its door is opened where it is closed."""
    id_ = desk.job(job).rpartition("/")[2]
    assert desk.phones.let_in(id_) is None
    address = urlsplit(desk.phones.address(id_))
    return address.netloc, parse_qs(address.query)["key"][0]


def let_in(desk: RunningDesk, job: str, name: str = "R. Hale") -> PhoneClient:
    """A phone of that person, let in to a job."""
    host, key = invited(desk, job)
    body = urlencode({"key": key, "name": name}).encode()
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": f"http://{host}"}
    answer = asked(host, "POST", "/join", body, headers)
    assert (answer.status, answer.headers["location"]) == (303, "/")
    return PhoneClient(host, answer.headers["set-cookie"].partition(";")[0])

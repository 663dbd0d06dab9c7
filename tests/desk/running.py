"""A desk that runs for a test: in a thread of its own, with a key, and ways to ask it without a browser."""

import contextlib
import json
import threading
import time
from collections.abc import Iterator, Mapping
from http.client import HTTPConnection, HTTPResponse
from pathlib import Path
from typing import Any

from tagmaker.desk.app import application
from tagmaker.desk.door import Key, new_secret
from tagmaker.desk.phones.serve import Phones, PhonesAsked
from tagmaker.desk.serve import Server, listening
from tagmaker.desk.state import Desk
from tagmaker.desk.watch import watching
from tagmaker.problems import Problem

__all__ = ["Answer", "RunningDesk", "running_desk"]

PATIENCE_SECONDS = 30.0


class Answer:
    """An answer as it came: status, headers by lower-case name, body."""

    def __init__(self, answer: HTTPResponse) -> None:
        self.status = answer.status
        self.headers = {name.lower(): value for name, value in answer.getheaders()}
        self.body = answer.read()

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode()

    @property
    def json(self) -> Any:
        """The body as an object."""
        return json.loads(self.body)


class RunningDesk:
    """A desk and its key; `get` and `post` ask as its own browser would."""

    def __init__(self, desk: Desk, key: Key, phones: Phones) -> None:
        self.desk = desk
        self.key = key
        self.phones = phones

    @property
    def url(self) -> str:
        """The address of its first page, without the secret."""
        return f"http://{self.key.host}"

    def job(self, name: str) -> str:
        """The beginning of the addresses of the job in a folder below the desk's."""
        return next(job.path for job in self.desk.jobs() if job.below == name)

    def get(self, path: str, headers: Mapping[str, str] | None = None) -> Answer:
        """Ask for a page."""
        return self.ask("GET", path, headers=headers)

    def post(self, path: str, body: object = None, headers: Mapping[str, str] | None = None) -> Answer:
        """Send an object as JSON, as the pages' `send` does."""
        own = {"Content-Type": "application/json", "Accept": "application/json", "Origin": self.url}
        return self.ask("POST", path, json.dumps(body or {}).encode(), own | dict(headers or {}))

    def ask(
        self, method: str, path: str, body: bytes | None = None, headers: Mapping[str, str] | None = None
    ) -> Answer:
        """Send one request with the cookie; a header of "" is left out."""
        sent = {"Cookie": f"{self.key.cookie}={self.key.secret}", "Host": self.key.host} | dict(headers or {})
        connection = HTTPConnection(self.key.host, timeout=PATIENCE_SECONDS)
        with contextlib.closing(connection):
            connection.putrequest(method, path, skip_host=True)
            for name, value in sent.items():
                if value:
                    connection.putheader(name, value)
            if body is not None:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders(body)
            return Answer(connection.getresponse())


@contextlib.contextmanager
def running_desk(folder: Path, received: Path, kept: Path | None = None) -> Iterator[RunningDesk]:
    """A desk of a folder, on a free port of this computer, until the block ends.

    `kept` is the file of its phones' door, which is closed at first.
    """
    taken = listening(0)
    assert not isinstance(taken, Problem)
    key = Key(new_secret(), "{}:{}".format(*taken.getsockname()))
    received.mkdir(parents=True, exist_ok=True)
    desk = Desk(folder, received)
    phones = Phones(desk, PhonesAsked("127.0.0.1"), kept or received.with_name("phones.json"))
    server = Server(application(desk, key, phones), desk)
    is_over = threading.Event()
    threads = [
        threading.Thread(target=server.run, kwargs={"sockets": [taken]}),
        threading.Thread(target=watching, args=(desk, is_over)),
    ]
    for thread in threads:
        thread.start()
    try:
        until = time.monotonic() + PATIENCE_SECONDS
        while not server.started:
            assert time.monotonic() < until, "the desk did not start"
            time.sleep(0.01)
        yield RunningDesk(desk, key, phones)
    finally:
        phones.end()
        server.should_exit = True
        is_over.set()
        for thread in threads:
            thread.join()
        desk.works.end()
        taken.close()

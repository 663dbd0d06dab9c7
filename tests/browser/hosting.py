"""A host of the placard's page on this computer: what it served is known, and it can go off the air."""

import contextlib
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

from tests.paths import ROOT

PAGE, WORKER = "placard.html", "placard-worker.js"


class Host:
    """A folder served on 127.0.0.1 to any name; `asked` are the paths of all requests in order."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.asked: list[str] = []
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, self, directory=str(folder)))
        self.port = self.server.server_port
        Thread(target=self.server.serve_forever, daemon=True).start()

    def page(self, text: str = "", name: str = "127.0.0.1") -> str:
        """The page's address, with this fragment."""
        return f"http://{name}:{self.port}/{PAGE}" + (f"#{text}" if text else "")

    def stop(self) -> None:
        """Go off the air."""
        self.server.shutdown()
        self.server.server_close()


class Handler(SimpleHTTPRequestHandler):
    """Serves files, and notes what is asked for."""

    def __init__(self, host: Host, *rest: object, directory: str) -> None:
        self.host = host
        super().__init__(*rest, directory=directory)  # type: ignore[arg-type]  # the server's own

    def do_GET(self) -> None:
        """Note the whole path, then serve it."""
        self.host.asked.append(self.path)
        super().do_GET()

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@contextlib.contextmanager
def hosted(folder: Path, *, files: tuple[str, ...] = (PAGE, WORKER)) -> Iterator[Host]:
    """The shipped files in a folder of their own, served until the end."""
    folder.mkdir(parents=True)
    for file in files:
        (folder / file).write_bytes((ROOT / "layouts" / file).read_bytes())
    host = Host(folder)
    try:
        yield host
    finally:
        with contextlib.suppress(OSError):
            host.stop()

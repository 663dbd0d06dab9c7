"""A desk served on this computer alone, until Ctrl-C: socket, server, watcher, browser.

The address is known, and its port taken, before the server runs, so that it can be printed first.
"""

import contextlib
import gc
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from pathlib import Path

import uvicorn
from starlette.types import ASGIApp

from tagmaker.desk.app import application
from tagmaker.desk.door import Key, new_secret
from tagmaker.desk.phones.serve import Phones, PhonesAsked, unusable
from tagmaker.desk.state import Desk
from tagmaker.desk.watch import watching
from tagmaker.files.received import temporary_folder
from tagmaker.files.refused import cannot_write
from tagmaker.files.stopping import SIGNALS
from tagmaker.problems import Problem, Where, error

__all__ = ["Server", "listening", "serve"]

ADDRESS = "127.0.0.1"
END_SECONDS = 1  # for requests that are being answered when the desk ends


def listening(port: int) -> socket.socket | Problem:
    """A socket of this computer's own address, free port for 0; a problem where the port is taken."""
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # else another program could take the same port (Windows)
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((ADDRESS, port))
        taken.listen()  # before the address is printed: whoever reads it may ask at once
    except OSError as reason:
        taken.close()
        message = f"port {port} cannot be opened: {reason.strerror}"
        return error("usage-wrong", message, Where("--port"), "leave --port out, and a free one is taken")
    return taken


def serve(
    folder: Path, port: int, announce: Callable[[str], None], phones: PhonesAsked, *, opens: bool
) -> Problem | None:
    """Serve the jobs below a folder until the run is stopped; a problem where it cannot begin.

    `announce` is called with the address once its port is taken, then with that of the phones' door where it
    is to be open at once; with `opens` the browser is opened on the desk.
    """
    if problem := unusable(phones.certificate):  # also where the door is opened later, from the page
        return problem
    taken = listening(port)
    if isinstance(taken, Problem):
        return taken
    gc.enable()  # a command's run keeps what it makes; a desk runs all day
    key = Key(new_secret(), "{}:{}".format(*taken.getsockname()))
    door: Phones | None = None
    try:
        with taken, temporary_folder() as received:
            desk = Desk(folder, received)
            door = Phones(desk, phones)
            server = Server(application(desk, key, door), desk)
            if phones.opens and (problem := door.start()):
                return problem
            with server.capture_signals():  # whoever reads the address may stop the desk at once
                announce(key.address)
                if phones.opens:
                    announce(door.first_address)
                _run(server, taken, key.address if opens else "")
    except OSError as reason:
        return cannot_write(folder, reason)
    finally:
        if door:
            door.end()
    return None


def _run(server: "Server", taken: socket.socket, opened: str) -> None:
    """Serve until the server is stopped, with the watcher beside it."""
    is_over = threading.Event()
    watcher = threading.Thread(target=watching, args=(server.desk, is_over), daemon=True)
    watcher.start()
    if opened:  # in a thread: a browser that is started anew may take seconds
        threading.Thread(target=webbrowser.open, args=(opened,), daemon=True).start()
    try:
        server.run(sockets=[taken])
    finally:
        is_over.set()
        watcher.join()
        server.desk.works.end()


class Server(uvicorn.Server):
    """A server that ends cleanly on a signal: streams end, and the exit code is the command's."""

    def __init__(self, app: ASGIApp, desk: Desk) -> None:
        super().__init__(
            uvicorn.Config(
                app, log_level="warning", access_log=False, server_header=False, date_header=False,
                timeout_graceful_shutdown=END_SECONDS, ws="none",
            )
        )  # fmt: skip
        self.desk = desk

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """While it serves, a signal to end ends the server; a second one does not wait for anything."""
        before = {number: signal.getsignal(number) for number in SIGNALS}
        is_main = threading.current_thread() is threading.main_thread()  # none else receives signals
        handled = [number for number in SIGNALS if is_main and before[number] is not signal.SIG_IGN]
        for number in handled:
            signal.signal(number, self.handle_exit)
        try:
            yield
        finally:
            for number in handled:
                signal.signal(number, before[number])

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the pages' event streams first: they are requests that would never be done."""
        self.desk.events.end()
        await super().shutdown(sockets)

"""The phones' door as the desk runs it: its address and port, its server's thread, opened and closed.

It listens on one address. That of this computer on the local network is found without sending anything: a
datagram socket is given a destination, which only asks the system which of its addresses it would use.
"""

import ipaddress
import socket
import ssl
import threading
import time
from pathlib import Path

import uvicorn
from msgspec import Struct

from tagmaker.desk.phones.app import phones_application
from tagmaker.desk.phones.devices import Devices
from tagmaker.desk.phones.door import PhoneKey, wrong_tries
from tagmaker.desk.phones.kept import Device, kept_file
from tagmaker.desk.phones.state import Open
from tagmaker.desk.state import Desk
from tagmaker.files.refused import cannot_write
from tagmaker.problems import Problem, Where, error

__all__ = ["OWN", "Phones", "PhonesAsked", "is_address", "own_address"]

OWN = "own"
"""In place of an address: this computer's own on the local network."""
ELSEWHERE = "192.0.2.1"  # of a network that is for documents alone (RFC 5737)
START_SECONDS = 10.0
END_SECONDS = 1


class PhonesAsked(Struct, frozen=True):
    """How the door is wanted: its address (`OWN` for this computer's), a certificate's file, open at once."""

    address: str = OWN
    certificate: Path | None = None
    opens: bool = False


def own_address(towards: str = ELSEWHERE) -> str | Problem:
    """This computer's address on the local network; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect((towards, 9))
            found: str = asked.getsockname()[0]
        except OSError:
            found = ""
    if not found or ipaddress.ip_address(found).is_unspecified:
        return error(
            "usage-wrong", "this computer has no address on a local network", Where("--phones"),
            "connect it to the network that the phones use, or name its address: --phones ADDRESS",
        )  # fmt: skip
    return found


def is_address(text: str) -> bool:
    """Whether a text is an address (IPv4) that one computer can have."""
    try:
        found = ipaddress.IPv4Address(text)
    except ValueError:
        return False
    return not (found.is_unspecified or found.is_multicast)


def certificate_fault(file: Path) -> str:
    """Why a file is no certificate with its key, in PEM; "" where it is one."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(file, password=lambda: "")
    except (ssl.SSLError, ValueError):
        return "it does not hold a certificate with its own key"
    except OSError as reason:
        return reason.strerror or str(reason)
    return ""


def unusable(certificate: Path | None) -> Problem | None:
    """What is wrong with the file that was named as a certificate; None where nothing is."""
    if certificate is None or not (fault := certificate_fault(certificate)):
        return None
    hint = "name a PEM file that holds the certificate and its key, without a password"
    return error("usage-wrong", f"{certificate} cannot be used: {fault}", Where("--certificate"), hint)


class _Running(Struct):
    """A server that listens, its thread, and the jobs that are open."""

    open: Open
    server: uvicorn.Server
    thread: threading.Thread
    taken: socket.socket
    key: PhoneKey


class Phones:
    """The phones' door of a desk: closed until a job is opened. From any thread."""

    def __init__(self, desk: Desk, asked: PhonesAsked, kept: Path | None = None) -> None:
        self.desk, self.asked = desk, asked
        self._kept = kept
        self._lock = threading.RLock()
        self._running: _Running | None = None

    # --- what the desk shows ------------------------------------------------------------------------------

    @property
    def is_encrypted(self) -> bool:
        """Whether a certificate was given."""
        return self.asked.certificate is not None

    def address(self, job: str = "") -> str:
        """The door's address, with the job's secret where one is named; "" where it is closed."""
        running = self._running
        if running is None:
            return ""
        if not job:
            return f"{running.key.origin}/"
        secret = running.open.devices.invitation(job)
        return f"{running.key.origin}/?key={secret}" if secret else ""

    @property
    def first_address(self) -> str:
        """The address to print: with a job's secret where one job alone is open."""
        jobs = self._running.open.devices.open_jobs if self._running else ()
        return self.address(jobs[0] if len(jobs) == 1 else "")

    def who(self, job: str) -> list[tuple[Device, float]]:
        """The phones that are let in to a job, with when each was last here."""
        return self._running.open.devices.of_job(job) if self._running else []

    # --- open and close -----------------------------------------------------------------------------------

    def start(self) -> Problem | None:
        """Open the server with the jobs that were open before, and the only job of the desk."""
        with self._lock:
            running = self._serving()
            if isinstance(running, Problem):
                return running
            jobs = self.desk.jobs()
            known = {job.id for job in jobs}
            wanted = [job for job in running.open.devices.open_jobs if job in known]
            only = [jobs[0].id] if len(jobs) == 1 else []
            for job in dict.fromkeys((*wanted, *only)):
                if problem := self.let_in(job):
                    return problem
            return None

    def let_in(self, job: str) -> Problem | None:
        """Let phones in to a job; a problem where the door cannot be opened."""
        with self._lock:
            running = self._serving()
            if isinstance(running, Problem):
                return running
            address, _, port = running.key.host.rpartition(":")
            try:
                running.open.devices.open_job(job, int(port))
            except OSError as reason:
                return cannot_write(self._file(address), reason)
        self.desk.events.send(job, "phones", [])
        return None

    def close(self, job: str) -> Problem | None:
        """Close a job's door: its code and its phones' tokens are void. The last one closes the server."""
        problem = None
        with self._lock:
            if self._running is None:
                return None
            open_ = self._running.open
            try:
                open_.devices.close(job)
            except OSError as reason:  # void while this desk runs
                problem = cannot_write(self._file(self._running.key.host.rpartition(":")[0]), reason)
            open_.close(job)
            if not open_.devices.open_jobs:
                self.end()
        self.desk.events.send(job, "phones", [])
        return problem

    def end(self) -> None:
        """Stop the server; phones, port and open jobs are kept for the next start."""
        with self._lock:
            running, self._running = self._running, None
            if running:
                running.server.should_exit = True
                running.thread.join()
                running.open.photos.close()
                running.taken.close()

    # --- the server -----------------------------------------------------------------------------------------

    def _file(self, address: str) -> Path:
        return self._kept or kept_file(self.desk.folder, address)

    def _serving(self) -> _Running | Problem:
        """The server; address and port are taken where that is not done yet."""
        if self._running:
            return self._running
        if problem := unusable(self.asked.certificate):
            return problem
        address = own_address() if self.asked.address == OWN else self.asked.address
        if isinstance(address, Problem):
            return address
        devices = Devices(self._file(address))
        taken = _listening(address, devices.port)
        if isinstance(taken, Problem) and devices.port and not devices.any:
            taken = _listening(address, 0)  # no phone knows the port
        if isinstance(taken, Problem):
            return taken
        self._running = _served(Open(self.desk, devices, wrong_tries()), taken, self.asked.certificate)
        return self._running


def _served(open_: Open, taken: socket.socket, certificate: Path | None) -> _Running:
    """A server that answers on a socket, in a thread of its own."""
    key = PhoneKey("{}:{}".format(*taken.getsockname()), certificate is not None)
    config = uvicorn.Config(
        phones_application(open_, key), log_level="critical", access_log=False, server_header=False,
        date_header=False, timeout_graceful_shutdown=END_SECONDS, timeout_keep_alive=20, ws="none",
        limit_concurrency=400, lifespan="off", ssl_certfile=str(certificate) if certificate else None,
    )  # fmt: skip
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    until = time.monotonic() + START_SECONDS
    while not server.started and thread.is_alive() and time.monotonic() < until:
        time.sleep(0.01)
    return _Running(open_, server, thread, taken, key)


def _listening(address: str, port: int) -> socket.socket | Problem:
    """A socket of that address, at the port that phones know where it is free.

    Another port would be another place for a phone: what it has not sent would stay at the old one. So a port
    that is taken is waited for a little, and a problem after that.
    """
    until = time.monotonic() + (2.0 if port else 0.0)
    while True:
        taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
                taken.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
            else:
                taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            taken.bind((address, port))
            taken.listen()
        except OSError as reason:
            taken.close()
            if time.monotonic() < until:
                time.sleep(0.1)
                continue
            at = f"{address}, port {port}" if port else address
            message = f"the phones' door cannot be opened at {at}: {reason.strerror}"
            hint = "name an address of this computer; a port that phones know may be in use by another desk"
            return error("usage-wrong", message, Where("--phones"), hint)
        return taken

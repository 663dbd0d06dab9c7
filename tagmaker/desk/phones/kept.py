"""What of the phones' door survives a restart: its port, the phones that were let in, the jobs that are open.

Kept in the user's own state folder, not in the jobs' folder: that one is shared, copied and sent, and whoever
has a phone's token is that phone. Of a token only its SHA-256 is kept. The file is a convenience: one that is
missing or broken means that phones scan the code again.
"""

import hashlib
from pathlib import Path

import msgspec
from msgspec import Struct

from tagmaker.files.plain import read_plain
from tagmaker.files.write import write_private

__all__ = ["Device", "Kept", "kept_file", "read_kept", "write_kept"]

BYTES_AT_MOST = 1_000_000


class Device(Struct, frozen=True):
    """A phone that was let in: its id in names of files, its person's name, its job's id, its token's digest.

    `since` is a time of UTC, ISO 8601.
    """

    id: str
    name: str
    job: str
    token: str
    since: str


class Kept(Struct, frozen=True):
    """The port that phones know (0 for none yet), the phones, and the ids of the jobs that are open."""

    port: int = 0
    devices: tuple[Device, ...] = ()
    open: tuple[str, ...] = ()


def kept_file(folder: Path, address: str) -> Path:
    """The file of a desk's folder and address, in the user's state folder."""
    from platformdirs import user_state_path  # noqa: PLC0415 — only a desk that lets phones in needs it

    name = hashlib.sha256(f"{folder.resolve()}\n{address}".encode("utf-8", "surrogateescape")).hexdigest()
    return user_state_path("tagmaker") / "phones" / f"{name[:16]}.json"


def read_kept(file: Path) -> Kept:
    """What was kept; nothing where the file is missing or broken."""
    try:
        return msgspec.json.decode(read_plain(file, BYTES_AT_MOST), type=Kept)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return Kept()


def write_kept(file: Path, kept: Kept) -> None:
    """Keep it, readable by this user alone; OSError where that fails."""
    write_private(file, msgspec.json.encode(kept))

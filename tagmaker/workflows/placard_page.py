"""The page that a placard's link opens, and its worker, as they are shipped: for a set, and for phones."""

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_text
from tagmaker.files.patterns import Pattern

__all__ = ["PLACARD_PAGE", "PLACARD_WORKER", "PlacardPage", "placard_files", "placard_page"]

PLACARD_PAGE, PLACARD_WORKER = "placard.html", "placard-worker.js"
POLICY = Pattern(r'<meta http-equiv="Content-Security-Policy" content="([^"]+)">')


class PlacardPage(Struct, frozen=True):
    """Page and worker as bytes, and the page's own content policy, which names its script and style."""

    page: bytes
    worker: bytes
    policy: str


def placard_files() -> dict[str, bytes]:
    """What a host needs so that links open; the worker has its own file, since no page can keep itself."""
    return {name: shipped_text(name).encode() for name in (PLACARD_PAGE, PLACARD_WORKER)}


def placard_page() -> PlacardPage:
    """The page for a server, which sends the policy as a header too."""
    files = placard_files()
    policy = POLICY.search(files[PLACARD_PAGE].decode())
    if policy is None:
        raise ValueError(f"{PLACARD_PAGE} has no content policy")
    return PlacardPage(files[PLACARD_PAGE], files[PLACARD_WORKER], policy[1])

"""What tests of the site's pages share: files that come back, and the page as it shows them."""

import json
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.desk.running import Answer, RunningDesk
from tests.desk.window import Window

__all__ = ["FRESH", "Opened", "as_json", "kept", "read_page", "scan", "scan_page", "sent", "texts", "value"]

Opened = Callable[[RunningDesk], Window]
READ = "return document.getElementById('reading')?.dataset.state === 'done'"
FRESH = f"{READ} && !document.getElementById('reading').dataset.old"


def read_page(window: Window, job: str, query: str = "") -> Window:
    """The site's page of a job, once all that came back was read."""
    window.go(f"{job}/site{query}")
    window.until(FRESH)
    return window


def scan_page(window: Window, job: str) -> Window:
    """The landing check of a job, ready."""
    window.go(f"{job}/site/scan").until("return document.querySelector('#head .open')")
    return window


def scan(window: Window, codes: Iterable[str]) -> None:
    """Codes as a hand scanner types them, wherever the focus is."""
    for code in codes:
        window.keys(*code, "\n")


def texts(window: Window, selector: str) -> list[str]:
    """What elements show, in their order."""
    found: list[str] = window.js(
        "return [...document.querySelectorAll(arguments[0])].map("
        "(each) => each.innerText.trim().replace(/\\s+/g, ' '))",
        selector,
    )
    return found


def value(window: Window, selector: str) -> str:
    """What a field holds now; the page may be replaced between two looks."""
    held: str = window.js("return document.querySelector(arguments[0]).value", selector)
    return held


def sent(desk: RunningDesk, job: str, files: Iterable[tuple[str, bytes]]) -> Answer:
    """Files uploaded as a browser sends them (RFC 7578), with any names."""
    mark = "piece-of-a-form"
    parts = [
        f'--{mark}\r\nContent-Disposition: form-data; name="files"; filename="{name}"\r\n'
        "Content-Type: application/octet-stream\r\n\r\n".encode()
        + content
        + b"\r\n"
        for name, content in files
    ]
    headers = {
        "Content-Type": f"multipart/form-data; boundary={mark}",
        "Accept": "application/json",
        "Origin": desk.url,
    }
    return desk.ask("POST", f"{job}/site/upload", b"".join(parts) + f"--{mark}--\r\n".encode(), headers)


def kept(folder: Path) -> dict[str, bytes]:
    """What is in a job's folder of what came back."""
    return {each.name: each.read_bytes() for each in (folder / "returned").iterdir()}


def as_json(content: object) -> bytes:
    """A value as a file."""
    return json.dumps(content).encode()

"""Requests within bounds: a body that is larger than its page allows is refused while it arrives.

Without this a stuck or hostile upload fills the disk before any page looks at it.
"""

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["MB", "Bounds"]

MB = 1_000_000
PLAIN_MB = 4
"""Megabytes of a request that brings no files: a block of a spreadsheet is far below."""
UPLOAD_MB = 400
"""Megabytes of one request that brings files: some hundred photos, or two of the largest PDFs."""


class _TooLarge(Exception):
    """More bytes than are allowed."""


class Bounds:
    """Middleware: counts a request's body, and answers 413 where it is too large."""

    def __init__(self, app: ASGIApp, plain_mb: int = PLAIN_MB, upload_mb: int = UPLOAD_MB) -> None:
        self.app, self.plain_mb, self.upload_mb = app, plain_mb, upload_mb

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, with its body counted."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        is_upload = scope["path"].rstrip("/").endswith("/upload")
        allowed = (self.upload_mb if is_upload else self.plain_mb) * MB
        announced = Headers(scope=scope).get("content-length", "0")
        if not announced.isdecimal() or int(announced) > allowed:
            await _too_large(allowed)(scope, receive, send)
            return
        counted, is_started = 0, False

        async def counting() -> Message:
            nonlocal counted
            message = await receive()
            counted += len(message.get("body", b""))
            if counted > allowed:
                raise _TooLarge
            return message

        async def noting(message: Message) -> None:
            nonlocal is_started
            is_started = True
            await send(message)

        try:
            await self.app(scope, counting, noting)
        except _TooLarge:
            if is_started:
                raise
            await _too_large(allowed)(scope, receive, send)


def _too_large(allowed: int) -> Response:
    text = f"413: more than {allowed // MB} MB at once. Bring fewer files at a time.\n"
    return PlainTextResponse(text, status_code=413)

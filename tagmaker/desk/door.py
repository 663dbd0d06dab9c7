"""Who is let in: nobody but the browser to which the address with the secret was given.

Every request needs this desk's own Host, the secret in its cookie, no foreign Origin, and, where the browser
says from which site a request comes, this site or none. Anything else is answered 403, without a hint of what
is here. The rules of headers: RFC 9110 (Host), RFC 6454 (Origin), W3C Fetch Metadata, CSP level 3.
"""

import secrets
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from msgspec import Struct
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["HEADERS", "Door", "Key", "cookie_of", "new_secret", "with_headers"]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
SECRET_BYTES = 32


def new_secret() -> str:
    """A secret that nobody guesses, safe within an address."""
    return secrets.token_urlsafe(SECRET_BYTES)


class Key(Struct, frozen=True):
    """What opens the door: the secret, the one Host (address:port) that is answered, and the cookie's name.

    Cookies do not separate the ports of one address (RFC 6265, 8.5), so the name carries the port.
    """

    secret: str
    host: str

    @property
    def cookie(self) -> str:
        """The cookie's name."""
        return f"desk-{self.host.rpartition(':')[2]}"

    @property
    def address(self) -> str:
        """The first address: it is exchanged for the cookie, and leaves the address bar at once."""
        return f"http://{self.host}/?key={self.secret}"


class Door:
    """Middleware: lets a request through to the pages, or answers 403; adds the headers to every answer."""

    def __init__(self, app: ASGIApp, key: Key) -> None:
        self.app = app
        self.key = key

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request; the server's own messages (lifespan) go through."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        answer = self._answer(scope) if scope["type"] == "http" else _forbidden()
        await (answer or self.app)(scope, receive, with_headers(send, HEADERS))

    def _answer(self, scope: Scope) -> Response | None:
        """The door's own answer, or None for a request that is let in."""
        headers = Headers(scope=scope)
        if not self._is_own(headers):
            return _forbidden()
        given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [])
        if scope["method"] == "GET" and scope["path"] == "/" and given:
            return self._exchange(given) if _site(headers) in {"", "none", "same-origin"} else _forbidden()
        if not self._is_secret(cookie_of(headers, self.key.cookie)):
            return _forbidden()
        return None if _site(headers) in {"", "none", "same-origin"} else _forbidden()

    def _is_own(self, headers: Headers) -> bool:
        """Whether the request was sent to this desk under its own name, and by none of another origin.

        A form of the desk's own pages has the origin "null", as they give no referrer (Fetch, "append a
        request's Origin header"); that its site is the same, only the browser can say.
        """
        hosts, origins = headers.getlist("host"), set(headers.getlist("origin"))
        own = {f"http://{self.key.host}"} | ({"null"} if _site(headers) == "same-origin" else set())
        return hosts == [self.key.host] and origins <= own

    def _is_secret(self, text: str) -> bool:
        return secrets.compare_digest(text.encode(), self.key.secret.encode())

    def _exchange(self, given: list[str]) -> Response:
        """The cookie for the secret; the browser goes on to an address without it."""
        if len(given) != 1 or not self._is_secret(given[0]):
            return _forbidden()
        answer = RedirectResponse("/", status_code=303)
        answer.set_cookie(self.key.cookie, self.key.secret, httponly=True, samesite="strict", path="/")
        return answer


def _site(headers: Headers) -> str:
    """From which site the browser says that the request comes; "" from a program that says nothing."""
    return headers.get("sec-fetch-site", "")


def cookie_of(headers: Headers, name: str) -> str:
    """The value of a request's cookie, "" where it has none."""
    cookies = SimpleCookie()
    try:
        cookies.load(headers.get("cookie", ""))
    except CookieError:
        return ""
    return cookies[name].value if name in cookies else ""


def _forbidden() -> Response:
    text = "403: this page is open to one browser only. Use the address that `tagmaker desk` printed.\n"
    return PlainTextResponse(text, status_code=403)


def with_headers(send: Send, own: Mapping[str, str]) -> Send:
    """The answer with a door's headers; a page's own policy (a PDF's) stays."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in own.items():
                headers.setdefault(name, value)
        await send(message)

    return sending

"""Who is let in to the phones' door: a phone with a token of a job that is open, under the door's own Host.

Anything else is answered 403 without a hint of what is here, but for the page that takes the invitation of a
code. The headers are the desk's, with two differences. The referrer goes to the door itself, so that a form's
Origin is its own; browsers send no Sec-Fetch-Site over plain http. Wrong secrets are counted by address, and
after some of them nothing from that address is looked at for a while (429).
"""

from urllib.parse import parse_qs

from msgspec import Struct
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from tagmaker.desk.door import HEADERS, cookie_of, with_headers
from tagmaker.desk.phones.devices import Devices
from tagmaker.desk.phones.kept import Device
from tagmaker.desk.phones.rates import Rates

__all__ = ["JOIN", "PhoneDoor", "PhoneKey", "device_of", "wrong_tries"]

JOIN = "/join"
PHONE_HEADERS = {**HEADERS, "Referrer-Policy": "same-origin"}
ASKED_AT_ONCE, ASKED_A_SECOND = 120, 20
WRONG_A_MINUTE = 10


def wrong_tries() -> Rates:
    """How many wrong secrets an address may send: some at once, as many a minute after that."""
    return Rates(WRONG_A_MINUTE, WRONG_A_MINUTE / 60)


class PhoneKey(Struct, frozen=True):
    """The one Host (address:port) that is answered, and whether over TLS."""

    host: str
    is_encrypted: bool = False

    @property
    def origin(self) -> str:
        """The origin of the door's own pages."""
        return f"{'https' if self.is_encrypted else 'http'}://{self.host}"

    @property
    def cookie(self) -> str:
        """The cookie's name, which carries the port: cookies do not separate ports (RFC 6265, 8.5)."""
        return f"phone-{self.host.rpartition(':')[2]}"


def device_of(request: Request) -> Device:
    """The phone that a request came from."""
    device: Device = request.scope["phone"]
    return device


class PhoneDoor:
    """Middleware: lets a phone's request through with its device, or answers by itself."""

    def __init__(self, app: ASGIApp, key: PhoneKey, devices: Devices, wrong: Rates) -> None:
        self.app, self.key, self.devices, self.wrong = app, key, devices, wrong
        self.asked = Rates(ASKED_AT_ONCE, ASKED_A_SECOND)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request; the server's own messages (lifespan) go through."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        answer = self._answer(scope) if scope["type"] == "http" else _forbidden()
        await (answer or self.app)(scope, receive, with_headers(send, PHONE_HEADERS))

    def _answer(self, scope: Scope) -> Response | None:
        """The door's own answer, or None for a request that is let in."""
        headers, client = Headers(scope=scope), (scope.get("client") or ("",))[0]
        if not self._is_own(headers, scope["method"]):
            return _forbidden()
        scope["phone"] = device = self.devices.of_token(cookie_of(headers, self.key.cookie))
        is_public = scope["path"] == JOIN or (scope["path"] == "/" and scope["query_string"])
        if is_public or scope["path"].startswith("/static/"):
            return self._invited(scope, client, device)
        if device is None:  # a phone whose token is void keeps asking: that must not bar it from a new code
            return _forbidden() if self.wrong.take(f"token {client}") else _too_often()
        return None if self.asked.take(device.id) else _too_often()

    def _invited(self, scope: Scope, client: str, device: Device | None) -> Response | None:
        """Whether the page that takes an invitation may be shown; a wrong one is counted."""
        if self.wrong.is_over(client) or not self.asked.take(f"at {client}"):
            return _too_often()
        given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [])
        job = self.devices.job_of_invitation(given[0]) if len(given) == 1 else ""
        if scope["path"] == "/" and not job and device is None:
            self.wrong.take(client)
            return _forbidden()
        scope["invited"] = job
        return None

    def _is_own(self, headers: Headers, method: str) -> bool:
        """Whether the request is for this Host, and from no page of another origin.

        A request that may change something names its origin: every browser sends it.
        """
        origins = headers.getlist("origin")
        if headers.getlist("host") != [self.key.host] or set(origins) - {self.key.origin}:
            return False
        if headers.get("sec-fetch-site", "none") not in {"none", "same-origin"}:
            return False
        return method in {"GET", "HEAD"} or origins == [self.key.origin]


def _forbidden() -> Response:
    text = "403: this phone is not let in. Scan the code that the desk shows now.\n"
    return PlainTextResponse(text, status_code=403)


def _too_often() -> Response:
    text = "429: too many requests from here. Wait a minute.\n"
    return PlainTextResponse(text, status_code=429, headers={"Retry-After": "60"})

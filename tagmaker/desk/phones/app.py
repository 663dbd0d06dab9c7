"""The application of the phones' door: its pages behind it, and nothing of the desk's."""

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from tagmaker.desk.bounds import Bounds
from tagmaker.desk.phones.door import PhoneDoor, PhoneKey
from tagmaker.desk.phones.pages import ROUTES, show
from tagmaker.desk.phones.state import Open

__all__ = ["phones_application"]

PLAIN_MB = 2
PHOTO_MB = 25


def phones_application(open_: Open, key: PhoneKey) -> Starlette:
    """The pages for phones; nobody gets to one without a token of an open job, or its code."""
    static = Mount("/static", StaticFiles(packages=[("tagmaker.desk.phones", "static")]))
    app = Starlette(
        routes=[static, *ROUTES],
        middleware=[
            Middleware(PhoneDoor, key=key, devices=open_.devices, wrong=open_.wrong),
            Middleware(Bounds, plain_mb=PLAIN_MB, upload_mb=PHOTO_MB),
        ],
        exception_handlers={HTTPException: _refused, 500: _broken},
    )
    app.state.open, app.state.key = open_, key
    return app


def _refused(request: Request, reason: Exception) -> Response:
    """A request that cannot be done, or an address that leads nowhere: the same for both."""
    status = reason.status_code if isinstance(reason, HTTPException) else 500
    text = str(getattr(reason, "detail", ""))
    if status in {404, 405}:
        status, text = 404, "There is no such page."
    if request.method != "GET" and "text/html" not in request.headers.get("accept", ""):
        return JSONResponse({"said": text}, status)
    return show(request, "refused.html", status, text=text)


def _broken(request: Request, _reason: Exception) -> Response:
    """A bug: the desk's terminal shows the traceback."""
    return _refused(request, HTTPException(500, "The desk made a mistake. What you entered stays here."))

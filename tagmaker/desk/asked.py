"""What a page's script sends: JSON of the form that its route takes, read before anything is done with it."""

from collections.abc import Awaitable, Callable
from typing import TypeVar

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

__all__ = ["json_answer", "taking"]

Asked = TypeVar("Asked")  # Python 3.11 has no other way to write it


def taking(
    form: type[Asked], handler: Callable[[Request, Asked], Response]
) -> Callable[[Request], Awaitable[Response]]:
    """A route's endpoint: the body read as that form, then the handler in a thread; 400 for another form."""

    async def endpoint(request: Request) -> Response:
        try:
            asked = msgspec.json.decode(await request.body(), type=form)
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as reason:
            raise HTTPException(400, "The page sent something that the desk does not take.") from reason
        return await run_in_threadpool(handler, request, asked)

    return endpoint


def json_answer(content: object, status: int = 200) -> Response:
    """Records and plain values as JSON."""
    return Response(msgspec.json.encode(content), status, media_type="application/json")

"""The first page: the jobs below the desk's folder."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.desk.render import page
from tagmaker.desk.state import desk_of

__all__ = ["ROUTES"]


def _start(request: Request) -> Response:
    return page(request, "start.html", jobs=desk_of(request).jobs())


ROUTES = [Route("/", _start)]

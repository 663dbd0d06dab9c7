"""The page that a placard's link opens, for phones that were let in: the same files that `make` gives a host.

It has a folder of its own, so that its worker, which keeps it on the phone, has nothing to do with the
other pages. A browser takes a worker over https alone; over plain http the page reports that it is not kept.
"""

from functools import cache

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.workflows.placard_page import PLACARD_PAGE, PLACARD_WORKER, PlacardPage, placard_page

__all__ = ["PLACARD", "PLACARD_ROUTES"]

FOLDER = "/placard"
PLACARD = f"{FOLDER}/{PLACARD_PAGE}"


@cache
def _shipped() -> PlacardPage:
    return placard_page()


def _page(_request: Request) -> Response:
    """The page under its own policy; no other page may frame it."""
    shipped = _shipped()
    policy = {"Content-Security-Policy": f"{shipped.policy}; frame-ancestors 'none'"}
    return Response(shipped.page, media_type="text/html", headers=policy)


def _worker(_request: Request) -> Response:
    return Response(_shipped().worker, media_type="text/javascript")


PLACARD_ROUTES = [Route(PLACARD, _page), Route(f"{FOLDER}/{PLACARD_WORKER}", _worker)]

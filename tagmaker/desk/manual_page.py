"""The manual's pages, each as `tagmaker manual PAGE` prints it, set as a page."""

import functools

from markdown_it import MarkdownIt
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from tagmaker.desk.render import page
from tagmaker.workflows import manual

__all__ = ["ROUTES"]


def _pages(request: Request) -> Response:
    return page(request, "manual.html", pages=manual.manual().pages)


def _page(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in manual.PAGES:
        raise HTTPException(404, "The manual has no such page.")
    return page(request, "manual_page.html", name=name, text=_text(name), pages=manual.manual().pages)


@functools.cache
def _text(name: str) -> Markup:
    """A page of the manual as markup; markup within its text is shown as text."""
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    return Markup(markdown.render(manual.page_text(name)))  # noqa: S704 — the program's own pages


ROUTES = [Route("/manual", _pages), Route("/manual/{name}", _page)]

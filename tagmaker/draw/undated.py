"""Documents without a date: reportlab takes one from SOURCE_DATE_EPOCH even where a fixed one is asked for.

The same job must give the same bytes on every machine, a package builder's too.
"""

import contextlib
import os
from collections.abc import Iterator

__all__ = ["undated"]

EPOCH = "SOURCE_DATE_EPOCH"  # reproducible-builds.org/specs/source-date-epoch


@contextlib.contextmanager
def undated() -> Iterator[None]:
    """A document begun within this has reportlab's fixed date, whatever is in the environment."""
    kept = os.environ.pop(EPOCH, None)
    try:
        yield
    finally:
        if kept is not None:
            os.environ[EPOCH] = kept

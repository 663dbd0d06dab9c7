"""Documents without a date: reportlab would take one from the environment where packages are built."""

import contextlib
import os
from collections.abc import Iterator

__all__ = ["undated"]

EPOCH = "SOURCE_DATE_EPOCH"  # reproducible-builds.org/specs/source-date-epoch


@contextlib.contextmanager
def undated() -> Iterator[None]:
    """A document begun within this has reportlab's fixed date, whatever the environment says."""
    kept = os.environ.pop(EPOCH, None)
    try:
        yield
    finally:
        if kept is not None:
            os.environ[EPOCH] = kept

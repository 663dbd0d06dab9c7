"""When something was seen: from the earliest to the latest moment at which it can have been.

A remark of a session has one time, after which its scans follow for a minute at most, or two with a stroke
between (ISO 8601-1 writes intervals so): when a picture was taken, and when it came. A look clears a crossing
if its earliest moment is after the crossing's latest; so a wrong clock makes no look later than it was.
"""

import datetime as dt
import re

from msgspec import Struct

__all__ = ["FIRST", "NOT_KNOWN", "NOW_MINUTES", "REMARK", "Span", "span_of", "span_text"]

NOW_MINUTES = 15
"""For how long a picture shows how a terminal is: time for all pictures of it, and to send them."""
TIME = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ"
REMARK = re.compile(rf"# ({TIME}(?:/{TIME})?) .*", re.ASCII | re.DOTALL)
"""A line of a session that no scanner typed: when what follows was seen, and by whom. No code begins so."""
FIRST, LAST = dt.datetime(2000, 1, 1, tzinfo=dt.UTC), dt.datetime(2100, 1, 1, tzinfo=dt.UTC)
"""A time beyond these is of a clock that was never set: it shows nothing of which scan was first."""
MINUTE = dt.timedelta(seconds=59)


class Span(Struct, frozen=True):
    """The earliest and the latest moment, in UTC as a remark has them; both "" where that is not known."""

    since: str = ""
    until: str = ""
    is_picture: bool = False

    @property
    def is_old(self) -> bool:
        """Whether this is of a picture that came too late to show how a terminal is now."""
        if not self.is_picture:
            return False
        waited = dt.datetime.fromisoformat(self.until) - dt.datetime.fromisoformat(self.since)
        return waited > dt.timedelta(minutes=NOW_MINUTES)

    def joined(self, other: "Span") -> "Span":
        """Both as one; not known where one is not."""
        if not self.since or not other.since:
            return NOT_KNOWN
        return Span(min(self.since, other.since), max(self.until, other.until), self.is_picture)


NOT_KNOWN = Span()


def span_of(text: str) -> Span:
    """The span of a remark's time or times; not known where no clock shows them."""
    first, _, second = text.partition("/")
    try:
        times = [dt.datetime.fromisoformat(each) for each in (first, second) if each]
    except ValueError:
        return NOT_KNOWN
    if not times or not all(FIRST <= each <= LAST for each in times):
        return NOT_KNOWN
    end = times[-1] if second else times[0] + MINUTE
    return Span(_shown(min(times)), _shown(max(*times, end)), is_picture=bool(second))


def span_text(taken: dt.datetime, came: dt.datetime) -> str:
    """The times of a picture as a remark has them: never taken after it came, nor before any clock."""
    return f"{_shown(min(max(taken, FIRST), came))}/{_shown(came)}"


def _shown(time: dt.datetime) -> str:
    return time.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")

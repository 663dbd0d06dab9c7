"""Whether what somebody wrote into a field states anything: a name, a date, how something was proved.

A dash, "no", "none yet" or a question fills a field and states nothing: it never counts as signed, proved or
done. Nor is a day that no calendar has, or one that is still to come, a date.
"""

import datetime as dt
import re
import unicodedata

__all__ = ["AROUND", "BEGINNINGS", "ENDINGS", "NOTHING", "is_date", "is_day", "is_denied", "is_stated"]

NOTHING = {
    "absent", "blank", "declined", "ditto", "done", "empty", "fail", "failed", "forgot", "forgotten",
    "idem", "illegible", "later", "lost", "missing", "n/a", "na", "namemissing", "nil", "no", "nobody",
    "none", "nothing", "ok", "okay", "open", "pending", "refused", "same", "signaturemissing", "skipped",
    "tba", "tbc", "tbd", "todo", "unknown", "unproved", "unsigned", "void", "yes",
}  # fmt: skip
"""What people write or cross out where there is nothing to write, and what names nobody; common practice.

The phone's page asks by the same words, and shows as signed what counts here."""
BEGINNINGS = (
    "as above", "could not ", "couldn't ", "declined ", "did not ", "didn't", "n/a ", "no access ",
    "no date ", "no name ", "no one ", "no serial ", "no signature ", "no time ", "nobody ", "none ", "not ",
    "nothing ", "pending ", "refused ", "same as ", "see above ", "see note ", "see other ", "see photo ",
    "see remark", "signature to ", "tba ", "tbc ", "tbd ", "to be ", "to do ", "unable ", "unknown ",
    "waiting ", "will be ", "will sign ",
)  # fmt: skip
"""How a text begins that puts off what is asked, or sends the reader elsewhere."""
DENIALS = ("did not", "didn't", "not checked", "not done", "not prove", "not rung", "not traced", "unproved")
FAILED = re.compile(
    r"\b(?:fail(?:s|ed|ure)?|could(?: not|n't)|can(?:not|'t| not)|unable|crossed with"
    r"|no (?:access|continuity|signal|response|tone)"
    r"|(?:not|isn't|aren't|wasn't|weren't) (?:ok|okay|possible|proved|proven|reached|rung|traced))\b"
)
"""What a remark has, in any place, of a proof that did not come about, or found something else."""
ENDINGS = (" pending", " yet")
AROUND = " .,;:!?()[]-–—_*/#"
UNSEEN = re.compile(
    "[\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180e\u200b-\u200f\u2060-\u2064\u3164\ufe0e\ufe0f\ufeff\uffa0]"
)
"""Signs that show as nothing, some of which count as letters (Unicode, Default_Ignorable_Code_Point)."""
CROSSES = re.compile(r"x+")
CALENDAR = re.compile(r"(?<!\d)(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})(?!\d)", re.ASCII)
TO_COME = re.compile(
    r"(?:after|before|by|due|in|later|next|soon|until)\b"
    r"|.*\b(?:asap|expected|planned|scheduled|tbd|to come|to follow|tomorrow)\b"
)
FIRST_YEAR, LAST_YEAR = 2000, 2099
CENTURY = 2000  # of a year of two figures
"""Days of other years are slips of the keyboard, or of a clock that was never set."""


def is_stated(text: str) -> bool:
    """Whether a text states something; of several remarks, divided by " / ", one is enough."""
    return not _is_nothing(_folded(text)) and any(map(_is_one_stated, text.split(" / ")))


def is_denied(text: str) -> bool:
    """Whether one of several remarks denies it: another one that states it proves nothing then."""
    parts = (_folded(part).strip(AROUND) for part in text.split(" / "))
    return any(part.startswith(DENIALS) or FAILED.search(part) for part in parts)


def is_date(text: str) -> bool:
    """Whether a text may be a date: it states something, and has figures of a day that may have been.

    A figure alone is no day; in which order day, month and year are written is the person's. Of several,
    divided by " / ", one is enough.
    """
    return any(map(_is_one_date, text.split(" / ")))


def _is_one_date(text: str) -> bool:
    words = _folded(text)
    figures = re.findall(r"\d+", words)
    is_alone = len(figures) == 1 and len(figures[0]) < 6 and not any(map(str.isalpha, words))
    if not is_stated(text) or not any(map(int, figures)) or is_alone or TO_COME.match(words):
        return False
    return all(_may_be_day(match[1], match[3], match[4]) for match in CALENDAR.finditer(words))


def _may_be_day(one: str, two: str, three: str) -> bool:
    """Whether three figures are a day in one of the orders in which people write them."""
    orders = [(one, two, three)]
    if len(one) < 3:
        orders += [(three, one, two), (three, two, one)]
    return any(is_day(_year(year), int(month), int(day)) for year, month, day in orders)


def _year(figures: str) -> int:
    return int(figures) + (CENTURY if len(figures) == 2 else 0)


def is_day(year: int, month: int, day: int) -> bool:
    """Whether the calendar has this day, in the years in which a job may be done."""
    try:
        return FIRST_YEAR <= dt.date(year, month, day).year <= LAST_YEAR
    except ValueError:
        return False


def _folded(text: str) -> str:
    """A text without what is only looks: full width, capitals, runs of spaces, signs that show as nothing."""
    shown = UNSEEN.sub("", unicodedata.normalize("NFKC", text))
    return " ".join(shown.casefold().replace("’", "'").split())


def _is_one_stated(text: str) -> bool:
    folded = _folded(text)
    return "?" not in folded and not _is_nothing(folded)


def _is_nothing(folded: str) -> bool:
    words = folded.strip(AROUND)
    run = words.replace(" ", "").replace(".", "")
    if not any(map(str.isalnum, words)) or run in NOTHING or CROSSES.fullmatch(run):
        return True
    return f"{words} ".startswith(BEGINNINGS) or words.endswith(ENDINGS)

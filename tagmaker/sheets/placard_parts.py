"""What a placard says around its boards and ports: whose it is, where, cautions, who signs.

Takes a planned box, its job and a frame; each part is as high as its texts need, and can say so beforehand.
"""

from functools import cached_property, partial

from tagmaker.catalog.stock import Stock
from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.sheets.page_head import PAGE_CAPS
from tagmaker.tags.refrigerant import refrigerant_text, refrigerant_warnings
from tagmaker.typeset.canvas import Layout
from tagmaker.typeset.frame import Frame
from tagmaker.typeset.paragraphs import Paragraph, draw_paragraphs, paragraphs_height
from tagmaker.typeset.text import LINES_AT_MOST, Style, lines_needed, text_height, text_width

__all__ = ["WIDE_PAGE", "PlacardParts"]

WIDE_PAGE = 150.0  # mm, letter and A4; narrower pages are labels, read from nearby
_line = partial(Paragraph, least=PAGE_CAPS)
"""A paragraph that is never below the least height of a page's text."""
TAG_LEAST = 0.6  # of its usual height: a longer tag has a line of its own
FACT_NAME = 26.0  # mm of the names beside a small page's facts
CAUTION_PAD = 2.0  # mm beside the cautions
FACT_GAP = 6.0  # mm: the place does not run on into where power is isolated
FACT_SHARES = (1.15, 1)  # of the width, for the place and for the isolation
FACT_CAPS = (4.0, 3.6, 3.2, 2.9)  # mm: the largest in which a wide page's facts take a line each
SHORTENED = "checked_manual"  # of the lines to sign, where its frame is narrow
SIGN_GAP = 4.0  # mm between the name of a line to sign and its date
KEPT = 30  # characters of a fact that is kept on one line
CAUTIONS = ("power", "pressure", "manual")


class PlacardParts:
    """The parts of one box's placard; texts are larger where the page is wide."""

    def __init__(self, job: Job, box: BoxPlan, stock: Stock, words: Words, layout: Layout) -> None:
        self.job, self.box, self.stock, self.words, self.layout = job, box, stock, words, layout
        self.is_wide = stock.page[0] >= WIDE_PAGE

    # --- whose placard it is -----------------------------------------------------------------------------

    def head_height(self, width: float) -> float:
        """The tag, and beside it (or above it, where it is long) what this sheet is."""
        tag, beside = self._tag_caps(width)
        lines = paragraphs_height(
            self._titles(self.words("page.page", page=10, pages=10), width - beside), width - beside
        )
        if beside:
            return max(text_height(tag, 1), lines) + 1.2
        return text_height(tag, 1) + lines + 1.2

    def head(self, frame: Frame, page: str) -> None:
        """The box huge; rules, not stripes, as a lock-out tag would have."""
        caps, beside = self._tag_caps(frame.width)
        titles = self._titles(page, frame.width - beside)
        style = Style(caps, PAGE_CAPS, bold=True, role="main")
        if beside:
            tag = Frame(frame.x, frame.y, beside, frame.height - 1.2)
            lines = Frame(frame.x + beside, frame.y, frame.width - beside, frame.height)
        else:
            lines, rest = frame.top(paragraphs_height(titles, frame.width))
            tag = Frame(rest.x, rest.y, rest.width, rest.height - 1.2)
        with self.layout.part("H1"):
            self.layout.text(self.box.row.shown, tag, style)
        draw_paragraphs(self.layout, titles, lines)
        self.layout.rule(frame.x, frame.bottom, frame.right, frame.bottom, 0.8)

    def _tag_caps(self, width: float) -> tuple[float, float]:
        """The tag's capitals, and the width that it takes beside the titles; 0 where it is below them."""
        usual = 13.0 if self.is_wide else 8.0
        unit = text_width(self.box.row.shown, 1.0, bold=True)
        beside = width * 0.46 / unit
        if beside >= usual * TAG_LEAST:
            caps = min(usual, beside)
            return caps, caps * unit + 4.0
        return min(usual, width / unit), 0.0

    def _titles(self, page: str, width: float) -> list[Paragraph]:
        """What the sheet is, the job and its site, its state and which page of how many."""
        words, job = self.words, self.job
        large, small = (3.0, 2.5) if self.is_wide else (2.6, PAGE_CAPS)
        date = job.date.isoformat() if job.date else ""
        state = " · ".join(filter(None, (words("page.revision", revision=job.revision), date, page)))
        title, name = words("placard.title"), min(large, _across(job.title, width))
        name = name if name >= PAGE_CAPS else large  # lower only where that saves a line
        lines = [
            _line(title, max(PAGE_CAPS, min(large * 1.4, _across(title, width))), bold=True, align="right"),
            _line(words("placard.subtitle"), small, align="right"),
            _line(job.title, name, bold=True, align="right", gap=0.4),
            _line(job.site, small, align="right"),
            _line(state, large, bold=True, align="right"),
        ]
        if job.is_draft:
            lines.append(
                _line(words("placard.draft"), large, bold=True, align="center", gap=0.6, on_black=True)
            )
        return lines

    # --- where it is -------------------------------------------------------------------------------------

    def facts_height(self, width: float) -> float:
        """Place and isolation, then what the box belongs to."""
        return 0.8 + self._places_height(width) + paragraphs_height([self._belongs], width)

    def facts(self, frame: Frame) -> None:
        """Where the box is, where its power is isolated; its system, level, feed and refrigerant.

        Side by side under their names, or on a small page one below the other beside them.
        """
        places, rest = Frame(frame.x, frame.y + 0.8, frame.width, 0).top(self._places_height(frame.width))
        facts = self._facts(frame.width)
        if self.is_wide:
            for fact, cell in zip(facts, places.columns(FACT_SHARES, FACT_GAP), strict=True):
                draw_paragraphs(self.layout, fact, cell)
        else:
            for fact in facts:
                line, places = places.top(_line_height(fact, frame.width))
                for text, cell in zip(fact, line.left(FACT_NAME), strict=True):
                    text.draw(self.layout, Frame(cell.x, cell.y, cell.width, text.height(cell.width)))
        draw_paragraphs(self.layout, [self._belongs], rest)

    def _places_height(self, width: float) -> float:
        facts = self._facts(width)
        if not self.is_wide:
            return sum(_line_height(fact, width) for fact in facts)
        cells = Frame(0, 0, width, 0).columns(FACT_SHARES, FACT_GAP)
        return max(paragraphs_height(fact, cell.width) for fact, cell in zip(facts, cells, strict=True))

    def _facts(self, width: float) -> list[list[Paragraph]]:
        """Each fact's name and text, on a wide page as large as leaves each on one line."""
        row, none = self.box.row, self.words("placard.no_place")
        texts = [row.place or none, row.power or none]
        caps = name_caps = 2.6
        if self.is_wide:
            cells = Frame(0, 0, width, 0).columns(FACT_SHARES, FACT_GAP)
            most = min(
                cell.width / text_width(text, 1.0, bold=True) for cell, text in zip(cells, texts, strict=True)
            )
            caps, name_caps = next((each for each in FACT_CAPS if each <= most), FACT_CAPS[-1]), PAGE_CAPS
        names = [self.words("placard.place"), self.words("placard.power")]
        return [
            [_line(name, name_caps), _line(text, caps, bold=True)]
            for name, text in zip(names, texts, strict=True)
        ]

    @cached_property
    def _belongs(self) -> Paragraph:
        """System, level, feed and refrigerant on one line, as far as the job gives them."""
        row = self.box.row
        given = {
            "system": row.system,
            "level": row.level,
            "fed_from": row.fed_from,
        }
        texts = [_named(self.words(f"placard.{key}"), text) for key, text in given.items() if text]
        texts += filter(None, [refrigerant_text(self.job.refrigerant, self.words)])
        caps = 2.6 if self.is_wide else PAGE_CAPS
        return _line(
            " · ".join(text.replace(" ", "\u00a0") if len(text) < KEPT else text for text in texts),
            caps,
            gap=0.4,
        )

    # --- cautions ----------------------------------------------------------------------------------------

    def cautions_height(self, width: float) -> float:
        """The frame with all its sentences."""
        return paragraphs_height(self._cautions(width), width - 2 * CAUTION_PAD) + 2.0

    def cautions(self, frame: Frame) -> None:
        """What to know before a hand goes into the box, the refrigerant's warnings first."""
        self.layout.rect(frame, line=0.5)
        draw_paragraphs(self.layout, self._cautions(frame.width), frame.inset(CAUTION_PAD, 1.0))

    def _cautions(self, width: float) -> list[Paragraph]:
        """The heading, the warnings, and a line a caution; one text where that would leave words alone."""
        words, caps = self.words, 3.2 if self.is_wide else 2.6
        warned = [
            _line(text, caps, bold=True, on_black=True, gap=0.4)
            for text in refrigerant_warnings(self.job.refrigerant)
        ]
        texts = [words(f"placard.caution_{key}") for key in CAUTIONS]
        if any(lines_needed(text, width - 2 * CAUTION_PAD, PAGE_CAPS) > 1 for text in texts):
            texts = [" ".join(texts)]
        sentences = [_line(text, PAGE_CAPS, gap=0.2) for text in texts]
        return [_line(words("placard.cautions"), caps, bold=True), *warned, *sentences]

    # --- who answers for it ------------------------------------------------------------------------------

    def rules_height(self, width: float) -> float:
        """The sentence on whose rules the settings follow."""
        return text_height(PAGE_CAPS, lines_needed(self._rules, width, PAGE_CAPS))

    def rules(self, frame: Frame) -> None:
        """Whose rules the settings follow."""
        self.layout.text(self._rules, frame, Style(PAGE_CAPS, PAGE_CAPS, LINES_AT_MOST, upright="top"))

    @cached_property
    def _rules(self) -> str:
        family = self.box.row.family
        return self.words("placard.rules", title=family.title, source=family.source)

    def sign_lines(self, frames: list[Frame]) -> None:
        """Lines to write on: who checked the rules, who set, who checked, each with a place for the date."""
        for key, frame in zip(("checked_manual", "set_by", "checked_by"), frames, strict=True):
            y = frame.bottom - 3.9
            self.layout.rule(frame.x, y, frame.right, y, 0.25)
            below = Frame(frame.x, y + 0.3, frame.width, 3.6)
            style = Style(PAGE_CAPS, PAGE_CAPS)
            name, date = self.words(f"placard.{key}"), self.words("placard.signed_date")
            is_narrow = text_width(f"{name}{date}", PAGE_CAPS) + SIGN_GAP > below.width
            if key == SHORTENED and is_narrow:
                name = self.words("placard.checked_manual_short")
            self.layout.text(name, below, style)
            self.layout.text(date, below, Style(PAGE_CAPS, PAGE_CAPS, align="right"))


def _across(text: str, width: float) -> float:
    """The bold capitals with which a text is as wide as its place."""
    return 0.99 * width / text_width(text, 1.0, bold=True)


def _line_height(fact: list[Paragraph], width: float) -> float:
    """A fact beside its name."""
    name, value = fact
    return max(name.height(FACT_NAME), value.height(width - FACT_NAME))


def _named(name: str, text: str) -> str:
    """A fact after its name, which a text such as "Level 12" has already."""
    return text if text.lower().startswith(f"{name.lower()} ") else f"{name} {text}"

"""The baseline: an earlier set that is on site, against which a new one is compared, box by box.

What is unchanged keeps the revision in which it last changed, on paper too: a tag that stays on site and its
reprint are then the same.
"""

from collections.abc import Iterable
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.revisions.issued import Issued, IssuedBox, IssuedPlacard, IssuedTag, same_codes
from tagmaker.revisions.issuing import issued_box, tag_digest
from tagmaker.tags.model import Tag
from tagmaker.tags.revision import revision_text

__all__ = ["Baseline"]


class Baseline(Struct, frozen=True, dict=True):
    """The earlier set; its indexes are made on first use and kept (in the `dict`)."""

    issued: Issued

    @cached_property
    def tags(self) -> dict[str, IssuedTag]:
        """Its tags by code."""
        return {tag.code: tag for tag in self.issued.tags}

    @cached_property
    def placards(self) -> dict[str, IssuedPlacard]:
        """Its placards by box, in capitals."""
        return {each.box.upper(): each for each in self.issued.placards}

    @cached_property
    def codes(self) -> dict[str, set[str]]:
        """The codes of its tags by box, in capitals."""
        codes: dict[str, set[str]] = {}
        for tag in self.issued.tags:
            codes.setdefault(tag.box.upper(), set()).add(tag.code)
        return codes

    def dated(self, tag: Tag, words: Words) -> Tag:
        """The tag in the revision in which its content last changed."""
        earlier = self.tags.get(tag.code)
        if earlier is None or earlier.says != tag_digest(tag):
            return tag
        text = revision_text(earlier.revision, words, is_draft=tag.is_draft)
        return replace(tag, revision=earlier.revision, revision_text=text)

    def box(self, job: Job, box: BoxPlan, tags: Iterable[Tag]) -> IssuedBox:
        """A box's records; its placard, with its code's text, in the revision in which it last changed."""
        new = issued_box(job, box, tags)
        if not self.has_placard(new):
            return new
        earlier = self.placards[box.row.key]
        dated = replace(new.placard, revision=earlier.revision, date=earlier.date, text=earlier.text)
        return replace(new, placard=dated)

    def on_site(self, box: IssuedBox) -> frozenset[str]:
        """Codes of the box's tags that are on site and can stay."""
        return same_codes(self.tags, {tag.code: tag for tag in box.tags})

    def has_placard(self, box: IssuedBox) -> bool:
        """Whether the box's placard is on site, with the same content."""
        earlier = self.placards.get(box.placard.box.upper())
        return earlier is not None and earlier.says == box.placard.says

    def has_bands(self, box: IssuedBox) -> bool:
        """Whether the box's bands are on site as they would be printed now."""
        earlier = self.placards.get(box.placard.box.upper())
        return earlier is not None and earlier.bands == box.placard.bands

    def touches(self, box: IssuedBox) -> bool:
        """Whether anything of the box is to be done on site."""
        codes = {tag.code for tag in box.tags} | self.codes.get(box.placard.box.upper(), set())
        return codes != self.on_site(box) or not self.has_placard(box) or not self.has_bands(box)

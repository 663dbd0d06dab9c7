"""An earlier set that hangs on site: what of a new one says the same, and when it last changed."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.job.model import Job
from tagmaker.plan.model import BoxPlan
from tagmaker.revisions.issued import (
    Issued,
    IssuedBox,
    IssuedPlacard,
    IssuedTag,
    issued_box,
    same_codes,
    says_of,
)
from tagmaker.tags.model import Tag
from tagmaker.tags.placard_text import placard_text
from tagmaker.tags.revision import revision_text

__all__ = ["Baseline"]


@dataclass(frozen=True)
class Baseline:
    """The earlier set, its tags by code and its placards by box in capitals."""

    issued: Issued
    tags: dict[str, IssuedTag] = field(init=False, repr=False)
    placards: dict[str, IssuedPlacard] = field(init=False, repr=False)
    codes: dict[str, set[str]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "tags", {tag.code: tag for tag in self.issued.tags})
        object.__setattr__(self, "placards", {each.box.upper(): each for each in self.issued.placards})
        codes: dict[str, set[str]] = {}
        for tag in self.issued.tags:
            codes.setdefault(tag.box.upper(), set()).add(tag.code)
        object.__setattr__(self, "codes", codes)

    def dated(self, tag: Tag, words: Words) -> Tag:
        """The tag in the revision in which what it says last changed."""
        earlier = self.tags.get(tag.code)
        if earlier is None or earlier.says != says_of(tag):
            return tag
        text = revision_text(earlier.revision, words, is_draft=tag.is_draft)
        return replace(tag, revision=earlier.revision, revision_text=text)

    def box(self, job: Job, box: BoxPlan, tags: Iterable[Tag]) -> IssuedBox:
        """A box's records, its placard in the revision in which it last changed."""
        new = issued_box(job, box, tags)
        if not self.has_placard(new):
            return new
        earlier = self.placards[box.row.key]
        text = placard_text(job, box, earlier.revision)
        dated = replace(new.placard, revision=earlier.revision, date=earlier.date, text=text)
        return replace(new, placard=dated)

    def hanging(self, box: IssuedBox) -> frozenset[str]:
        """Codes of the box's tags that hang on site and can stay."""
        return same_codes(self.tags, {tag.code: tag for tag in box.tags})

    def has_placard(self, box: IssuedBox) -> bool:
        """Whether the box's placard hangs on site and says the same."""
        earlier = self.placards.get(box.placard.box.upper())
        return earlier is not None and earlier.says == box.placard.says

    def has_bands(self, box: IssuedBox) -> bool:
        """Whether the box's bands are as they were."""
        earlier = self.placards.get(box.placard.box.upper())
        return earlier is not None and earlier.bands == box.placard.bands

    def touches(self, box: IssuedBox) -> bool:
        """Whether anything of the box is to be done on site."""
        codes = {tag.code for tag in box.tags} | self.codes.get(box.placard.box.upper(), set())
        return codes != self.hanging(box) or not self.has_placard(box) or not self.has_bands(box)

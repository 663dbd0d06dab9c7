"""The revision as it is printed on a tag."""

from tagmaker.catalog.words import Words

__all__ = ["revision_text"]


def revision_text(revision: str, words: Words, *, is_draft: bool) -> str:
    """The revision, after DRAFT where the job is one."""
    text = words("tag.revision", revision=revision)
    return f"{words('tag.draft')} {text}" if is_draft else text

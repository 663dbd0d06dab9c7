"""Files within a PDF, as any reader of PDF lists and saves them.

Takes contents with their names; adds embedded files that the document names and that are associated with it
as a whole (ISO 32000-2, 7.11.4 and 14.13 [memory]). The same files give the same bytes: they have no dates.
"""

import zlib
from collections.abc import Sequence

from msgspec import Struct

from tagmaker.draw.objects import Objects, pdf_text

__all__ = ["NOTHING", "Attachment", "Enclosed", "attach"]

RELATION = "Data"
"""What a file is to the document: the data from which it was made."""


class Attachment(Struct, frozen=True):
    """A file to attach: its name in ASCII, its content, its media type ("text/csv"), what it is in words."""

    name: str
    content: bytes
    media: str
    about: str


class Enclosed(Struct, frozen=True):
    """What a document has beside its pages: files, and by what its metadata name it."""

    files: tuple[Attachment, ...] = ()
    identifier: str = ""


NOTHING = Enclosed()


def attach(objects: Objects, files: Sequence[Attachment]) -> tuple[bytes, bytes]:
    """The numbers of two objects as the catalog refers to them: the tree of names, the associated files."""
    specs = {file.name: _file(objects, file) for file in files}
    if len(specs) < len(files):
        raise ValueError("two attachments have one name")
    names = "".join(f"{pdf_text(name)}{specs[name]} 0 R" for name in sorted(specs))
    tree, associated = objects.number(), objects.number()
    objects.put(tree, f"<</EmbeddedFiles<</Names[{names}]>>>>")
    objects.put(associated, f"[{' '.join(f'{spec} 0 R' for spec in specs.values())}]")
    return b"%d 0 R" % tree, b"%d 0 R" % associated


def _file(objects: Objects, file: Attachment) -> int:
    """A file's specification; its number."""
    media = file.media.replace("/", "#2F")
    head = f"/Type /EmbeddedFile /Subtype /{media} /Params << /Size {len(file.content)} >>"
    stream = objects.stream(f"{head} /Filter /FlateDecode", zlib.compress(file.content))
    spec = objects.number()
    name = pdf_text(file.name)
    objects.put(
        spec,
        f"<</Type/Filespec/F{name}/UF{name}/EF<</F {stream} 0 R/UF {stream} 0 R>>"
        f"/Desc{pdf_text(file.about)}/AFRelationship/{RELATION}>>",
    )
    return spec

"""What came back from a walk: filled-in PDF forms and the phone's JSON, as values by field name.

Files come from other people's programs: anything that cannot be read is a problem that names the file, never
an exception. Only plain files of a limited size are opened.
"""

import io
import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from tagmaker.files.plain import files_below, is_folder, is_plain_file, plain_size, read_plain
from tagmaker.problems import Problem, Where, error
from tagmaker.tags.fields import read_field
from tagmaker.tags.walk import WALK_FORMAT

if TYPE_CHECKING:
    from pypdf import PdfReader

__all__ = ["Return", "Value", "read_returns"]

Value = bool | str
"""A tick, or a text."""
FILE_BYTES_AT_MOST = 50_000_000
JSON_BYTES_AT_MOST = 20_000_000
PAGES_AT_MOST = 5_000
OFF = {"", "/Off", "Off"}
"""What a check box that is not ticked can have as its state, from memory of ISO 32000-1, 12.7.4.2.3."""
BROKEN = (
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    RecursionError,
)  # what a broken PDF makes of a reader
HAND_IN_HINT = "hand in the form that was filled in, or the file that the phone exported"


class Return(Struct, frozen=True):
    """One file: its ticks and texts by field name, and by box what the box's sheet was printed for."""

    source: str
    values: dict[str, Value]
    printed: dict[str, str]


def read_returns(paths: list[Path]) -> Iterator[Return | Problem]:
    """Read each file; folders are searched recursively, hidden files and folders skipped."""
    for path in paths:
        for file in files_below(path) if is_folder(path) else [path]:
            yield _read(file)


def _read(path: Path) -> Return | Problem:
    where = Where(str(path))
    try:
        if not is_plain_file(path) or plain_size(path) > FILE_BYTES_AT_MOST:
            return error(
                "return-unreadable",
                f"{path.name} does not exist, is not a regular file, or is over 50 MB",
                where,
            )
        if path.suffix.lower() == ".pdf":
            return _read_pdf(path, where)
        return _read_json(path, where)
    except OSError as reason:
        return error("return-unreadable", f"{path.name} cannot be read: {reason.strerror or reason}", where)


def _read_pdf(path: Path, where: Where) -> Return | Problem:
    from pypdf import PdfReader  # noqa: PLC0415 — needed for what comes back only
    from pypdf.errors import DependencyError, PyPdfError  # noqa: PLC0415

    logging.getLogger("pypdf").setLevel(
        logging.CRITICAL
    )  # what is wrong with a file is reported as a problem
    try:
        reader = PdfReader(io.BytesIO(read_plain(path, FILE_BYTES_AT_MOST)))
        fields = reader.get_fields() or {}
        values = {str(name): _value(found) for name, found in fields.items()} if _has_widgets(reader) else {}
    except DependencyError:
        message = f"{path.name} is encrypted"
        return error("return-unreadable", message, where, "save it without a password, and hand that in")
    except (*BROKEN, PyPdfError) as reason:
        return error("return-unreadable", f"{path.name} is not a readable PDF: {reason}", where, HAND_IN_HINT)
    if not values:
        message = f"{path.name} has no form fields: it is a flattened or scanned copy"
        hint = "save the filled form itself, or type the findings into an empty one"
        return error("return-flattened", message, where, hint)
    if not any("/" in name for name in values):
        return error("return-unreadable", f"{path.name} is a form, but not a walk sheet", where, HAND_IN_HINT)
    return _split(str(path), values)


def _has_widgets(reader: "PdfReader") -> bool:
    """Whether any page still shows a field: some programs flatten the pages and leave the form behind."""
    if len(reader.pages) > PAGES_AT_MOST:
        raise ValueError(f"it has more than {PAGES_AT_MOST:,} pages")
    notes = (note.get_object() for page in reader.pages for note in page.get("/Annots") or ())
    return any(note.get("/Subtype") == "/Widget" for note in notes)


def _value(found: dict[str, object]) -> Value:
    """A check box's state, or a text."""
    raw = found.get("/V")
    text = "" if raw is None else str(raw)
    return text not in OFF if found.get("/FT") == "/Btn" else text.strip()


def _read_json(path: Path, where: Where) -> Return | Problem:
    values: dict[str, Value] = {}
    printed: dict[str, str] = {}
    try:
        content = json.loads(read_plain(path, JSON_BYTES_AT_MOST).decode("utf-8-sig"))
        is_ours = content["format"] == WALK_FORMAT
        for box in content["boxes"] if is_ours else ():
            printed[str(box["box"]).upper()] = str(box["printed_for"])
            values |= {
                str(name): value.strip() if isinstance(value, str) else value
                for name, value in box["fields"].items()
                if isinstance(value, bool | str)
            }
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        is_ours = False
    if not is_ours:
        message = f"{path.name} is not a phone export"
        return error("return-unreadable", message, where, HAND_IN_HINT)
    return Return(str(path), values, printed)


def _split(source: str, values: dict[str, Value]) -> Return:
    """A form's ticks and texts, and apart from them the hidden texts for which its sheets were printed."""
    hidden = {
        name: field.box
        for name in values
        if (field := read_field(name)) is not None and field.kind == "printed_for"
    }
    printed = {box: _lines(str(values[name])) for name, box in hidden.items()}
    return Return(source, {name: value for name, value in values.items() if name not in hidden}, printed)


def _lines(text: str) -> str:
    """What a sheet was printed for, as kept in a form whose viewers may change the ends of its lines."""
    return "".join(f"{line}\n" for line in text.replace("\r\n", "\n").replace("\r", "\n").splitlines())

"""What came back on paper, for `readback`: which files are photos, and what a person must look at.

Takes files, and what `readback_pages` read on them; gives a box's lines of what is unclear or to be typed,
and writes pictures of it.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from tagmaker.catalog.words import Words
from tagmaker.files.new_folder import check_new_folder, write_folder
from tagmaker.files.plain import is_plain_file, read_head
from tagmaker.problems import Problem
from tagmaker.revisions.plan_file import find_plan_file, read_form_pages
from tagmaker.site.paper.sheets import PaperReturns
from tagmaker.site.scans.kinds import HEAD_BYTES, RefusedKind, file_kind
from tagmaker.site.walk.findings import BoxFindings
from tagmaker.site.walk.gather import Returned
from tagmaker.site.walk.returns import Sheet
from tagmaker.tags.fields import box_of, read_field

__all__ = ["kind_of", "missing_sets", "photos_among", "to_type", "with_paper", "write_cuts", "written_by_box"]


def photos_among(files: Iterable[Path]) -> tuple[list[Path], list[Path]]:
    """The files that are photos by their first bytes, readable or not, and the rest."""
    photos: list[Path] = []
    rest: list[Path] = []
    for file in files:
        kind = kind_of(file)
        (photos if isinstance(kind, RefusedKind) or kind == "picture" else rest).append(file)
    return photos, rest


def kind_of(file: Path) -> str | RefusedKind:
    """A file's kind by its first bytes; empty where it has none or cannot be read."""
    try:
        head = read_head(file, HEAD_BYTES) if is_plain_file(file) else b""
    except OSError:
        return ""
    return file_kind(head, file.suffix) if head else ""


def missing_sets(sets: Iterable[Path]) -> list[Problem]:
    """The problems of sets that are not there; one that is there is not read where nothing asks for it."""
    missing = [each for each in sets if not is_plain_file(find_plan_file(each))]
    return [found for each in missing if isinstance(found := read_form_pages(each), Problem)]


def written_by_box(paper: PaperReturns) -> dict[str, list[str]]:
    """The names of the fields with handwriting by their box."""
    found: dict[str, list[str]] = {}
    for name in paper.written:
        found.setdefault(box_of(name), []).append(name)
    return found


def to_type(sheets: Iterable[Sheet], written: Mapping[str, Sequence[str]]) -> list[str]:
    """The fields of a box with handwriting that no file has as a text; `written` are all by box."""
    sheets = list(sheets)
    typed = {
        name for sheet in sheets for name, value in sheet.values.items() if isinstance(value, str) and value
    }
    boxes = dict.fromkeys(sheet.box for sheet in sheets)
    return [name for box in boxes for name in written.get(box, ()) if name not in typed]


def with_paper(
    box: BoxFindings, sheets: Sequence[Sheet], found: Returned, texts: Sequence[str], words: Words
) -> BoxFindings:
    """A box with what on its paper is unclear and no other file shows; `texts` are fields to be typed.

    Whose pipe or cable was found is unknown while it is not typed, though another file has it as correct.
    """
    names = sorted({name for sheet in sheets for name in sheet.unclear})
    known = {name for name, value in found.values.items() if value != ""}
    unclear = [name for name in names if _is_unclear(name, known, found)]
    unclear += [name for name in texts if name.endswith("/found")]
    unknown = [words("punch.unclear", names=", ".join(map(_short, unclear)))] if unclear else []
    notes = [words("punch.to_type", names=", ".join(map(_short, texts)))] if texts else []
    return replace(box, unknown=[*unknown, *box.unknown], notes=[*box.notes, *notes])


def _is_unclear(name: str, known: Collection[str], found: Returned) -> bool:
    """Whether a doubtful mark is still unknown: no file has it, nor whose line was found in its place."""
    if name.endswith("/ok") and found.values.get(f"{name.removesuffix('ok')}found"):
        return False
    return name.removesuffix("/off") not in known or _is_tick_unknown(name, found)


def _is_tick_unknown(name: str, found: Returned) -> bool:
    field = read_field(name)
    return field is not None and field.kind == "tick" and not found.values.get(name)


def _short(name: str) -> str:
    """A field's name without its box."""
    return name.partition("/")[2]


def write_cuts(paper: PaperReturns, folder: Path) -> Problem | None:
    """Write the pictures of what is unclear or written by hand into a new folder; a problem if that fails."""
    problem = check_new_folder(folder)
    if problem is None and paper.cuts:
        _, problems = write_folder(folder, paper.cuts, lambda _folder: (True, ()))
        problem = problems[0] if problems else None
    return problem

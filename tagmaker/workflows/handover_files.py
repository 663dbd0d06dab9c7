"""The files of a handover record: what was read, with its digests, and what is attached to the PDF.

Register and plan are those of the printed set where one of the same plan is at hand, else they are made of
the job as `make` makes them. A record that was signed, or changed in any way since it was written, is never
replaced: the PDF keeps its own digest.
"""

import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final, Literal

from msgspec import Struct

from tagmaker.draw.attachments import Attachment
from tagmaker.files.plain import files_below, is_folder, is_plain_file, is_there, plain_digest, read_plain
from tagmaker.files.sealed import BLANK
from tagmaker.files.write import write_file
from tagmaker.outputs.register import register_csv
from tagmaker.problems import Problem, Where, error, warning
from tagmaker.revisions.issued import Issued
from tagmaker.revisions.plan_file import BYTES_AT_MOST, PLAN_FILE, find_plan_file, read_plan_file, read_set
from tagmaker.revisions.plan_pieces import plan_json
from tagmaker.revisions.selection import Selection
from tagmaker.tags.handover import FileRecord
from tagmaker.workflows.laid_out import LaidOut

__all__ = [
    "READ_LIST",
    "REGISTER",
    "SEAL",
    "Issue",
    "ReadFiles",
    "attachments",
    "issue_of",
    "read_files",
    "sealed_record",
    "write_record",
]

REGISTER: Final = "register.csv"
READ_LIST: Final = "read.sha256"
"""The list of digests, in the form that `sha256sum -c` takes."""
SEAL: Final = f"sha256:{BLANK}"
"""In the place of the record's own digest while that is made."""
SEALED = re.compile(rb"sha256:([0-9a-f]{64})(?=</dc:identifier>)")
SIGNED_HINT = "it may be signed: keep it, and name another file with -o"
PLAN_HINT = "make the set of this plan, hand out its sheets, and hand that set over"


class ReadFiles(Struct, frozen=True):
    """The files that were named, folders searched; `names` are how the record calls them, by path.

    `found` finds any of these paths in a text.
    """

    paths: tuple[Path, ...]
    names: Mapping[str, str]
    digests: tuple[FileRecord, ...]
    found: re.Pattern[str]

    def short(self, text: str) -> str:
        """A text in which the record's own names are in place of paths."""
        return self.found.sub(lambda path: self.names[path[0]], text) if self.names else text


def read_files(given: Sequence[Path]) -> ReadFiles:
    """Every file of these paths with its digest; one that cannot be read has none."""
    named = [(file, name) for path in given for file, name in _below(path)]
    twice = {name for name, count in Counter(name for _, name in named).items() if count > 1}
    once = {file.as_posix(): file.as_posix() if name in twice else name for file, name in named}
    records = tuple(FileRecord(name, _digest(Path(path))) for path, name in once.items())
    # texts name files of a folder by it, so that the folder's path is all that is replaced in them
    folders = {f"{path.as_posix()}/": f"{path.name}/" for path in given if is_folder(path) and path.name}
    replaced = folders | {path: name for path, name in once.items() if not path.startswith(tuple(folders))}
    longest_first = sorted(replaced, key=len, reverse=True)
    found = re.compile("|".join(map(re.escape, longest_first)))
    return ReadFiles(tuple(map(Path, once)), {} if twice else replaced, records, found)


def _below(path: Path) -> Iterator[tuple[Path, str]]:
    if not is_folder(path):
        yield path, path.name
        return
    for file in files_below(path):
        yield file, f"{path.name}/{file.relative_to(path).as_posix()}" if path.name else file.as_posix()


def _digest(path: Path) -> str:
    try:
        return plain_digest(path) if is_plain_file(path) else ""
    except OSError:
        return ""


# --- what is attached ---------------------------------------------------------------------------------------


class Issue(Struct, frozen=True):
    """Register and plan as issued, and where they are from; problems of sets that are at hand."""

    register: bytes
    plan: bytes
    source: Literal["set", "job"]
    problems: tuple[Problem, ...] = ()


def issue_of(laid_out: LaidOut, sets: Sequence[Path], problems: Sequence[Problem]) -> Issue:
    """The register and plan of the first set that is of the same plan; else made of the job."""
    faults: list[Problem] = []
    for path in sets:
        found = _of_set(path, laid_out.issued)
        if isinstance(found, Issue):
            return found
        faults.append(found)
    plan = plan_json(laid_out.issued, {}, problems, Selection(proof=False))
    return Issue(register_csv(laid_out.placed), plan, "job", tuple(faults))


def _of_set(path: Path, issued: Issued) -> Issue | Problem:
    """The two files of a set as they were written; the problem where they are not, or are of another plan."""
    file = find_plan_file(path)
    folder, where = file.parent, Where(file.as_posix())
    found = read_plan_file(path)
    if isinstance(found, Problem):
        return found
    head = read_set(folder)
    if (found.digest, found.job) != (issued.digest, issued.job) or head is None:
        message = f"{folder} is a set of another plan, revision {found.job.revision}"
        return warning("handover-set", message, where, PLAN_HINT)
    try:
        register, plan = (read_plain(folder / name, BYTES_AT_MOST) for name in (REGISTER, PLAN_FILE))
    except OSError as reason:
        message = f"{folder / REGISTER} cannot be read: {reason.strerror or reason}"
        return warning("handover-set", message, where, PLAN_HINT)
    if hashlib.sha256(register).hexdigest() != head.digests.get(REGISTER):
        message = f"{folder / REGISTER} changed since it was written"
        return warning("handover-set", message, where, PLAN_HINT)
    return Issue(register, plan, "set")


def attachments(
    issue: Issue, files: Iterable[FileRecord], pictures: Mapping[str, bytes], about: Mapping[str, str]
) -> tuple[tuple[Attachment, ...], str]:
    """What the PDF holds, and the digest of all that was read: that of the list of digests.

    `about` has words by a file's name, and those of pictures by "".
    """
    own = [
        Attachment(REGISTER, issue.register, "text/csv", about[REGISTER]),
        Attachment(PLAN_FILE, issue.plan, "application/json", about[PLAN_FILE]),
        *(Attachment(name, png, "image/png", about[""]) for name, png in sorted(pictures.items())),
    ]
    digests = [FileRecord(each.name, hashlib.sha256(each.content).hexdigest()) for each in own]
    lines = [f"{each.sha256 or 'unread':<64}  {_on_a_line(each.name)}\n" for each in (*digests, *files)]
    content = "".join(lines).encode(errors="backslashreplace")
    whole = (*own, Attachment(READ_LIST, content, "text/plain", about[READ_LIST]))
    return whole, hashlib.sha256(content).hexdigest()


def _on_a_line(name: str) -> str:
    return name.replace("\\", "\\\\").replace("\n", "\\n").replace("\r", "\\r")


# --- the record's own file ----------------------------------------------------------------------------------


def sealed_record(pdf: bytes) -> bytes:
    """The record with its own digest: that of its bytes with zeros in the digest's place."""
    digest = hashlib.sha256(pdf).hexdigest()
    return pdf.replace(SEAL.encode(), f"sha256:{digest}".encode(), 1)


def write_record(out: Path, pdf: bytes) -> Problem | None:
    """Write the record; the problem where that fails, or another file or a changed record would be lost."""
    try:
        if is_plain_file(out) and not _is_unchanged(read_plain(out, BYTES_AT_MOST)):
            message = f"{out} is not a handover record, or changed since it was written"
            return error("output-foreign", message, Where(out.as_posix()), SIGNED_HINT)
        if is_there(out) and not is_plain_file(out):
            return error(
                "output-blocked", f"{out} is not a regular file", Where(out.as_posix()), "name a file"
            )
    except OSError as reason:
        message = f"{out} cannot be read: {reason.strerror or reason}"
        return error("output-blocked", message, Where(out.as_posix()), SIGNED_HINT)
    return write_file(out, pdf)


def _is_unchanged(pdf: bytes) -> bool:
    """Whether a file is a record as it was written; an empty one loses nothing."""
    found = SEALED.search(pdf)
    if not found:
        return not pdf
    blank = pdf[: found.start(1)] + BLANK.encode() + pdf[found.end(1) :]
    return hashlib.sha256(blank).hexdigest().encode() == found[1]

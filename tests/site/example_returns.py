"""What came back from the clinic of the example jobs, as its people would have filled it in.

`python -m tests.site.example_returns` writes example_jobs/clinic/returned: a phone's file of all boxes, a
response test with its readings, the filled-in form of the systems. A test holds that they are of today's
plan: the texts as this writes them, the form by what it comes to.
"""

import csv
import io
import json
import tempfile
from pathlib import Path

import pikepdf

from tagmaker.workflows.response import ResponseRequest, response
from tests.paths import EXAMPLES
from tests.site.handed_over import all_right
from tests.site.systems import clinic, rightly, write_form
from tests.site.walks import ROLES, phone, plan_of
from tests.workflows.response_site import answers, fill_csv, rows_of

__all__ = ["RETURNED", "contents"]

CLINIC = EXAMPLES / "clinic"
RETURNED = CLINIC / "returned"
SIGNED = {"installer": ("I. A.", "2026-06-15"), "technician": ("T. B.", "2026-06-16")}
SIGNED |= {"verifier": ("V. C.", "2026-06-17")}
FACTS = 5  # columns of a response test before its rounds
PROOF = "cable rung out, line traced, T. B."


def contents(work: Path) -> dict[str, bytes]:
    """The files by name; `work` is an empty folder."""
    return {"walk.json": _walk(), "response.csv": _response(work)}


def _walk() -> bytes:
    """All boxes on one phone, everything as planned, proved and signed."""
    plan = plan_of(CLINIC)
    values = all_right(plan)
    for name in values:
        if name.endswith("/proved") and isinstance(values[name], str):
            values[name] = PROOF
    for box in plan.boxes:
        for role in ROLES:
            values[f"{box.row.key}/sign/{role}"], values[f"{box.row.key}/date/{role}"] = SIGNED[role]
    return f"{json.dumps(json.loads(phone(plan, values)), indent=0)}\n".encode()


def _response(work: Path) -> bytes:
    """Each stub and unit answers as called, in the rounds of its system."""
    done = response(CLINIC, work / "out", ResponseRequest())
    rounds = {calls.system: calls.rounds for calls in done.systems}
    table = fill_csv(work / "out" / "response.csv", work / "response.csv", answers(work / "out"))
    head, *rows = rows_of(table)
    out = io.StringIO(newline="")
    filled = [row[: FACTS + rounds[row[1]]] for row in rows]
    csv.writer(out, lineterminator="\n").writerows([head, *filled])
    return out.getvalue().encode()


def write_systems(file: Path) -> None:
    """The systems' form with everything done and right, packed as small as it gets."""
    write_form(file, clinic(), ((system, rightly(system)) for system in clinic().systems))
    with pikepdf.open(file, allow_overwriting_input=True) as document:
        modes = pikepdf.ObjectStreamMode.generate
        document.save(file, object_stream_mode=modes, recompress_flate=True, deterministic_id=True)


if __name__ == "__main__":
    RETURNED.mkdir(exist_ok=True)
    write_systems(RETURNED / "systems.pdf")
    with tempfile.TemporaryDirectory() as folder:
        for file, content in contents(Path(folder)).items():
            (RETURNED / file).write_bytes(content)

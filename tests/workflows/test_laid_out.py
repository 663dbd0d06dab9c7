"""What a job as laid out keeps in memory: of what is drawn nothing, wherever that waits."""

import gc
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from types import FunctionType, ModuleType

import pytest

from tagmaker.draw.marks import Drawn, Field
from tagmaker.files.waiting import WaitingRoom
from tagmaker.plan.plan_job import plan_job
from tagmaker.revisions.issued import IssuedTag
from tagmaker.revisions.issuing import issued_plan
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.label import FittedLabel
from tagmaker.workflows.laid_out import LaidOut
from tagmaker.workflows.layout import lay_out
from tagmaker.workflows.planning import Checked
from tests.strategies import BoxSketch, JobSketch, UnitSketch, words

PLAN = plan_job(
    JobSketch(
        tuple(
            BoxSketch(f"BB-{number}", 4, (UnitSketch(f"FC-{number}", "A", "12 kBtu/h"),))
            for number in range(1, 4)
        )
    ).record()
)[0]


@pytest.fixture(scope="module")
def laid_out() -> Iterator[LaidOut]:
    """Three boxes whose ink waits on disk."""
    with closing(WaitingRoom()) as room:
        found = lay_out(Checked(PLAN, ()), Selection(), lambda _done, _of: None, inks=room.put)[1]
        assert found
        yield found


def kept(whole: object) -> Counter[type]:
    """How many things of each type are reached from one, by their types."""
    seen, left = {id(whole)}, [whole]
    counts: Counter[type] = Counter()
    while left:
        one = left.pop()
        counts[type(one)] += 1
        for each in gc.get_referents(one):
            if id(each) not in seen and not isinstance(each, type | ModuleType | FunctionType):
                seen.add(id(each))
                left.append(each)
    return counts


def test_nothing_that_is_drawn_or_listed_stays_in_memory(laid_out: LaidOut) -> None:
    """No ink but of the last label of each stock, no field, no record of a tag; of labels alike one."""
    counts = kept(laid_out)
    assert [counts[each] for each in (Drawn, Field, IssuedTag)] == [len(laid_out.stacks), 0, 0]
    assert 0 < counts[FittedLabel] < sum(document.pieces for document in laid_out.documents)


def test_what_waits_is_all_there(laid_out: LaidOut) -> None:
    """Records of every box, and every label in its place."""
    meant = issued_plan(PLAN, words())
    assert laid_out.issued == meant
    assert laid_out.digest == meant.digest
    placed = list(laid_out.placed)
    assert {each.label.tag.code for each in placed} == {tag.code for tag in meant.tags}
    for document in laid_out.documents:
        on_sheets = [label for sheet in document.sheets for label in sheet.labels]
        assert len(on_sheets) == (document.pieces if document.has_labels else 0)

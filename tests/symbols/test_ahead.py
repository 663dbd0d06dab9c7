"""Several pictures at once: the results of one after the other, and no more begun than are held."""

import threading
from collections.abc import Iterator

import pytest

from tagmaker.symbols.ahead import ahead


@pytest.fixture(params=[1, 3])
def cores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """A machine with one core, or more."""
    monkeypatch.setattr("os.cpu_count", lambda: request.param)
    return request.param  # type: ignore[no-any-return]


def test_results_come_in_the_items_order(cores: int) -> None:
    """Whichever is done first."""
    last = threading.Event()

    def work(item: int) -> int:
        if cores > 1 and item == 0:
            last.wait(60)
        if item == 2:
            last.set()
        return item * item

    assert list(ahead(work, range(9))) == [item * item for item in range(9)]


@pytest.mark.usefixtures("cores")
def test_what_fails_fails_in_its_place() -> None:
    """After the results of those before it."""
    found = ahead(lambda item: 6 // (2 - item), range(4))
    assert [next(found), next(found)] == [3, 6]
    with pytest.raises(ZeroDivisionError):
        next(found)


def test_few_are_begun_before_the_first_is_used(cores: int) -> None:
    """A folder of a thousand photos is not held in memory."""
    begun: list[int] = []
    found = ahead(begun.append, range(1000))
    next(found)
    assert len(begun) <= 2 * cores + 1

"""An own `layouts/` for a test: what the readers of shipped files keep is forgotten before and after it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.catalog.shipped import READERS


@pytest.fixture
def own_layouts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty folder in the place of `layouts/`."""
    for reader in READERS.values():
        reader.cache_clear()
    monkeypatch.setattr("tagmaker.catalog.shipped.layouts", lambda: tmp_path)
    yield tmp_path
    for reader in READERS.values():
        reader.cache_clear()

"""What every test stands on."""

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def no_printer_is_measured(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whoever runs the tests may have aligned a printer of their own: no test may see that, or change it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        yield

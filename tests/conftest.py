"""What every test stands on."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

# The same examples in every run: a change is judged by what it changed, never by the throw of a die.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="session", autouse=True)
def no_printer_is_measured(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whoever runs the tests may have aligned a printer of their own: no test may see that, or change it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        yield

"""The finished sets that the checks of finished sheets share."""

import pytest

from tests.outside.finished import EXAMPLES, PRINTS, Finished, make


@pytest.fixture(scope="session", params=[*EXAMPLES, *PRINTS])
def finished(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Finished:
    """Every example job's set, and the smallest one's on every other stock."""
    return make(request.param, tmp_path_factory.mktemp("finished"))

"""What every test stands on."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tagmaker.plan.model import Plan
from tests.site.walks import SITE, WRONG, Values, as_planned, form, plan_of, without

# The same examples in every run: a change is judged by what it changed, never by the throw of a die.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="session", autouse=True)
def no_printer_is_measured(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Whoever runs the tests may have aligned a printer of their own: no test may see that, or change it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        yield


# --- the site that most tests of a walk are about: nobody changes its job -----------------------------------


@pytest.fixture(scope="session")
def site_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The job that is walked, on disk."""
    return SITE.write(tmp_path_factory.mktemp("site") / "job")


@pytest.fixture(scope="session")
def site_plan(site_job: Path) -> Plan:
    """Its plan."""
    return plan_of(site_job)


@pytest.fixture(scope="session")
def site_form(site_plan: Plan) -> bytes:
    """Its walk.pdf as printed."""
    return form(site_plan)


@pytest.fixture
def site_right(site_plan: Plan) -> Values:
    """A walk on which all is as planned."""
    return as_planned(site_plan)


@pytest.fixture
def site_wrong(site_right: Values) -> Values:
    """A walk on which four things in two boxes are not."""
    return without(site_right, "BB-1/port/A/pipe/ok", "BB-1/port/E/cable/ok") | WRONG

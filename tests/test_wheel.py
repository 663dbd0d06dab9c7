"""The wheel alone does the job: installed in a fresh environment, far from any checkout."""

import os
import subprocess
import sys
import venv
from pathlib import Path
from urllib.request import HTTPCookieProcessor, build_opener
from zipfile import ZipFile

import pytest

from tagmaker import __version__
from tagmaker.catalog.examples import EXAMPLES, example_files
from tagmaker.workflows.manual import PAGES, page_text
from tests.paths import ROOT

BAKERY = ROOT / "example_jobs" / "bakery"

pytestmark = pytest.mark.slow


def environment() -> dict[str, str]:
    """The environment without the checkout on its path."""
    own = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    return own | {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_NO_INPUT": "1"}


def run(*command: str | Path, folder: Path) -> str:
    """What a command prints, without the checkout on its path; it must end well."""
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, env=environment())
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project's wheel, built as a release is."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--outdir", folder, ROOT, folder=folder)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program installed from the wheel, with nothing but what the wheel asks for."""
    folder = tmp_path_factory.mktemp("installed") / "venv"
    venv.create(folder, with_pip=True)
    run(folder / "bin" / "python", "-m", "pip", "install", "--quiet", wheel, folder=folder)
    return folder / "bin" / "tagmaker"


def test_the_wheel_carries_every_layout_and_page(wheel: Path) -> None:
    """Each file once, inside the package, which says that it is typed; the examples' own files, no test."""
    with ZipFile(wheel) as archive:
        names = [name for name in archive.namelist() if ".dist-info/" not in name]
    layouts = {f"tagmaker/{path.relative_to(ROOT)}" for path in (ROOT / "layouts").rglob("*.*")}
    modules = {str(path.relative_to(ROOT)) for path in (ROOT / "tagmaker").rglob("*.py")}
    pages = {f"tagmaker/manual/{page}.md" for page in PAGES}
    examples = {f"tagmaker/example_jobs/{name}/{file}" for name in EXAMPLES for file in example_files(name)}
    desk = ROOT / "tagmaker" / "desk"
    kinds = ("static", "templates")
    shown = {str(path.relative_to(ROOT)) for path in desk.rglob("*.*") if path.parent.name in kinds}
    assert sorted(names) == sorted(layouts | modules | pages | examples | shown | {"tagmaker/py.typed"})
    assert len(layouts) > 5


def test_the_installed_program_does_the_main_job(installed: Path, tmp_path: Path) -> None:
    """Its own layouts are found; files, register and plan are the checkout's, byte for byte."""
    assert run(installed, "--version", folder=tmp_path) == f"tagmaker {__version__}\n"
    run(installed, "make", BAKERY, "-o", "installed", folder=tmp_path)
    program = "import sys; sys.path.insert(0, sys.argv.pop(1)); from tagmaker.cli.begin import run; run()"
    run(sys.executable, "-c", program, ROOT, "make", BAKERY, "-o", "checkout", folder=tmp_path)
    made, expected = contents(tmp_path / "installed"), contents(tmp_path / "checkout")
    assert sorted(made) == sorted(expected)
    assert {"placards.pdf", "walk.pdf"} < set(made)
    for name in ("register.csv", "plan.json"):
        assert made[name] == expected[name]


@pytest.mark.parametrize("page", PAGES)
def test_the_installed_manual_is_the_wheels(page: str, installed: Path, tmp_path: Path) -> None:
    """Every page, printed far from any checkout."""
    assert run(installed, "manual", page, folder=tmp_path) == page_text(page)


def test_the_installed_desk_shows_its_pages(installed: Path, tmp_path: Path) -> None:
    """With their templates, scripts and styles, and the examples to begin with."""
    with subprocess.Popen(
        [installed, "desk", "--no-open", tmp_path],
        stdout=subprocess.PIPE, cwd=tmp_path, env=environment(), text=True,
    ) as process:  # fmt: skip
        try:
            assert process.stdout
            browser = build_opener(HTTPCookieProcessor())
            address = process.stdout.readline().strip()
            shown = browser.open(address).read().decode()
            assert "<h1>Jobs</h1>" in shown
            assert "<option>bakery</option>" in shown
            assert browser.open(address.partition("?")[0] + "static/common.js").status == 200
        finally:
            process.terminate()


def test_the_installed_layouts_are_the_wheels(installed: Path, tmp_path: Path) -> None:
    """They lie inside the package, not in a checkout that happens to be near."""
    program = "from tagmaker.catalog.folders import layouts; print(layouts())"
    printed = run(installed.with_name("python"), "-c", program, folder=tmp_path)
    folder = Path(printed.strip())
    assert folder.is_relative_to(installed.parent.parent)
    assert (folder.parent.name, folder.name) == ("tagmaker", "layouts")


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a folder, byte for byte."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}

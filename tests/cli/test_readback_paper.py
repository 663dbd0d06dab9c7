"""`readback` of a sheet on paper from the command line: where its set is looked for, and the cuts."""

import json
import shutil
from pathlib import Path

import pytest
from PIL import Image, ImageDraw

from tagmaker.cli.readback import printed_sets
from tagmaker.symbols.read import page_pictures
from tests.cli.commands import run
from tests.site.walks import SITE

DOTS = 8  # a millimetre


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A job and its set, whose second page came back with a stroke in one box and on one line."""
    monkeypatch.chdir(tmp_path)
    SITE.write(tmp_path / "job")
    assert run("make", "job", "--no-proof").exit_code == 0
    form = json.loads((tmp_path / "job-out" / "plan.json").read_text("utf-8"))["form_pages"][1]
    page = next(page_pictures((tmp_path / "job-out" / "walk.pdf").read_bytes(), DOTS * 25.4, only=[2]))
    for name in ("BB-2/item/power", "BB-2/port/A/note"):
        left, top, width, height = (DOTS * side for side in form["fields"][name])
        x, y = left + width / 2, top + height / 2
        ImageDraw.Draw(page).line((x, y, x + 9, y + 7), 0, 5)
    page.save(tmp_path / "page.png")
    return tmp_path


def test_the_set_is_found_where_make_put_it(site: Path) -> None:
    """Here, or beside the job from wherever one is; the cuts are in a new folder, as JSON names them."""
    done = run("readback", "page.png", "--job", "job", "--cuts", "cuts", "--json")
    box = json.loads(done.stdout)["boxes"][1]
    assert (done.exit_code, box["unclear"], box["to_type"]) == (1, ["BB-2/item/power"], ["BB-2/port/A/note"])
    names = sorted(path.name for path in (site / "cuts").iterdir())
    assert names == ["BB-2_item_power.png", "BB-2_port_A_note.png"]
    for name in names:
        with Image.open(site / "cuts" / name) as cut:
            assert cut.width > 80


def test_the_terminal_names_what_to_look_at(site: Path) -> None:
    """Below the box, before all else that is unknown; a folder that is there already is refused."""
    (site / "cuts").mkdir()
    (site / "cuts" / "mine.txt").touch()
    done = run("readback", "page.png", "--job", "job", "--cuts", "cuts")
    lines = done.stdout.splitlines()
    assert "    unknown: not clear on paper whether marked: item/power" in lines
    assert "    note: handwriting to be typed: port/A/note" in lines
    assert "[output-foreign]" in done.stderr


def test_a_set_that_is_named_is_the_only_one(site: Path) -> None:
    """Even where the usual one is there."""
    assert printed_sets(site / "job", None) == [site / "job-out"]
    assert printed_sets(site / "job", [site / "older"]) == [site / "older"]
    assert "[plan-unreadable]" in run("readback", "page.png", "--job", "job", "--since", "older").stderr


def test_without_a_set_the_page_is_not_read(site: Path) -> None:
    """Its boxes are never looked for where today's job would print them."""
    shutil.rmtree(site / "job-out")
    done = run("readback", "page.png", "--job", "job")
    assert "page 1 of 1 of the walk sheet of BB-2, revision 2, of a set that is not at hand" in done.stderr
    assert "--since PLAN" in done.stderr

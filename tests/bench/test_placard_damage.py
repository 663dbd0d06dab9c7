"""The pieces of the bench: a scene, each damage, a frame, a scan; quick, and not its figures."""

import numpy as np
import pytest

from tagmaker.tags.placard_forms import read_form
from tagmaker.tags.placard_text import PlacardFacts
from tests.bench import placard_damage
from tests.bench.placard_damage import (
    DAMAGES,
    FRAMES,
    KINDS,
    LOOKS,
    PX_MM,
    Case,
    Scene,
    by_zbar,
    by_zxing,
    cases_of,
    frame,
    rates,
    scene,
    trial,
)

SMALL = Case("4x6")


@pytest.fixture(scope="module")
def shown() -> Scene:
    """The page of the smallest placard that holds the codes."""
    return scene(SMALL)


def test_a_scene_is_the_page_with_both_codes(shown: Scene) -> None:
    """Eight pixels a millimetre; the codes where they lie; the texts of the full box of twelve ports."""
    assert [round(each / PX_MM / 25.4) for each in shown.picture.size] in ([4, 6], [6, 4])
    assert len(shown.codes) == len(shown.texts) == len(shown.modules) == 2
    for text, (left, top, right, bottom) in zip(shown.texts, shown.codes, strict=True):
        assert by_zxing(shown.picture.crop((left - 40, top - 40, right + 40, bottom + 40))) == {text}
        facts = read_form(text)
        assert isinstance(facts, PlacardFacts)
        assert facts.boards[-1].last == "L"


def test_a_frame_is_what_a_phone_makes_of_it(shown: Scene) -> None:
    """As large, changed, the same from the same seed, and readable by both readers."""
    one, other = (frame(shown.picture, np.random.default_rng(7)) for _ in range(2))
    assert one.size == shown.picture.size
    assert one.tobytes() == other.tobytes() != shown.picture.tobytes()
    assert by_zxing(one) == by_zbar(one) == set(shown.texts)


@pytest.mark.parametrize(("kind", "share"), [("0.5 m in motion", 0.7), ("preview", 0.48)])
def test_a_frame_from_afar_or_of_a_preview_has_fewer_pixels(kind: str, share: float, shown: Scene) -> None:
    """By the distance, or by the preview's columns."""
    seen = frame(shown.picture, np.random.default_rng(7), LOOKS[kind])
    assert seen.width == pytest.approx(shown.picture.width * share, abs=1)


@pytest.mark.parametrize("damage", DAMAGES)
def test_each_damage_is_seeded_and_but_one_is_seen(damage: str, shown: Scene) -> None:
    """Twice the same from one seed, another from the next; the scene itself stays whole."""
    whole = shown.picture.tobytes()
    hurt = [
        DAMAGES[damage](shown.picture.copy(), shown, np.random.default_rng(seed)).tobytes()
        for seed in (1, 1, 2)
    ]
    assert hurt[0] == hurt[1]
    assert (hurt[0] == whole) == (hurt[1] == hurt[2]) == (damage == "none")
    assert shown.picture.tobytes() == whole


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in DAMAGES or kind == "none"])
def test_a_scan_of_a_whole_placard_gives_all_settings(kind: str, shown: Scene) -> None:
    """By both readers, in every way of looking."""
    assert trial(shown, kind, 0) == (True, True)


def test_a_scan_of_paper_without_codes_gives_none(monkeypatch: pytest.MonkeyPatch, shown: Scene) -> None:
    """The bench can fail: all frames of both codes of a blank page are looked at and none passes."""
    looked: list[int] = []

    def blank(*_: object) -> object:
        looked.append(1)
        return shown.picture.point(lambda _grey: 255)

    monkeypatch.setattr(placard_damage, "frame", blank)
    assert trial(shown, "none", 0) == (False, False)
    assert len(looked) == 2 * FRAMES


def test_rates_are_per_cent_of_scans() -> None:
    """Each reader for itself."""
    assert rates([(True, False), (True, True), (False, True), (True, True)]) == (75.0, 75.0)
    assert rates([(True, False), (True, False)]) == (100.0, 0.0)


def test_what_is_asked_for_is_measured() -> None:
    """Stocks, sizes, forms and levels, every one with every other; both stocks and all sizes by default."""
    assert cases_of(["a4", "8", "text+text", "Q", "L"]) == [
        Case("a4", 8, ("text", "text"), "Q"),
        Case("a4", 8, ("text", "text"), "L"),
    ]
    assert len(cases_of([])) == 12


def test_a_level_that_is_asked_for_is_printed() -> None:
    """A lower one has larger modules in the same place."""
    modules = [scene(Case("letter", 8, level=level)).modules for level in ("L", "Q")]
    assert all(low > high for low, high in zip(*modules, strict=True))

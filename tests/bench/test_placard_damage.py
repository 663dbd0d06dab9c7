"""The pieces of the bench: a scene, each damage, a frame, a scan; quick, and not its figures."""

import numpy as np
import pytest

from tests.bench.placard_damage import DAMAGES, FRAMES, PX_MM, Scene, by_zbar, by_zxing, frame, scene, trial

SMALL = "4x6"


@pytest.fixture(scope="module")
def shown() -> Scene:
    """The page of the smallest placard that holds the codes."""
    return scene(SMALL)


def test_a_scene_is_the_page_with_both_codes(shown: Scene) -> None:
    """Eight pixels a millimetre; the codes where they lie; the text of the full box of twelve ports."""
    assert [round(each / PX_MM / 25.4) for each in shown.picture.size] in ([4, 6], [6, 4])
    assert len(shown.codes) == 2
    for left, top, right, bottom in shown.codes:
        assert by_zxing(shown.picture.crop((left - 40, top - 40, right + 40, bottom + 40))) == {shown.text}
    assert "RIGHT I-L:" in shown.text


def test_a_frame_is_what_a_phone_makes_of_it(shown: Scene) -> None:
    """As large, changed, the same from the same seed, and readable by both readers."""
    one, other = (frame(shown.picture, np.random.default_rng(7)) for _ in range(2))
    assert one.size == shown.picture.size
    assert one.tobytes() == other.tobytes() != shown.picture.tobytes()
    assert by_zxing(one) == by_zbar(one) == {shown.text}


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


def test_a_scan_without_damage_gives_all_settings() -> None:
    """By both readers."""
    assert trial((SMALL, "none", 0)) == ("none", True, True)


def test_a_scan_of_paper_without_codes_gives_none(monkeypatch: pytest.MonkeyPatch, shown: Scene) -> None:
    """The bench can fail: all its frames of a blank page are looked at and none passes."""
    looked: list[int] = []

    def blank(*_: object) -> object:
        looked.append(1)
        return shown.picture.point(lambda _grey: 255)

    monkeypatch.setattr("tests.bench.placard_damage.frame", blank)
    assert trial((SMALL, "none", 0)) == ("none", False, False)
    assert len(looked) == FRAMES

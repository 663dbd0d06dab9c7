"""By what the phone's page knows a place of a plan: a digest of all that is planned there."""

from pathlib import Path

import pytest

from tests.browser.phone import Phone

FACTS = {
    "box.power = 'P9'": {"item"},
    "box.items[0].text += '!'": {"item"},
    "box.items.pop()": {"item"},
    "box.boards[0].ports.pop()": {"left"},
    "box.boards[1].unfitted += 1": {"right"},
    "box.boards[0].banks[1].on.pop()": {"left"},
    "box.boards[0].banks[1].leave.pop()": {"left"},
    "box.boards[0].banks[0].switches += 1": {"left"},
    "box.boards[0].banks[0].on_points = 'down'": {"left"},
    "box.boards[0].banks[0].numbered_from = 'right'": {"left"},
    "box.boards[0].banks.reverse()": {"left"},
    "box.hardware += '2'": {"item", "left", "right", *(f"port/{letter}" for letter in "ABCDEF")},
    "box.ports[0].rated[0] += '0'": {"port/A"},
    "box.ports[0].units += ', X'": {"port/A"},
    "box.ports[0].pipe.push('X')": {"port/A"},
    "box.ports[2].cable.pop()": {"port/C"},
    "box.ports[2].items[0].text += '!'": {"port/C"},
    "box.ports[1].items.pop()": {"port/B"},
}
"""A change of this page's plan, and the place that it is a change of."""
CHANGED = """
const before = new Map(plansOf(box));
CHANGE;
plans.clear();
const after = plansOf(box);
return [...after].filter(([place, plan]) => before.get(place) !== plan).map(([place]) => place);
"""


@pytest.mark.parametrize("change", FACTS)
def test_a_place_is_known_by_all_that_is_planned_there(phone: Phone, page: Path, change: str) -> None:
    """Each fact changes the digest of its own place and of the signatures, and of no other place."""
    phone.open(page)
    assert set(phone.js(CHANGED.replace("CHANGE", change))) == FACTS[change] | {"sign"}


def test_digests_of_many_plans_differ(phone: Phone, page: Path) -> None:
    """Ports and units in every combination: no two share one."""
    phone.open(page)
    count = phone.js(
        """
        const seen = new Set();
        for (let port = 0; port < 26; port++) for (let unit = 0; unit < 4000; unit++)
          seen.add(digest([String.fromCharCode(65 + port) + " FC-" + unit, ["FC-" + unit], []]));
        return seen.size;
        """
    )
    assert count == 26 * 4000

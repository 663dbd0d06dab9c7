"""Labels of the box itself: the locator on the ceiling below it, and the tags of the mains that feed it.

Both are made only where the job asks for them: a crew expects the tags of ports, and more paper is not
better.
"""

from collections.abc import Mapping
from types import MappingProxyType

from tagmaker.tags.builder import TagBuilder
from tagmaker.tags.model import BoxKind, Tag
from tagmaker.tags.outside_diameter import over

__all__ = ["MAINS", "locator_tag", "main_tags"]

MAINS: Mapping[str, BoxKind] = MappingProxyType(
    {"liquid": "main-liquid", "suction": "main-suction", "hot_gas": "main-hot-gas"}
)
"""Kinds of labels by the keys of a box's mains in job.toml."""


def locator_tag(build: TagBuilder) -> Tag:
    """A small label for the ceiling below a box, with the box's place."""
    return build.of_box("locator", build.box.row.place)


def main_tags(build: TagBuilder) -> list[Tag]:
    """A tag for each main that the job gives, at the box."""
    mains = build.box.row.mains
    if mains is None:
        return []
    remark = build.words("tag.main_place")
    return [
        build.of_box(MAINS[key], remark, over(tube, mains.insulation, bare=build.is_rough_in))
        for key, tube in mains.tubes.items()
    ]

"""Labels beside those of ports: of the box itself, of splitters, of units and their controllers.

All are made only where the job asks for them: a crew expects the tags of ports, and more paper is not
better.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import get_args

from tagmaker.plan.model import Port
from tagmaker.tags.builder import Remark, TagBuilder
from tagmaker.tags.model import BoxKind, PipeKind, Tag
from tagmaker.tags.outside_diameter import over

__all__ = ["MAINS", "isolation_tags", "locator_tag", "main_tags", "splitter_tags", "unit_tags"]

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


def isolation_tags(build: TagBuilder) -> list[Tag]:
    """A label for the point at which the box is isolated; none where the job does not give it.

    It is one a box, also where a point serves several: when a box goes, its label goes, and the others stay.
    """
    power = build.box.row.power
    if "isolation" not in build.job.prints.stocks or not power:
        return []
    return [build.of_box("isolation", build.words("tag.no_lock"), beside=power)]


def splitter_tags(build: TagBuilder, port: Port) -> list[Tag]:
    """Both pipes of each unit where the pipes of a shared port divide.

    Nothing is assumed of how they divide: each tag is on the pipe that leads on to its unit.
    """
    if "splitter" not in build.job.prints.stocks or len(port.units) < 2:
        return []
    remarks = [(unit, Remark(build.words("tag.splits_to", unit=unit.tag))) for unit in port.units]
    return [
        build.at_splitter(pipe, port, remark, unit) for unit, remark in remarks for pipe in get_args(PipeKind)
    ]


def unit_tags(build: TagBuilder, port: Port) -> list[Tag]:
    """A label for each unit of a port, and one for its controller."""
    if "unit" not in build.job.prints.stocks:
        return []
    return [build.of_unit(kind, port, unit) for unit in port.units for kind in ("unit", "controller")]

"""What a walk looks at besides switches, pipes, cables and tags: `layouts/walk.toml`, a job's own items.

Gives records of items. Keys are part of form fields' names, hence their narrow alphabet.
"""

import re
from functools import cache
from typing import Literal, get_args

from msgspec import Struct

from tagmaker.catalog.shipped import shipped_table
from tagmaker.files.toml import Table

__all__ = ["PER", "ROLES", "Per", "Role", "WalkItem", "read_item", "walk_items"]

Per = Literal["box", "port", "used", "cabled", "shared", "spare"]
"""What an item is ticked for: each box, each port, or each port of that use (shared: by units)."""
Role = Literal["installer", "technician", "verifier"]
PER: tuple[Per, ...] = get_args(Per)
ROLES: tuple[Role, ...] = get_args(Role)
KEY = re.compile("[a-z][a-z0-9-]{0,19}", re.ASCII)


class WalkItem(Struct, frozen=True):
    """One thing to tick: its key, per what it is asked, the role that answers for it, and its words.

    With `printed` it is asked only where the job names a stock for that use: it is about those labels.
    """

    key: str
    per: Per
    role: Role
    text: str
    printed: str = ""


def read_item(table: Table, printed: str = "") -> WalkItem | None:
    """An item from its table; None, with the problem noted, where key or text is missing or wrong."""
    key = table.text("key", required=True, at_most=20)
    item = WalkItem(
        key=key,
        per=table.choice("per", PER, "box"),
        role=table.choice("role", ROLES, "verifier"),
        text=table.text("text", required=True, at_most=80),
        printed=printed,
    )
    table.close()
    if key and not KEY.fullmatch(key):
        table.wrong(
            "value-wrong", "key", f"{key!r} is not a valid item key", "use small letters, digits and hyphens"
        )
        return None
    return item if key and item.text else None


@cache
def walk_items() -> tuple[WalkItem, ...]:
    """The items of every walk."""
    with shipped_table("walk.toml") as table:
        table.text("source", required=True)
        items = [read_item(each, each.text("printed")) for each in table.tables("item")]
    return tuple(item for item in items if item)

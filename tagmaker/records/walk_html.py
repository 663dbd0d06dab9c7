"""walk.html: the walk on a phone, one file that needs no network."""

import json

from tagmaker.catalog.folders import layouts
from tagmaker.catalog.walk_items import ROLES
from tagmaker.catalog.words import Words
from tagmaker.job.records import Job
from tagmaker.plan.records import Board, BoxPlan, Plan, Port
from tagmaker.tags.placard_text import placard_text
from tagmaker.tags.reasons import on_list
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of

__all__ = ["WALK_FORMAT", "walk_html"]

WALK_FORMAT = "tagmaker walk 1"
Json = dict[str, object]


def walk_html(plan: Plan, words: Words) -> bytes:
    """The page with all of the plan that a walk needs; names cannot end its script."""
    data = {
        "format": WALK_FORMAT,
        "job": {"name": plan.job.name, "number": plan.job.number, "revision": plan.job.revision},
        "words": {
            key.partition(".")[2]: text for key, text in words.texts.items() if key.startswith("phone.")
        },
        "boxes": [_box(plan.job, box, words) for box in plan.boxes],
    }
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    safe = text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")
    page = (layouts() / "walk.html").read_text(encoding="utf-8")
    return page.replace("__DATA__", safe).encode()


def _box(job: Job, box: BoxPlan, words: Words) -> Json:
    return {
        "box": box.row.key,
        "shown": box.row.shown,
        "place": box.row.place or words("placard.no_place"),
        "power": box.row.power or words("placard.no_place"),
        "printed_for": placard_text(job, box),
        "boards": [_board(board, words) for board in box.boards],
        "ports": [_port(job, letter, port, words) for letter, port in letters_of(box)],
        "items": [
            {"key": item.key, "text": item.text, "role": words(f"walk.{item.role}")}
            for item in items_of_box(job)
        ],
        "roles": [{"key": role, "name": words(f"walk.{role}")} for role in ROLES],
    }


def _board(board: Board, words: Words) -> Json:
    banks = [
        {
            "number": bank.number,
            "name": bank.name,
            "switches": len(bank.switches),
            "on_points": bank.on_points,
            "numbered_from": bank.numbered_from,
        }
        for bank in board.banks
    ]
    planned = "; ".join(f"{bank.name}: {on_list(bank, words)}" for bank in board.banks)
    return {"place": board.place, "ports": list(board.letters), "banks": banks, "planned": planned}


def _port(job: Job, letter: str, port: Port, words: Words) -> Json:
    units = ", ".join(unit.tag for unit in port.units)
    key = "spare" if port.use == "spare" else "used" if port.use == "single" else "joined"
    if key == "joined" and letter != port.letters[0]:
        key = "second"
    planned = words(f"phone.planned_{key}", units=units, ports=port.name, first=port.letters[0])
    items = [{"key": item.key, "text": item.text} for item in items_of_letter(job, port, letter)]
    return {"letter": letter, "planned": planned, "items": items}

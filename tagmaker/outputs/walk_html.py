"""walk.html: the walk on a phone, one file that needs no network."""

import html
import json

from tagmaker.catalog.shipped import shipped_text
from tagmaker.catalog.walk_items import ROLES, WalkItem
from tagmaker.catalog.words import Words
from tagmaker.files.template import fill
from tagmaker.job.model import Job
from tagmaker.plan.model import BankPlan, Board, BoxPlan, Plan, Port
from tagmaker.tags.reasons import on_list
from tagmaker.tags.walk import items_of_box, items_of_letter, letters_of, port_units, printed_for
from tagmaker.typeset.web_fonts import faces_css

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
    page = shipped_text("walk.html")
    name = " ".join(part for part in (plan.job.number, plan.job.name) if part)
    parts = {
        "data": text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"),
        "faces": faces_css(page + text),
        "no_script": html.escape(words("phone.no_script")),
        "title": html.escape(words("phone.title", job=name, revision=plan.job.revision)),
    }
    return fill(page, parts).encode()


def _box(job: Job, box: BoxPlan, words: Words) -> Json:
    return {
        "box": box.row.key,
        "shown": box.row.shown,
        "place": box.row.place or words("placard.no_place"),
        "power": box.row.power or words("placard.no_place"),
        "printed_for": printed_for(job, box),
        "units": [unit.tag for port in box.ports for unit in port.units],
        "boards": [_board(board, words) for board in box.boards],
        "ports": [_port(job, letter, port, words) for letter, port in letters_of(box)],
        "items": [_item(item, words) for item in items_of_box(job)],
        "roles": [{"key": role, "name": words(f"walk.{role}")} for role in ROLES],
    }


def _board(board: Board, words: Words) -> Json:
    return {
        "place": board.place,
        "ports": list(board.letters),
        "unfitted": board.unfitted,
        "banks": [_bank(bank) for bank in board.banks],
        "planned": "; ".join(f"{bank.name}: {on_list(bank, words)}" for bank in board.banks),
    }


def _bank(bank: BankPlan) -> Json:
    return {
        "number": bank.number,
        "name": bank.name,
        "switches": len(bank.switches),
        "on_points": bank.on_points,
        "numbered_from": bank.numbered_from,
        "on": list(bank.on()),
        "leave": [switch.number for switch in bank.switches if switch.state == "leave"],
    }


def _port(job: Job, letter: str, port: Port, words: Words) -> Json:
    """A letter: what is planned in words, whose pipe and cable belong there, and what is ticked of it."""
    units = ", ".join(unit.tag for unit in port.units)
    keys = [unit.key for unit in port.units]
    kind = "spare" if port.use == "spare" else "used" if port.use == "single" else "joined"
    if kind == "joined" and letter != port.letters[0]:
        kind = "second"
    return {
        "letter": letter,
        "planned": words(f"phone.planned_{kind}", units=units, ports=port.name, first=port.letters[0]),
        "units": port_units(port),
        "pipe": keys,
        "cable": [] if kind == "second" else keys,
        "items": [_item(item, words) for item in items_of_letter(job, port, letter)],
    }


def _item(item: WalkItem, words: Words) -> Json:
    """A thing to tick; one that is asked by the letter's use waits until it was seen what hangs there."""
    is_late = item.per not in {"box", "port"}
    return {"key": item.key, "text": item.text, "role": words(f"walk.{item.role}"), "late": is_late}

"""A box in a handover record: its boards, its letters with pipe and cable, its items, its signatures."""

from collections.abc import Iterable

from tagmaker.sheets.handover_pen import HandoverPen
from tagmaker.tags.handover import BankFound, BoxRecord, ItemRecord, LineRecord, PortRecord
from tagmaker.typeset.table import Cell

__all__ = ["box_parts"]

BOARD_SHARES = (0.13, 0.15, 0.3, 0.42)
PORT_SHARES = (0.07, 0.2, 0.19, 0.19, 0.1, 0.25)
ITEM_SHARES = (0.5, 0.14, 0.36)
SIGN_SHARES = (0.2, 0.5, 0.3)


def box_parts(pen: HandoverPen, box: BoxRecord) -> None:
    """All of one box, as planned and as found."""
    words = pen.words
    power = f"{words('walk.power')}: {box.power}" if box.power else ""
    result = words(f"handover.{box.result.replace(' ', '_')}")
    title = f"{words('handover.box', box=box.box)} – {result}"
    pen.section(" · ".join(filter(None, (title, box.place, power))), is_repeated=True)
    _boards(pen, box)
    _ports(pen, box)
    _items(pen, box.items)
    _signatures(pen, box)
    files = ", ".join(box.files) or words("handover.nothing_back")
    pen.sentence(words("handover.box_files", files=files))


def _boards(pen: HandoverPen, box: BoxRecord) -> None:
    words = pen.words
    heads = [words(f"handover.board_{key}") for key in ("board", "bank", "planned", "found")]
    pen.table(BOARD_SHARES, heads, words("handover.boards"))
    for board in box.boards:
        for bank in board.banks:
            cells = (
                words("placard.board", place=board.place),
                bank.name,
                _planned(pen, bank),
                _found(pen, bank),
            )
            pen.plain_row(*cells)


def _numbers(numbers: Iterable[int]) -> str:
    return " ".join(map(str, numbers))


def _planned(pen: HandoverPen, bank: BankFound) -> str:
    words = pen.words
    on = words("placard.bank_on", switches=_numbers(bank.planned_on)) if bank.planned_on else ""
    left = words("summary.leave", switches=_numbers(bank.left)) if bank.left else ""
    rest = words("placard.bank_rest" if on or left else "placard.bank_none")
    return ", ".join(filter(None, (on, left, rest)))


def _found(pen: HandoverPen, bank: BankFound) -> str:
    """Every switch by its state; what is left as found may be either, and need not be seen."""
    unseen = tuple(number for number in bank.not_seen if number not in bank.left)
    groups = (("on", bank.found_on), ("off", bank.found_off), ("unseen", unseen))
    texts = (pen.words(f"handover.found_{key}", switches=_numbers(each)) for key, each in groups if each)
    return ", ".join(texts)


def _ports(pen: HandoverPen, box: BoxRecord) -> None:
    words = pen.words
    heads = ("port", "planned", "pipe", "cable", "tags", "proof")
    texts = [words(f"handover.port_{key}") for key in heads]
    pen.table(PORT_SHARES, texts, words("handover.ports"))
    for port in box.ports:
        name = port.letter if port.port == port.letter else f"{port.letter} ({port.port})"
        planned = ", ".join(port.units) or words("use.spare")
        proof = " · ".join(filter(None, (port.proof, port.note and words("handover.note", text=port.note))))
        tags = words(f"handover.{port.tags.replace(' ', '_')}")
        pen.row(
            [
                Cell(name, bold=True),
                Cell(planned),
                *(Cell(_line(pen, line), bold=_is_open(line)) for line in (port.pipe, port.cable)),
                Cell(tags, bold=port.tags != "as planned"),
                Cell(proof or _no_proof(pen, port)),
            ]
        )


def _is_open(line: LineRecord) -> bool:
    return line.result != "as planned" or line.is_proved is False


def _line(pen: HandoverPen, line: LineRecord) -> str:
    """What was found of a pipe or cable, and whether it is proved."""
    words = pen.words
    result = words(f"handover.{line.result.replace(' ', '_')}")
    if line.result == "as planned" and not line.planned:
        result = words("handover.none_planned")
    found = f"{result}: {line.found}" if line.result == "differs" and line.found else result
    if line.is_proved is None:
        return found
    return f"{found}, {words('handover.proved' if line.is_proved else 'handover.not_proved')}"


def _no_proof(pen: HandoverPen, port: PortRecord) -> str:
    """That nobody wrote how a letter was proved, where there is something to prove."""
    is_asked = any(line.is_proved is not None for line in (port.pipe, port.cable))
    return pen.words("handover.proof_missing") if is_asked else ""


def _items(pen: HandoverPen, items: Iterable[ItemRecord]) -> None:
    words = pen.words
    heads = [words(f"handover.item_{key}") for key in ("item", "role", "found")]
    pen.table(ITEM_SHARES, heads, words("handover.items"))
    for item in items:
        seen, unseen = (", ".join(filter(None, places)) for places in (item.seen, item.not_seen))
        texts: list[str] = []
        if item.seen:
            texts.append(words("handover.item_seen", places=seen).rstrip(": "))
        if item.not_seen:
            texts.append(words("handover.item_unseen", places=unseen).rstrip(": "))
        found = ", ".join(texts)
        pen.row([Cell(item.text), Cell(words(f"walk.{item.role}")), Cell(found, bold=bool(item.not_seen))])


def _signatures(pen: HandoverPen, box: BoxRecord) -> None:
    words = pen.words
    heads = [words(f"handover.{key}") for key in ("walked_by", "sign_name", "sign_date")]
    pen.table(SIGN_SHARES, heads, words("handover.signed"))
    missing = words("handover.not_signed")
    for each in box.signatures:
        role = Cell(words(f"walk.{each.role}"))
        pen.row([role, *(Cell(text or missing, bold=not text) for text in (each.name, each.date))])

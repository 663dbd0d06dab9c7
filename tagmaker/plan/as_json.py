"""A plan as `switches --json` and plan.json print it."""

from tagmaker.plan.records import BankPlan, Board, BoxPlan, Plan, Port
from tagmaker.units import Capacity, number_text

__all__ = ["boxes_json"]

Json = dict[str, object]


def boxes_json(plan: Plan) -> list[Json]:
    """Every box in the job's order; capacities in Btu/h, null where one is missing."""
    return [_box(box) for box in plan.boxes]


def btuh(load: Capacity | None) -> int | float | None:
    """A capacity as a JSON number: whole where it is whole, at most three decimals elsewhere."""
    if load is None:
        return None
    text = number_text(load.btuh)
    return float(text) if "." in text else int(text)


def _box(box: BoxPlan) -> Json:
    return {
        "tag": box.row.tag,
        "family": box.row.family.name,
        "port_count": box.row.ports,
        "load_btuh": btuh(box.load),
        "boards": [_board(board) for board in box.boards],
        "ports": [_port(port) for port in box.ports],
    }


def _board(board: Board) -> Json:
    banks = [_bank(bank) for bank in board.banks]
    return {"place": board.place, "ports": list(board.letters), "unfitted": board.unfitted, "banks": banks}


def _bank(bank: BankPlan) -> Json:
    factory = [switch.number for switch in bank.switches if switch.check_only]
    leave = [switch.number for switch in bank.switches if switch.state == "leave"]
    return {"name": bank.name, "on": list(bank.on()), "factory": factory, "leave": leave}


def _port(port: Port) -> Json:
    return {
        "port": port.name,
        "use": port.use,
        "units": [unit.tag for unit in port.units],
        "load_btuh": btuh(port.load),
        "limit_btuh": btuh(port.limit),
    }

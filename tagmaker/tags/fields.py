"""Names of the walk's fields: flat, the same in the form, in the phone's file and in what comes back."""

__all__ = [
    "board_seen",
    "box_item",
    "date",
    "port_field",
    "port_item",
    "printed_for",
    "sign",
    "switch_on",
]


def board_seen(box: str, place: str) -> str:
    """This board was looked at."""
    return f"{box.upper()}/{place}/seen"


def switch_on(box: str, place: str, bank: int, switch: int) -> str:
    """This switch was found ON."""
    return f"{box.upper()}/{place}/{bank}/{switch}"


def port_field(box: str, letter: str, what: str) -> str:
    """A letter's field: pipe/ok, pipe/found, cable/ok, cable/found, tags/ok, proved or note."""
    return f"{box.upper()}/port/{letter}/{what}"


def box_item(box: str, key: str) -> str:
    """An item of the box."""
    return f"{box.upper()}/item/{key}"


def port_item(box: str, letter: str, key: str) -> str:
    """An item of a letter."""
    return f"{box.upper()}/port/{letter}/item/{key}"


def sign(box: str, role: str) -> str:
    """A signature."""
    return f"{box.upper()}/sign/{role}"


def date(box: str, role: str) -> str:
    """The date of a signature."""
    return f"{box.upper()}/date/{role}"


def printed_for(box: str) -> str:
    """What a sheet was printed for; hidden, kept as it is."""
    return f"{box.upper()}/printed-for"

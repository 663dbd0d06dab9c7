"""Findings of a response test as sentences: what is wrong, what to expect, and what to do.

What to do is never to cut anything: isolate, prove dead and ring out come first, and only licensed people
move pipes.
"""

from tagmaker.catalog.words import Words
from tagmaker.site.response.findings import Finding
from tagmaker.tags.work_list import WorkItem

__all__ = ["finding_item"]

FOUND = {
    "cables crossed": "response.found_cables",
    "pipes crossed": "response.found_pipes",
    "cable and pipe moved": "response.found_moved",
    "mains exchanged": "response.found_mains",
    "valve stuck": "response.found_valve",
    "pair halves differ": "response.found_halves",
    "spare answers": "response.found_spare",
}
DO = {
    "cables crossed": "response.do_cables",
    "pipes crossed": "response.do_pipes",
    "cable and pipe moved": "response.do_moved",
    "mains exchanged": "response.do_mains",
    "valve stuck": "response.do_valve",
    "pair halves differ": "response.do_halves",
    "spare answers": "response.do_spare",
}


def finding_item(finding: Finding, words: Words) -> WorkItem:
    """A finding as a line of a punch list, at the box of its first port."""
    box, _, port = finding.ports[0].partition("/")
    place = ", ".join(_short(each, box) for each in finding.ports)
    expect: tuple[str, ...] = ()
    if finding.kind == "cables crossed":
        expect = (words("response.found_cables_expect", units=", ".join(finding.units)),)
    do = "response.do_valve" if finding.kind == "spare answers" and finding.states else DO[finding.kind]
    return WorkItem(box, place, _wrong(finding, port, words), words(do), expect)


def _short(name: str, box: str) -> str:
    """A port's name, without its box where that is the line's own."""
    return name.removeprefix(f"{box}/")


def _wrong(finding: Finding, port: str, words: Words) -> str:
    """What is wrong, in words."""
    values = {
        "moves": _moves(finding, words),
        "port": port,
        "state": ", ".join(finding.states),
        "states": _halves(finding, port, words) if finding.kind == "pair halves differ" else "",
    }
    return words(_key(finding), **values)


def _key(finding: Finding) -> str:
    """The key of a finding's sentence."""
    match finding.kind:
        case "pipes crossed" if finding.is_behind:
            return "response.found_pipes_behind"
        case "valve stuck" if finding.states == ("opposite",):
            return "response.found_valve_opposite"
        case "spare answers" if not finding.moves:
            return "response.found_spare_valve"
        case _:
            return FOUND[finding.kind]


def _halves(finding: Finding, port: str, words: Words) -> str:
    """What each half of a pair does; a half that was not read is left out."""
    as_called = words("response.half_as_called")
    halves = zip(port.split("+"), finding.states, strict=False)
    return ", ".join(words("response.half", port=half, state=each or as_called) for half, each in halves)


def _moves(finding: Finding, words: Words) -> str:
    """What is where, a clause each."""
    key = "response.move_pipe" if finding.kind == "pipes crossed" else "response.move_cable"
    return "; ".join(words(key, what=what, on=on) for what, on in finding.moves)

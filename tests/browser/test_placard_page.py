"""The page that a placard's link opens, in a real browser: it draws what the text says, or refuses it."""

import base64
import hashlib
import json
import os
import random
import re
import string
import time
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from urllib.parse import quote

import pytest

from tagmaker.plan.plan_job import plan_job
from tagmaker.tags.placard_forms import in_form
from tagmaker.tags.placard_text import PlacardFacts, placard_text, read_placard
from tests.browser.hosting import PAGE, WORKER, Host, hosted
from tests.browser.phone import PATIENCE_SECONDS, Phone
from tests.paths import ROOT
from tests.records import replace
from tests.sheets.boxes import filled, job_of, sparse
from tests.site.papers import sealed
from tests.strategies import SIZES, first_box, one_box

SHIPPED = (ROOT / "layouts" / PAGE).read_text(encoding="utf-8")
AXE = (resources.files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
JOB = job_of(sparse(12)).record()
TEXT = placard_text(JOB, first_box(JOB))
STATE = "return document.getElementById('placard').innerText"
DRAWN = """
const text = (node, selector) => [...node.querySelectorAll(selector)].map((each) => each.textContent);
return {
  box: text(document, "h1")[0],
  boards: [...document.querySelectorAll(".board")].map((board) => [
    text(board, "h2")[0], text(board, ".cells")[0],
    [...board.querySelectorAll(".bank")].map((bank) => [text(bank, "h3")[0], text(bank, "li")]),
  ]),
  ports: [...document.querySelectorAll("tbody tr")].map((row) => [text(row, "th")[0], text(row, "td")[0]]),
  unit: text(document, "thead th")[1],
};
"""
READ = """
return arguments[0].map((text) => {
  try { return JSON.stringify(read(text)); }
  catch (reason) { if (reason instanceof Refused) return "refused"; throw reason; }
});
"""


@pytest.fixture(scope="module")
def host(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Host]:
    """A host with both files."""
    with hosted(tmp_path_factory.mktemp("host") / "pages") as host:
        yield host


def opened(phone: Phone, address: str) -> Phone:
    """A page opened afresh, its letters set."""
    phone.driver.get("about:blank")
    phone.driver.get(address)
    phone.settle()
    return phone


def fragment(text: str) -> str:
    """A text as the fragment of a link."""
    return in_form(text, "link").removeprefix("#")


# --- what it draws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("ports", SIZES)
@pytest.mark.parametrize("kind", [filled, sparse])
def test_boards_and_ports_are_those_of_the_text(ports: int, kind: object, phone: Phone, host: Host) -> None:
    """Every board with its letters and each bank's ON switches; every port with its load of its limit."""
    sketch = job_of((filled if kind is filled else sparse)(ports))
    box = plan_job(sketch.record())[0].boxes[0]
    facts = read_placard(placard_text(sketch.record(), box))
    assert isinstance(facts, PlacardFacts)
    drawn = opened(phone, host.page(fragment(placard_text(sketch.record(), box)))).js(DRAWN)
    assert drawn == {
        "box": "BB-1",
        "unit": "Load of limit, kBtu/h",
        "boards": [
            [
                f"{board.place.upper()} BOARD",
                f"ports {board.first} to {board.last}",
                [
                    [f"Bank {number}", [f"{switch} ON" for switch in on] or ["no switch ON"]]
                    for number, on in enumerate(board.banks, start=1)
                ],
            ]
            for board in facts.boards
        ],
        "ports": [
            [port.name, f"{port.load} of {port.limit}" if port.limit else "SPARE"] for port in facts.ports
        ],
    }


def test_revision_job_and_cautions_are_shown(phone: Phone, host: Host) -> None:
    """What a person must know before a hand goes into the box, and that other switches are not all OFF."""
    said = opened(phone, host.page(fragment(TEXT))).js(STATE)
    for sentence in (
        "Planned switch settings",
        "Revision 2 · job ML-24",
        "Isolate the box's power and prove it dead",
        "Ask the office whether this revision is the latest",
        "11 switches ON. A switch that is not named here is OFF or is left as found",
    ):
        assert sentence in said
    assert phone.driver.title == "Placard BB-1"


def test_an_unknown_load_and_one_over_its_limit(phone: Phone, host: Host) -> None:
    """A draft's question mark is "unknown"; what is over says so in words."""
    sketch = replace(one_box(("FC-1", "A", ""), ("FC-2", "B", "60 kBtu/h")), is_draft=True)
    text = placard_text(sketch.record(), first_box(sketch.record()))
    assert opened(phone, host.page(fragment(text))).js(DRAWN)["ports"][:2] == [
        ["A", "unknown of 54"],
        ["B", "60 of 54 – OVER"],
    ]


def test_a_text_without_a_short_line_is_drawn(phone: Phone, host: Host) -> None:
    """Of paper that was printed before."""
    old = sealed("".join(f"{line}\n" for line in TEXT.split("\n")[1:-2]))
    assert opened(phone, host.page(fragment(old))).js(DRAWN)["box"] == "BB-1"


def test_another_code_scanned_while_it_is_open_is_drawn(phone: Phone, host: Host) -> None:
    """The page stays, its fragment changes: the last one is shown, and nothing of the one before."""
    opened(phone, host.page(fragment(TEXT)))
    job = job_of(replace(filled(4), tag="BB-9")).record()
    phone.js("location.hash = arguments[0]", fragment(placard_text(job, first_box(job))))
    phone.settle()
    assert phone.js(DRAWN)["box"] == "BB-9"
    assert "BB-1" not in phone.js(STATE)
    phone.js("location.hash = 'BB-1'")
    phone.settle()
    assert "DO NOT SET SWITCHES" in phone.js(STATE)
    assert "BB-9" not in phone.js(STATE)


def test_without_a_text_it_says_what_to_do(phone: Phone, host: Host) -> None:
    """Opened by hand."""
    assert "Scan the code of a placard" in opened(phone, host.page()).js(STATE)


# --- what it refuses -------------------------------------------------------------------------------------


def changed_texts() -> list[str]:
    """Texts with one character changed, lost or doubled, cut ones, and ones that others sealed."""
    seeded = random.Random(7)  # noqa: S311 — which texts are tried, no secret
    texts = []
    for at in range(len(TEXT) - 1):
        sign = seeded.choice([each for each in string.printable[:95] + "ß\u202e" if each != TEXT[at]])
        texts += [
            f"{TEXT[:at]}{sign}{TEXT[at + 1 :]}",
            f"{TEXT[:at]}{TEXT[at + 1 :]}",
            TEXT[:at],
            TEXT[at + 1 :],
        ]
    lines = TEXT.split("\n")[:-2]
    sets = [
        lines[1:],
        lines[:2],
        lines[:-1],
        [*lines, "more"],
        [lines[0].replace("11 ON", "1 ON"), *lines[1:]],
    ]
    sets += [
        [line.replace("BANK 2 ON none", "BANK 2") for line in lines],
        [*lines[1:3], *lines[4:]],
        lines[::-1],
    ]
    sets += [[line.replace("LEFT", "left") for line in lines], [line.replace("A-D", "A-Z") for line in lines]]
    sets += [
        [line.replace("kBtu/h", "MBH") for line in lines],
        [line.replace("54", "five") for line in lines],
    ]
    sets += [[*lines[:1], lines[1].replace("JOB ML-24", "JOB Größe/7 <b>"), *lines[2:]]]
    return [TEXT, *texts, *(sealed("".join(f"{line}\n" for line in each)) for each in sets)]


def test_the_page_reads_what_the_program_reads_and_refuses_the_rest(phone: Phone, host: Host) -> None:
    """Two readers of one grammar: the same facts, or refused by both, for every text that is tried."""
    opened(phone, host.page())
    texts = changed_texts()
    for text, found in zip(texts, phone.js(READ, texts), strict=True):
        facts = read_placard(text)
        if not isinstance(facts, PlacardFacts):
            assert found == "refused", text
            continue
        seen = json.loads(found)
        assert (seen["box"], seen["revision"], seen["number"], seen["unit"]) == (
            facts.box, facts.revision, facts.number, facts.unit,
        )  # fmt: skip
        assert [
            (each["place"].lower(), each["first"], each["last"], each["banks"]) for each in seen["boards"]
        ] == [(board.place, board.first, board.last, [[*on] for on in board.banks]) for board in facts.boards]
        assert [tuple(port.values()) for port in seen["ports"]] == [
            (port.name, port.load, port.limit) for port in facts.ports
        ]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (fragment(TEXT.replace("11 ON", "10 ON")), "damaged or was altered"),
        (fragment(TEXT)[:-40], "cut short"),
        (fragment(TEXT)[40:], "damaged or was altered"),
        ("%E0%A4%A", "cannot be decoded"),
        ("hello", "cut short"),
        (fragment(sealed("hello\n")), "not the text of a placard"),
        ("x" * 21_000, "longer than any"),
        (
            fragment(sealed(f"BOX \u202eBB-1 REV 2\n{TEXT.split(chr(10), 2)[2]}")),
            "characters that no placard has",
        ),
    ],
)
def test_what_is_wrong_is_refused_loudly(text: str, why: str, phone: Phone, host: Host) -> None:
    """An alert in white on red that fills the page's head; no board and no port beside it."""
    opened(phone, host.page(text))
    said = phone.js(STATE)
    assert said.startswith("DO NOT SET SWITCHES FROM THIS")
    assert why in said
    assert phone.js("return document.querySelectorAll('.board, table').length") == 0
    assert phone.js("return document.querySelector('.refused').getAttribute('role')") == "alert"
    assert phone.driver.title == "Placard – refused"


@pytest.mark.parametrize(
    "number",
    [
        '<img src=x onerror="window.marked=1">',
        "<script>window.marked=1</script>",
        "</main><style>body{display:none}</style>",
        "javascript:window.marked=1",
        "${window.marked=1}",
    ],
)
def test_hostile_text_is_shown_as_text(number: str, phone: Phone, host: Host) -> None:
    """In the job's number, its check sum right: shown word for word, with no element of its own."""
    first, second, rest = TEXT.split("\n", 2)
    body = rest.rpartition("CRC ")[0]
    text = sealed(f"{first}\n{second.replace('ML-24', number)}\n{body}")
    opened(phone, host.page(quote(text)))
    assert f"job {number}" in phone.js(STATE)
    assert phone.js("return typeof window.marked") == "undefined"
    assert phone.js("return document.querySelectorAll('img, main script, main style').length") == 0


def test_nothing_but_its_own_script_may_run(phone: Phone, host: Host) -> None:
    """The page's policy has the digests of its script and style; a script that is put in does not run."""
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', SHIPPED)
    assert policy
    for kind in ("script", "style"):
        (part,) = re.findall(rf"<{kind}>(.*?)</{kind}>", SHIPPED, re.DOTALL)
        digest = base64.b64encode(hashlib.sha256(part.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy[1]
    assert policy[1].startswith("default-src 'none'; ")
    assert "unsafe" not in policy[1]
    opened(phone, host.page(fragment(TEXT)))
    phone.js(
        "const put = document.createElement('script'); put.textContent = 'window.marked = 1';"
        "document.body.append(put);"
    )
    assert phone.js("return typeof window.marked") == "undefined"
    assert any("Content Security Policy" in each for each in phone.errors())


# --- no network ------------------------------------------------------------------------------------------


def kept(phone: Phone) -> str:
    """What the page says of being kept, once it knows."""
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until:
        said = str(phone.js("return document.getElementById('kept').textContent"))
        if "is kept" in said:
            return said
        time.sleep(0.05)
    return said


def test_once_opened_it_opens_without_a_network(phone: Phone, tmp_path: Path) -> None:
    """Its host gone, a code that was never scanned before is drawn: the text was never the host's."""
    with hosted(tmp_path / "pages") as host:
        opened(phone, host.page(fragment(TEXT)))
        assert kept(phone) == "This page is kept on this phone: it opens without a network."
        host.stop()
        job = job_of(replace(filled(8), tag="BB-7")).record()
        opened(phone, host.page(fragment(placard_text(job, first_box(job)))))
        assert phone.js(DRAWN)["box"] == "BB-7"


def test_nothing_is_asked_for_but_the_page_and_its_worker(phone: Phone, tmp_path: Path) -> None:
    """Not even a picture for the tab; no request has anything of the text."""
    with hosted(tmp_path / "pages") as host:
        opened(phone, host.page(fragment(TEXT)))
        kept(phone)
        assert set(host.asked) == {f"/{PAGE}", f"/{WORKER}"}


def test_a_newer_page_is_there_at_the_second_opening(phone: Phone, tmp_path: Path) -> None:
    """The kept one is shown at once, and renewed behind it."""
    with hosted(tmp_path / "pages") as host:
        opened(phone, host.page())
        kept(phone)
        file = host.folder / PAGE
        file.write_text(
            SHIPPED.replace("<title>Placard</title>", '<title>Placard</title><meta name="newer">'),
            encoding="utf-8",
        )
        later = file.stat().st_mtime + 60  # HTTP counts whole seconds: within one, the file is "not modified"
        os.utime(file, (later, later))
        until = time.monotonic() + PATIENCE_SECONDS
        while not phone.js("return document.getElementsByName('newer').length") and time.monotonic() < until:
            opened(phone, host.page())
        assert phone.js("return document.getElementsByName('newer').length") == 1


def test_a_page_that_is_not_kept_says_so(phone: Phone, host: Host, tmp_path: Path) -> None:
    """Where its host is not secure, or has the page alone: it draws, and does not promise."""
    not_kept = "This page is not kept on this phone: without a network it does not open again."
    opened(phone, host.page(fragment(TEXT), name="plain.test"))
    assert phone.js("return [isSecureContext, document.getElementById('kept').textContent]") == [
        False,
        not_kept,
    ]
    assert phone.js(DRAWN)["box"] == "BB-1"
    with hosted(tmp_path / "pages", files=(PAGE,)) as alone:
        opened(phone, alone.page(fragment(TEXT)))
        time.sleep(0.5)
        assert phone.js("return document.getElementById('kept').textContent") == not_kept
        assert phone.js(DRAWN)["box"] == "BB-1"
    phone.errors()  # of the worker that is not there


# --- for every eye and hand ------------------------------------------------------------------------------

STATES = {"drawn": fragment(TEXT), "refused": fragment(TEXT)[:-40], "empty": ""}


@pytest.mark.parametrize("state", STATES)
def test_axe_finds_nothing(state: str, phone: Phone, host: Host) -> None:
    """All rules of axe-core for WCAG 2.2 A and AA and its best practices."""
    opened(phone, host.page(STATES[state]))
    phone.cdp("Runtime.evaluate", expression=AXE)
    found = phone.driver.execute_async_script(
        "axe.run(document, {resultTypes: ['violations', 'incomplete']}).then(arguments[0])"
    )
    assert found["testEngine"]["version"].startswith("4.")
    assert len(found["passes"]) > 10
    assert [(each["id"], each["nodes"]) for each in found["violations"] + found["incomplete"]] == []


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("width", [320, 360, 1280])
def test_nothing_is_cut_at_the_side(state: str, width: int, phone: Phone, host: Host) -> None:
    """WCAG 2.2 criterion 1.4.10 Reflow [memory]: 320 pixels wide, without scrolling sideways."""
    phone.size(width, 740)
    opened(phone, host.page(STATES[state]))
    assert phone.js("return document.documentElement.scrollWidth <= innerWidth") is True


def test_large_letters_are_not_cut(large_phone: Phone, host: Host) -> None:
    """A user's letters of twice the size, on the narrowest phone."""
    large_phone.size(320, 640)
    opened(large_phone, host.page(fragment(TEXT)))
    assert large_phone.js("return document.documentElement.scrollWidth <= innerWidth") is True
    assert large_phone.js("return parseFloat(getComputedStyle(document.body).fontSize)") > 32

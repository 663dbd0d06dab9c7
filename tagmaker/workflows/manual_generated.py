"""The manual's pages that are made from the code: the problem codes and the limits.

`.ci/manual` writes them; a test compares them, so that a page never differs from the constants.
"""

import textwrap
from collections.abc import Iterable

from tagmaker.catalog import family, stock
from tagmaker.files import history, toml
from tagmaker.job import prints, read, systems
from tagmaker.job.schedule import columns, headers, sheet, xlsx_sheet
from tagmaker.plan import response_words
from tagmaker.problems import CODES
from tagmaker.revisions import plan_file, response_file
from tagmaker.sheets import bands
from tagmaker.site.scans import sources
from tagmaker.site.walk import forms, returns
from tagmaker.symbols import read as pictures
from tagmaker.units import DIGITS_AT_MOST
from tagmaker.workflows import edit_boxes, readback_pages
from tagmaker.workflows.schemas import schema

__all__ = ["generated"]

WRAP = textwrap.TextWrapper(98, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False)
MILLION = 1_000_000
Limits = Iterable[tuple[str, list[tuple[str, str]]]]

CODES_HEAD = """\
# What each problem code means

A problem has a severity (error, warning or note), a code, a message, a place and usually a hint. An
error stops `make`; nothing is written. A warning or a note does not.

In a terminal a problem reads `ports.csv:7: error: … [port-overloaded]`. With `--json` it is an
object with the keys `severity`, `code`, `message`, `where` and `hint`.
"""
LIMITS_HEAD = """\
# How large files, jobs and stocks may be

A file is read whole or not at all. A file over a limit is reported and refused. The limits keep a
damaged or hostile file from holding the program up; no real job comes near them.
"""


def generated(more: Limits = ()) -> dict[str, str]:
    """The pages made from the code, by name; `more` are limits of the desk by their headings."""
    limits = [f"## {head}\n\n{_list(rows)}" for head, rows in (*_limits(), *more)]
    return {
        "problem-codes": f"{CODES_HEAD}\n{_list(CODES.items())}",
        "limits": "\n".join([LIMITS_HEAD, *limits]),
    }


def _list(rows: Iterable[tuple[str, str]]) -> str:
    items = (f"- {name if '`' in name or ' ' in name else f'`{name}`'}: {text}" for name, text in rows)
    return "".join(f"{WRAP.fill(item)}\n" for item in items)


def _mb(size: int) -> str:
    return f"{size // MILLION} MB"


def _limits() -> list[tuple[str, list[tuple[str, str]]]]:
    """Every limit under its heading, from the constant where it is defined."""
    return [
        ("Job, family and stock files", _toml_limits()),
        ("Texts of a job file", _text_limits()),
        ("Schedules", _schedule_limits()),
        ("Families, stocks and bands", _catalog_limits()),
        ("Changes of a job in the desk", _change_limits()),
        ("What comes back", _return_limits()),
    ]


def _toml_limits() -> list[tuple[str, str]]:
    return [
        ("a TOML file", _mb(toml.TOML_BYTES_AT_MOST)),
        ("a key", f"{toml.KEY_PARTS_AT_MOST} parts joined with points"),
        ("a number in TOML", f"{toml.NUMBER_DIGITS_AT_MOST} digits"),
        ("a number of a capacity or length", f"{DIGITS_AT_MOST} digits"),
        ("`[[box]]`", f"{read.BOXES_AT_MOST:,}"),
        ("`[[system]]`", f"{systems.SYSTEMS_AT_MOST:,}"),
        ("`[[unit]]` and the rows of all schedules", f"{sheet.ROWS_AT_MOST:,} together"),
        ("any other list of tables", f"{toml.TABLES_AT_MOST}, unless another limit is given here"),
        ("`terminal_pitch`", f"{prints.PITCH_AT_MOST_MM} mm"),
    ]


def _text_limits() -> list[tuple[str, str]]:
    """Each key of a job file whose text is limited, from the reader's own schema."""
    rows: list[tuple[str, str]] = []
    for table, content in _properties(schema("job")).items():
        item = content.get("items")
        for key, kind in _properties(item if isinstance(item, dict) else content).items():
            most = kind.get("maxLength")
            if isinstance(most, int) and most < toml.TEXT_AT_MOST:
                rows.append((f"`[{table}] {key}`", f"{most} characters"))
    return [*rows, ("any other text of a TOML file", f"{toml.TEXT_AT_MOST} characters")]


def _properties(tree: dict[str, object]) -> dict[str, dict[str, object]]:
    found = tree.get("properties")
    return found if isinstance(found, dict) else {}


def _schedule_limits() -> list[tuple[str, str]]:
    merged = f"{xlsx_sheet.MERGES_AT_MOST:,}, over {xlsx_sheet.MERGED_AT_MOST:,} cells"
    return [
        ("a schedule's file", f"{_mb(toml.FILE_BYTES_AT_MOST)}, {sheet.COLUMNS_AT_MOST} columns"),
        ("a CSV file", f"{sheet.ROWS_AT_MOST:,} rows"),
        ("a header", f"in the first {headers.LOOKED_AT} rows"),
        (
            "a header's cell",
            f"{columns.HEADER_AT_MOST} characters, or no unit of measure is looked for in it",
        ),
        ("a workbook", f"{_mb(xlsx_sheet.UNPACKED_AT_MOST)} unpacked, {xlsx_sheet.PARTS_AT_MOST:,} parts"),
        ("the XML elements of a workbook", f"{xlsx_sheet.TAGS_AT_MOST:,}"),
        ("a sheet of a workbook", f"{xlsx_sheet.ROWS_AT_MOST:,} rows"),
        ("all sheets of a workbook", f"{xlsx_sheet.CELLS_AT_MOST:,} cells and rows"),
        ("merged ranges of a workbook", merged),
    ]


def _catalog_limits() -> list[tuple[str, str]]:
    across, side = stock.LABELS_ACROSS_AT_MOST, stock.SIDE_AT_MOST_MM
    banks, switches = family.BANKS_AT_MOST, family.SWITCHES_AT_MOST
    return [
        ("ports of a family, and of a board", str(family.PORT_NAMES_AT_MOST)),
        ("units of a port", str(family.UNITS_AT_MOST)),
        ("banks of a board", f"{banks}, each of {switches} switches"),
        ("labels of a sheet", f"{across} × {across}"),
        ("a page", f"{side:,.0f} mm a side, {stock.DOTS_A_PAGE_AT_MOST // MILLION} million dots"),
        ("dots of a printer", f"{stock.DOTS_AT_MOST} a millimetre"),
        ("bands of one line", str(bands.BANDS_AT_MOST)),
    ]


def _change_limits() -> list[tuple[str, str]]:
    return [
        ("earlier contents kept in `.history`", f"{_mb(history.KEPT_BYTES_AT_MOST)}, the newest"),
        ("changes that can be undone", f"{history.CHANGES_AT_MOST:,}"),
        ("a block of boxes that is pasted", f"{edit_boxes.CELLS_AT_MOST:,} cells"),
    ]


def _return_limits() -> list[tuple[str, str]]:
    photo, line = pictures.PHOTO_PIXELS_AT_MOST, sources.LINES_AT_MOST
    return [
        ("a photo for `scan`", f"{photo // MILLION} million pixels; half of it where it has transparency"),
        ("a PDF for `scan`", f"{_mb(sources.FILE_BYTES_AT_MOST)}, {sources.PAGES_AT_MOST:,} pages"),
        ("lines of text for `scan`", f"{_mb(sources.TEXT_BYTES_AT_MOST)}, {line:,} lines"),
        ("a form for `readback`", f"{_mb(returns.FILE_BYTES_AT_MOST)}, {forms.PAGES_AT_MOST:,} pages"),
        ("a phone's file for `readback`", _mb(returns.JSON_BYTES_AT_MOST)),
        ("a photo for `readback`", f"{_mb(sources.FILE_BYTES_AT_MOST)}, {photo // MILLION} million pixels"),
        (
            "a scan for `readback`",
            f"{_mb(returns.FILE_BYTES_AT_MOST)}, {readback_pages.PAGES_AT_MOST:,} pages",
        ),
        ("a table or log of a response test, a `response.json`", _mb(response_file.BYTES_AT_MOST)),
        ("used ports of a response test", str(response_words.PORTS_AT_MOST)),
        ("a `plan.json` for `--since` or `changes`", _mb(plan_file.BYTES_AT_MOST)),
    ]

"""Schedules written by hand, by openpyxl and by LibreOffice, for the tests of reading them."""

import csv
import io
import subprocess
import zipfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from tagmaker.job.schedule.read import Schedule, read_schedule
from tagmaker.job.schedule.result import Choices
from tagmaker.problems import Problem

Rows = Sequence[Sequence[object]]
Edit = Callable[[Worksheet], None]
HEAD = ("Unit", "Box", "Port", "Cap. (MBH)", "Room")
NONE_CHOSEN = Choices()
FIRST = ("FC-1", "BX-1", "A", 24, "Shop")
NAMESPACE = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
DATE_STYLE = 1  # the style of hand-made workbooks whose number format is a date


def workbook(path: Path, rows: Rows, edit: Edit | None = None, **others: Rows) -> Path:
    """A workbook by openpyxl: the sheet "Ports", changed by `edit`, and other sheets by name."""
    book = Workbook()
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = "Ports"
    for row in rows:
        sheet.append([value if value != "" else None for value in row])
    for name, content in others.items():
        other = book.create_sheet(name)
        for row in content:
            other.append(list(row))
    if edit:
        edit(sheet)
    book.save(path)
    return path


def understood(
    folder: Path, rows: Rows, edit: Edit | None = None, choices: Choices = NONE_CHOSEN, **others: Rows
) -> tuple[Schedule, list[Problem]]:
    """Such a workbook as it is understood."""
    return read_schedule(workbook(folder / "ports.xlsx", rows, edit, **others), "ports.xlsx", choices)


def first_lines(problems: Sequence[Problem]) -> list[str]:
    """Each problem's text without its hint."""
    return [problem.as_text().partition("\n")[0] for problem in problems]


def facts(schedule: Schedule) -> list[tuple[str, str, str, str]]:
    """What the rows say: unit, box, port, capacity."""
    return [
        (row.tag, row.box, row.port, row.capacity.text("kBtu/h") if row.capacity else "")
        for row in schedule.rows
    ]


def passed_over(schedule: Schedule) -> list[tuple[str, str]]:
    """The rows that were passed over, by cell and reason."""
    return [(left.where.cell, left.why) for sheet in schedule.sheets for left in sheet.left]


# --- hand-made workbooks: the least XML that ECMA-376 asks for ----------------------------------------------


def cell(place: str, text: str) -> str:
    """A cell with its text in place."""
    return f'<c r="{place}" t="inlineStr"><is><t>{escape(text)}</t></is></c>'


def handmade(path: Path, sheets: Mapping[str, str], shared: Sequence[str] = (), **parts: str) -> Path:
    """A workbook of sheets by name, each the XML of its rows and what follows; other parts by name."""
    names = list(sheets)
    kinds = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    overrides = [("workbook", "sheet.main"), ("sharedStrings", "sharedStrings"), ("styles", "styles")]
    overrides += [(f"worksheets/sheet{number}", "worksheet") for number in range(1, len(names) + 1)]
    types = "".join(
        f'<Override PartName="/xl/{part}.xml" ContentType="{kinds}.{kind}+xml"/>' for part, kind in overrides
    )
    content = {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f"{types}</Types>",
        "_rels/.rels": _relations([("officeDocument", "xl/workbook.xml")]),
        "xl/workbook.xml": f'<workbook xmlns="{NAMESPACE}" xmlns:r="{RELATIONS}"><sheets>'
        + "".join(
            f'<sheet name="{escape(name)}" sheetId="{number}" r:id="rId{number}"/>'
            for number, name in enumerate(names, start=1)
        )
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": _relations(
            [("worksheet", f"worksheets/sheet{number}.xml") for number in range(1, len(names) + 1)]
            + [("sharedStrings", "sharedStrings.xml"), ("styles", "styles.xml")]
        ),
        "xl/sharedStrings.xml": f'<sst xmlns="{NAMESPACE}">'
        + "".join(f"<si><t>{escape(text)}</t></si>" for text in shared)
        + "</sst>",
        "xl/styles.xml": f'<styleSheet xmlns="{NAMESPACE}"><fonts count="1"><font/></fonts>'
        '<fills count="1"><fill><patternFill/></fill></fills>'
        '<borders count="1"><border/></borders>'
        '<cellStyleXfs count="1"><xf/></cellStyleXfs>'
        '<cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
        "</styleSheet>",
    }
    for number, rows in enumerate(sheets.values(), start=1):
        content[f"xl/worksheets/sheet{number}.xml"] = f'<worksheet xmlns="{NAMESPACE}">{rows}</worksheet>'
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in (content | parts).items():
            packed.writestr(name, f'<?xml version="1.0" encoding="UTF-8"?>{text}')
    return path


def _relations(targets: Sequence[tuple[str, str]]) -> str:
    each = "".join(
        f'<Relationship Id="rId{number}" Type="{RELATIONS}/{kind}" Target="{target}"/>'
        for number, (kind, target) in enumerate(targets, start=1)
    )
    return f'<Relationships xmlns="{PACKAGE}/relationships">{each}</Relationships>'


def handmade_rows(rows: Sequence[Sequence[str]], *, shared: bool) -> tuple[str, list[str]]:
    """The XML of rows of texts, in place or shared, and the shared texts."""
    texts = list(dict.fromkeys(text for row in rows for text in row if text)) if shared else []
    lines: list[str] = []
    for line, row in enumerate(rows, start=1):
        cells = [
            f'<c r="{chr(65 + at)}{line}" t="s"><v>{texts.index(text)}</v></c>'
            if shared
            else cell(f"{chr(65 + at)}{line}", text)
            for at, text in enumerate(row)
            if text
        ]
        lines.append(f'<row r="{line}">{"".join(cells)}</row>')
    return f"<sheetData>{''.join(lines)}</sheetData>", texts


# --- CSV of several countries, and another program's workbooks ----------------------------------------------


def csv_bytes(rows: Sequence[Sequence[str]], sign: str, encoding: str) -> bytes:
    """Rows as a spreadsheet saves them with that sign in that encoding."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=sign, lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode(encoding)


def converted(files: Sequence[Path], kind: str, out: Path, profile: Path, *, infilter: str = "") -> None:
    """Files converted by LibreOffice in one run, with a profile of its own; `infilter`: how CSV is read."""
    how = [f"--infilter={infilter}"] if infilter else []
    subprocess.run(
        ["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless", *how, "--convert-to", kind,
         "--outdir", str(out), *map(str, files)],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip

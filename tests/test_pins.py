"""Libraries whose internals are used are held below their next major version, each for a named reason."""

import importlib
import re
import tomllib
from importlib.metadata import version

import pytest

from tests.paths import ROOT

REASONS = {
    "reportlab": "draw/ writes into PDFDocument's objects, takes TTFont's numbering, TTFontFace's subsets",
    "qrcode": "symbols/qr_modules.py takes qrcode.main's frames and its tables",
    "python-barcode": "symbols/encode.py sets the character set with which Code128 begins",
}
USED = [
    (
        "reportlab.pdfbase.pdfdoc",
        "PDFDocument",
        ("GetPDFData", "Reference", "thisPageName", "updateSignature"),
    ),
    ("reportlab.pdfbase.pdfdoc", "PDFString", ("format",)),
    ("reportlab.pdfbase.ttfonts", "TTFont", ("splitString", "stringWidth")),
    ("reportlab.pdfbase.ttfonts", "TTFontFace", ("makeSubset", "getCharWidth", "get_table")),
    ("reportlab.pdfbase.acroform", "AcroForm", ("checkboxAP", "txAP", "makeFont", "getRefStr", "varyColors")),
    ("qrcode.main", "QRCode", ("map_data", "makeImpl", "setup_type_info")),
    ("qrcode.base", "Polynomial", ("__mod__", "__mul__")),
    ("barcode.codex", "Code128", ("build", "_build")),
]


def requirement(package: str) -> re.Match[str]:
    """A package's least version and the one that it must be below."""
    lines = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    (line,) = (line for line in lines if re.split("[<>=]", line)[0] == package)
    found = re.fullmatch(rf"{package}>=(?P<least>[\d.]+),<(?P<below>\d+)", line)
    assert found, f"{line}: pin it below its next major version, because {REASONS[package]}"
    return found


@pytest.mark.parametrize("package", REASONS)
def test_what_rests_on_internals_is_held_below_the_next_major_version(package: str) -> None:
    """The next one may change them without notice: whoever raises the bound looks at the reason first."""
    found = requirement(package)
    installed = int(version(package).split(".")[0])
    assert int(found["least"].split(".")[0]) <= installed
    assert int(found["below"]) == installed + 1


@pytest.mark.parametrize(("module", "name", "members"), USED)
def test_the_internals_are_there(module: str, name: str, members: tuple[str, ...]) -> None:
    """Within the pinned versions too, what is used has its name."""
    thing = getattr(importlib.import_module(module), name)
    assert [member for member in members if not hasattr(thing, member)] == []

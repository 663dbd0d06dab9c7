"""A PDF that opens without a password, and may not be changed, as one that may.

pdfium decrypts what needs no password. It is used here since it is at hand for rasters; pypdf would need a
package of ciphers for it.
"""

import io
from contextlib import closing

from tagmaker.symbols.read import PDFIUM

__all__ = ["unlocked"]


def unlocked(pdf: bytes) -> bytes:
    """The same document without encryption; empty where a password is needed to open it."""
    import pypdfium2  # noqa: PLC0415 — heavy, needed for few files only

    out = io.BytesIO()
    try:
        with PDFIUM, closing(pypdfium2.PdfDocument(pdf)) as document:
            document.save(out, flags=pypdfium2.raw.FPDF_REMOVE_SECURITY)
    except pypdfium2.PdfiumError:
        return b""
    return out.getvalue()

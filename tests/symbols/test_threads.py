"""Pictures of pages asked for by several threads at once, as the desk's pages do."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tagmaker.symbols.png import page_pngs
from tagmaker.symbols.unlock import unlocked
from tagmaker.workflows.make import make
from tests.paths import EXAMPLES
from tests.workflows.jobs import UNPROVED


def test_threads_get_the_pictures_that_one_alone_gets(tmp_path: Path) -> None:
    """Each page is drawn by one thread at a time: pdfium is made for that."""
    make(EXAMPLES / "bakery", tmp_path / "out", UNPROVED)
    pdfs = [path.read_bytes() for path in sorted((tmp_path / "out").glob("*.pdf"))]

    def picture(pdf: bytes) -> bytes:
        return next(page_pngs(unlocked(pdf), 72, one_bit=False))

    alone = [picture(pdf) for pdf in pdfs]
    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(picture, pdfs * 12)) == alone * 12

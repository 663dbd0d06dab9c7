"""The stocks that a job may name for a use: each tried on all of the job's tags, with what then is wrong.

The stages: plan → put a stock in place of the present one → fit every tag of the use → the checks of `make`.
A stock fits where they find no error; the problems are those that `check` would report with it.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from tagmaker.catalog.folders import names
from tagmaker.catalog.stock import Stock, Use, load_stock
from tagmaker.catalog.words import Words, load_words
from tagmaker.draw.marks import Page
from tagmaker.draw.pdf import draw_pdf
from tagmaker.files.toml import Table, TomlFile, read_toml
from tagmaker.job.choices import job_file
from tagmaker.job.model import Job
from tagmaker.job.prints import prints_with
from tagmaker.plan.model import BoxPlan
from tagmaker.plan.systems import SystemPlan
from tagmaker.problems import Problem, Where, has_errors
from tagmaker.sheets.box import fit_tag
from tagmaker.sheets.checks import Alike, check_letters, check_placards, check_sides, check_stocks
from tagmaker.sheets.isolation_list import check_isolation
from tagmaker.sheets.label import FittedLabel
from tagmaker.sheets.label_cache import fit_cached
from tagmaker.sheets.label_needs import widest_of
from tagmaker.sheets.placard import placard_pages
from tagmaker.sheets.sample import label_picture, sample_label
from tagmaker.sheets.sign import check_signs, sign_pages
from tagmaker.symbols.png import page_pngs
from tagmaker.tags.kits import box_tags
from tagmaker.tags.model import Stage, Tag
from tagmaker.typeset.fonts import all_faces
from tagmaker.workflows.layout import Progress
from tagmaker.workflows.planning import in_order, plan
from tagmaker.workflows.stocks import StockOutline, stock_outline

__all__ = ["StockChoice", "StockTried", "named_stocks", "stock_choice"]

Fitted = tuple[FittedLabel | None, tuple[Problem, ...]]
ERRORS_SHOWN = 3  # of a stock that does not fit: the other tags of the job are not tried then
LABEL_DPI, PAGE_DPI = 203.2, 101.6  # of pictures: 8 and 4 dots a millimetre


class StockTried(Struct, frozen=True):
    """A stock tried on a job: what [print] would name ("" = nothing), the problems that it would have.

    `picture` is a PNG of `picture_mm`: the job's first tag of the use on it, or its first placard page; a
    sample, or the outline alone, where no tag of the job fits. `is_present` marks the stock in use.
    """

    key: str
    stock: StockOutline
    is_present: bool
    problems: tuple[Problem, ...]
    picture: bytes
    picture_mm: tuple[float, float]

    @property
    def fits(self) -> bool:
        """Whether `make` would print on it."""
        return not has_errors(self.problems)


class StockChoice(Struct, frozen=True):
    """All stocks that suit a use, the present one first, then those that fit; and problems of stock files."""

    use: Use
    stocks: tuple[StockTried, ...]
    problems: tuple[Problem, ...] = ()


def named_stocks(file: TomlFile) -> Mapping[str, object]:
    """What a job's [print] names, whatever it is."""
    return Table.whole(file, []).table("print").content


def stock_choice(path: Path, use: Use, progress: Progress = lambda _done, _of: None) -> StockChoice:
    """Every stock that suits a use, tried on the job; `progress(done, of)` counts stocks."""
    checked = plan(path)
    file = read_toml(job_file(path), job_file(path).name)
    if checked.plan is None or isinstance(file, Problem):
        return StockChoice(use, (), checked.problems)
    job, words = checked.plan.job, load_words()
    loaded = [load_stock(name, "", job.folder, Where(name)) for name in names("stocks", job.folder)]
    keys = ["", *(stock.name for stock, _ in loaded if stock and use in stock.suits)]
    boxes = checked.plan.boxes
    widest = widest_of((box.shown for box in job.boxes), (unit.tag for unit in job.units))
    fit = partial(fit_cached, words=words, widest=widest)
    trial = _Trial(
        job, boxes, file, use, words, fit, str(named_stocks(file).get(use, "")), checked.plan.systems
    )
    tried: list[StockTried] = []
    for number, key in enumerate(keys, start=1):
        found = trial.tried(key)
        tried += [found] if found else []
        progress(number, len(keys))
    tried.sort(key=lambda each: (not each.is_present, not each.fits))
    broken = tuple(problem for _, found_in_file in loaded for problem in found_in_file)
    return StockChoice(use, tuple(tried), broken)


class _Trial(Struct, frozen=True):
    """A job whose tags of one use are put on one stock after the other; `tags` are made once."""

    job: Job
    boxes: tuple[BoxPlan, ...]
    file: TomlFile
    use: Use
    words: Words
    fit: Callable[..., Fitted]
    named: str
    systems: tuple[SystemPlan, ...] = ()
    tags: list[Tag] = []

    @property
    def stage(self) -> Literal[Stage, ""]:
        """At which stage the tags of the use are printed."""
        return "rough-in" if self.use == "pipe_rough_in" else ""

    def tried(self, key: str) -> StockTried | None:
        """A stock as the job would have it under this key; None where nothing is printed without one."""
        prints, problems = prints_with(self.file, self.job.folder, self.use, key)
        stock = prints.stocks.get(self.use)
        if stock is None:
            return None
        job = replace(self.job, prints=prints)
        if has_errors(problems):
            picture = label_picture(stock, sample_label(stock, self.words, self.use))
        elif self.use == "placard":
            picture, found = self._placards(job, stock)
            problems += found
        elif self.use == "sign":
            pages, found = sign_pages(job, self.systems, stock, self.words)
            found += check_signs(job, self.systems)
            picture = pages[0] if pages else Page(*stock.page, ())
            problems += found
        else:
            label, found = self._labels(job)
            found += check_isolation(job) if self.use == "isolation" else ()
            problems += found
            picture = label_picture(stock, label or sample_label(stock, self.words, self.use))
        return StockTried(
            key=key,
            stock=stock_outline(stock, self.words),
            is_present=key == self.named,
            problems=in_order(problems),
            picture=_png(picture, PAGE_DPI if self.use in {"placard", "sign"} else LABEL_DPI),
            picture_mm=(picture.width, picture.height),
        )

    def _tags(self, job: Job) -> Iterator[Tag]:
        """The job's tags of the use."""
        for box in self.boxes:
            tags = box_tags(job, box, self.words, self.stage)
            yield from (tag for tag in tags if tag.stock_use == self.use)

    def _labels(self, job: Job) -> tuple[FittedLabel | None, list[Problem]]:
        """Every tag fitted; gives the first label, and what `check` would report of them."""
        if not self.tags:
            self.tags.extend(self._tags(job))
        first: FittedLabel | None = None
        labels = Alike()
        errors: list[Problem] = []
        for tag in self.tags:
            label, found = fit_tag(job, tag, partial(self.fit, finish="none" if first else "marks"))
            first = first or label
            if label:
                labels.add(label)
            errors += found
            if len(errors) >= ERRORS_SHOWN:
                break
        if errors:
            return first, errors
        stocks = job.prints.stocks
        checks = (
            check_letters(labels, stocks, job.folder),
            check_stocks(labels.tags(), stocks),
            check_sides(labels.tags(), stocks),
        )
        return first, [problem for check in checks for problem in check]

    def _placards(self, job: Job, stock: Stock) -> tuple[Page, list[Problem]]:
        """Every box's placard; gives the first page, and what `check` would report of them."""
        errors: list[Problem] = []
        first: list[Page] = []

        def laid_out() -> Iterator[tuple[Page, ...]]:
            for box in self.boxes:
                pages, found = placard_pages(job, box, stock, self.words)
                errors.extend(found)
                first.extend(pages[:1] if not first else ())
                yield pages
                if len(errors) >= ERRORS_SHOWN:
                    return

        low = list(check_placards(laid_out(), job))
        return first[0] if first else Page(*stock.page, ()), errors or low


def _png(page: Page, dpi: float) -> bytes:
    """A page as a picture."""
    return next(page_pngs(draw_pdf("", "", [page], all_faces()), dpi, one_bit=False))

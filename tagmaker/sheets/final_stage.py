"""What the final stage reports of the pipes' stock: its tags go over the insulation.

Takes a job and what is printed of it; gives at most one warning, with the stocks that wrap every pipe of the
job whose diameters are given.
"""

from collections.abc import Iterator

from tagmaker.catalog.stock import Stock
from tagmaker.job.model import Job
from tagmaker.problems import Problem, Where, warning
from tagmaker.revisions.selection import Selection
from tagmaker.sheets.checks import every_stock
from tagmaker.sheets.media import misfit
from tagmaker.tags.model import PIPES, OutsideDiameter
from tagmaker.tags.outside_diameter import outside_diameter, over

__all__ = ["check_final_stage"]


def check_final_stage(job: Job, selection: Selection) -> Iterator[Problem]:
    """A warning where the pipes' tags are no tags for insulation.

    What is printed since an earlier set is not judged: tags that changed are printed, tied on or not.
    """
    if selection.stage != "final" or selection.kit == "cables" or selection.baseline:
        return
    stock, pipes = job.prints.stocks["pipe"], _pipes(job)
    where, hint = Where(job.where.file), _hint(job, pipes)
    if job.prints.keeps_tied_on:
        message = (
            f"no pipe tags are printed: those on {stock.name} are tie-on tags, the same as at the rough-in, "
            "and stay on their pipes"
        )
        yield warning("stock-unsuited", message, where, hint)
    elif stock.shape == "tie-on":
        message = f"pipe tags on {stock.name} are tie-on tags: they do not go over the insulation"
        yield warning("stock-unsuited", message, where, hint)
    elif stock.shape == "label" and stock.elastomeric == "no" and not pipes:
        message = f"pipe tags on {stock.name} go over insulation, and it does not stick to elastomeric foam"
        yield warning("stock-drops-off", message, where, hint)


def _pipes(job: Job) -> set[OutsideDiameter]:
    """What the job's pipes measure over their insulation, as far as it is given."""
    found = {outside_diameter(kind, (unit,), bare=False) for unit in job.units for kind in PIPES}
    for mains in (box.mains for box in job.boxes if box.mains):
        found |= {over(tube, mains.insulation) for tube in mains.tubes.values()}
    return {outside for outside in found if outside}


def _hint(job: Job, pipes: set[OutsideDiameter]) -> str:
    """The wraps and flags to name, in words."""
    if not pipes:
        return "give the diameters and the insulation, and name a wrap or flag in [print] pipe"
    fitting = [stock.name for stock in every_stock(job.folder) if _goes_over(stock, pipes)]
    if not fitting:
        return "no wrap or flag fits all pipes: name one of your own in [print] pipe"
    return f"to label the insulation name in [print] pipe one of: {', '.join(fitting)}"


def _goes_over(stock: Stock, pipes: set[OutsideDiameter]) -> bool:
    """Whether a stock wraps the insulation of every one of these pipes, and lasts there."""
    is_wrapped = stock.shape in {"wrap", "flag"} and "pipe" in stock.suits and stock.is_lasting
    return is_wrapped and all(misfit(outside, stock) is None for outside in pipes)

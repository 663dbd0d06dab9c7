"""The paper of a job's full pages: a printer is loaded with one size, so all of a job's sheets share it."""

from tagmaker.job.model import Job

__all__ = ["A4", "LETTER", "paper_size"]

LETTER = (215.9, 279.4)  # ASME Y14.1 size A
A4 = (210.0, 297.0)  # ISO 216


def paper_size(job: Job) -> tuple[float, float]:
    """The paper that the job's other sheets use: A4 where its placards or labels do, else letter."""
    return A4 if any(sorted(stock.page) == sorted(A4) for stock in job.prints.stocks.values()) else LETTER

"""Where the checkout and its example jobs are."""

from pathlib import Path

__all__ = ["EXAMPLES", "ROOT"]

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ROOT / "example_jobs"

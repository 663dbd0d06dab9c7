"""What axe-core finds on the page that a browser shows: rules of WCAG 2.0 to 2.2, levels A and AA."""

from importlib.util import find_spec
from pathlib import Path
from typing import Any

from selenium.webdriver import Chrome

__all__ = ["axe_findings"]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RUN = """
const [rules, done] = arguments;
axe.run(document, { runOnly: rules }).then(
  (found) => done(found.violations), (reason) => done([{ id: String(reason) }]),
);
"""


def _script() -> str:
    """axe-core itself, as a package of the dev extra ships it."""
    spec = find_spec("axe_playwright_python")
    assert spec
    assert spec.origin
    return (Path(spec.origin).parent / "axe.min.js").read_text(encoding="utf-8")


def axe_findings(driver: Chrome) -> list[str]:
    """A line for each element that breaks a rule; none on a page that is accessible as far as axe can see.

    DevTools runs the script: the page's own policy allows none that the desk does not serve.
    """
    driver.execute_script(_script())
    found: list[dict[str, Any]] = driver.execute_async_script(RUN, RULES)
    return [f"{each['id']}: {node['html']}" for each in found for node in each.get("nodes", [{"html": ""}])]

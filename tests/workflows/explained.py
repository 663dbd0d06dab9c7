"""Explanations for tests: of a shipped family, without a problem."""

from tagmaker.workflows.explain import Explained, Question, explain

__all__ = ["FAMILY", "explained"]

FAMILY = "four-port-boards"


def explained(ports: int, found: str, wish: str = "") -> Explained:
    """An explanation that must be one."""
    answer = explain(Question(FAMILY, ports, found, wish))
    assert answer.problems == ()
    return answer

"""A project worked out whole, with a memory of its own."""

from pondkit import Project, evaluate
from pondkit.core.remembered import Memory
from pondkit.study.evaluate import Results


def asked(project: Project, memory: Memory) -> Results:
    """Every figure and problem of a project, worked out with ``memory``."""
    with memory:
        results = evaluate(project)
        for option in results.options:
            assert option.problems is not None and list(option.entries()) is not None
    return results

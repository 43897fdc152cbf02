"""Every check here names its source and how well it is known; `tests/conftest.py` prints the count at the end."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from benchtrail.domain.answer import Mark

WORDS: dict[Mark, str] = {
    "published": "published, read in the original",
    "restated": "published, read in a restatement",
    "library": "library",
    "arithmetic": "arithmetic",
    "practice": "common practice, no source",
    "memory": "from memory",
}
SOURCE = "reference_source"


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "source(mark, name): where the expected value of a reference check comes from")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.parent.name == "reference" and item.get_closest_marker("source") is None:
            raise pytest.UsageError(f"{item.nodeid} names no source: mark it with pytest.mark.source(mark, name)")


@pytest.fixture(autouse=True)
def _say_source(request: pytest.FixtureRequest, record_property: Callable[[str, object], None]) -> None:
    """Written into the test's report, which also comes back from another process."""
    marker = request.node.get_closest_marker("source")
    if marker is not None:
        mark, name = marker.args
        record_property(SOURCE, (WORDS[mark], name))

"""Every check here names its source and how well it is known; the count is printed at the end, by mark and source."""

from __future__ import annotations

from collections import Counter

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
_counted: pytest.StashKey[Counter[tuple[str, str]]] = pytest.StashKey()


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "source(mark, name): where the expected value of a reference check comes from")
    config.stash[_counted] = Counter()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.parent.name == "reference" and item.get_closest_marker("source") is None:
            raise pytest.UsageError(f"{item.nodeid} names no source: mark it with pytest.mark.source(mark, name)")


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item: pytest.Item) -> None:
    marker = item.get_closest_marker("source")
    if marker is not None and item.path.parent.name == "reference":
        mark, name = marker.args
        item.config.stash[_counted][(WORDS[mark], name)] += 1


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    counted = config.stash.get(_counted, Counter())
    if not counted:
        return
    terminalreporter.section("reference checks by mark and source")
    for mark in WORDS.values():
        rows = sorted((name, count) for (word, name), count in counted.items() if word == mark)
        if rows:
            terminalreporter.line(f"{sum(count for _, count in rows):4} {mark}")
            for name, count in rows:
                terminalreporter.line(f"     {count:4} {name}")

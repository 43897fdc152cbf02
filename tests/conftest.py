"""What every run says at its end: the reference checks, by mark and source, gathered from all test processes."""

from __future__ import annotations

from collections import Counter

import pytest
from tests.reference.conftest import SOURCE, WORDS


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    counted = Counter(
        tuple(value)
        for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed")
        if report.when == "call"
        for key, value in report.user_properties
        if key == SOURCE
    )
    if not counted:
        return
    terminalreporter.section("reference checks by mark and source")
    for mark in WORDS.values():
        rows = sorted((name, count) for (word, name), count in counted.items() if word == mark)
        if rows:
            terminalreporter.line(f"{sum(count for _, count in rows):4} {mark}")
            for name, count in rows:
                terminalreporter.line(f"     {count:4} {name}")

"""What a checker finds, as data. Knows severities and their order; nothing of wording or files' content."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import IntEnum


class Severity(IntEnum):
    """How bad a finding is: BLOCK may injure, ERROR is wrong, WARNING needs a reason, NOTE is advice."""

    NOTE = 0
    WARNING = 1
    ERROR = 2
    BLOCK = 3


@dataclass(frozen=True)
class Where:
    """A place in a dealer's text: file as given, line from 1, and the step id if the place is in one."""

    file: str
    line: int
    step: str | None = None


@dataclass(frozen=True)
class Finding:
    """One finding. `check` is the id of the check (M1 … E6, or R for reading); `values` fill the message;
    `variants` says in which variants it occurs, in words, None for all; `reason` why an author lets a warning stand."""

    code: str
    severity: Severity
    where: Where
    check: str = "R"
    values: dict[str, object] = field(default_factory=dict)
    variants: str | None = None
    reason: str | None = None


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """The findings, worst first, then by file, line and code."""
    return sorted(findings, key=lambda f: (-f.severity, f.where.file, f.where.line, f.code))


def blocks_publishing(findings: Iterable[Finding]) -> bool:
    """True if any finding is BLOCK or ERROR, or a WARNING for which no reason is kept."""
    return any(f.severity >= Severity.ERROR or lacks_reason(f) for f in findings)


def lacks_reason(finding: Finding) -> bool:
    """True for a WARNING that nobody has given a reason for."""
    return finding.severity is Severity.WARNING and not finding.reason

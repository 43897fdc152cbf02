"""Collects what is found while one text is read: findings, the line of every object, objects that could not be read.

Knows places in a text; nothing of the format itself.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches

from benchtrail.domain.findings import Finding, Severity, Where


class Misread(Exception):
    """One value that cannot be taken; becomes a finding at `line`. Values are given as a mapping, by name or both."""

    def __init__(self, code: str, line: int, values: Mapping[str, object] | None = None, **more: object) -> None:
        super().__init__(code, line)
        self.code = code
        self.line = line
        self.values = {**(values or {}), **more}


@dataclass
class Notes:
    """What is known of one text while and after it is read.

    `lines`: `table.id` and `table.id.key` → line. `broken`: the same paths, where something could not be read.
    `step`, `what`, `key`: what is being read.
    """

    file: str
    findings: list[Finding] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    broken: set[str] = field(default_factory=set)
    step: str | None = None
    what: str = "the file"
    key: str = ""

    def add(self, code: str, line: int, values: Mapping[str, object] | None = None, check: str = "R",
            severity: Severity = Severity.ERROR, **more: object) -> None:
        """Adds a finding at a line, in the step that is being read; values as in `Misread`."""
        self.findings.append(Finding(code, severity, Where(self.file, line, self.step), check,
                                     {**(values or {}), **more}))

    def add_misread(self, misread: Misread) -> None:
        """Adds a value that could not be taken, with the key being read and of what it is."""
        self.add(misread.code, misread.line, {"key": self.key, "what": self.what} | misread.values)

    def where(self, *paths: str, step: str | None = None) -> Where:
        """The place of the first of `paths` whose line is known, else the beginning of the file."""
        line = next((self.lines[path] for path in paths if path in self.lines), 1)
        return Where(self.file, line, step)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was probably meant to be; None when none is near."""
    matches = get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return matches[0] if matches else None


def meant(word: str, known: Iterable[str]) -> str:
    """A clause for a message: which known word may be meant, else which there are."""
    words = sorted(known)
    near = nearest(word, words)
    if near:
        return f"“{near}” may be meant."
    listed = ", ".join(words[:12]) + (" …" if len(words) > 12 else "")
    return f"Known are: {listed}." if words else "None is known here."

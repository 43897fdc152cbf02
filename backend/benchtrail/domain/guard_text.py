"""Reads guards as a dealer writes them: `year >= 2024 and not (kick_start or skid_plate)`.

Knows the grammar (shared/README.md §2) and its compiled form; nothing of a model's years and options.
"""

import re
from collections.abc import Iterator

from benchtrail.domain.guards import COMPARISONS, Guard
from benchtrail.domain.refused import Refused

LONGEST_GUARD = 300
DEEPEST_GUARD = 20
_TOKEN = re.compile(r"\s*(?:([A-Za-z_][A-Za-z0-9_]*)|([0-9]{1,9})|(<=|>=|==|!=|[<>=≤≥()])|(\S))")
_ALIKE = {"==": "=", "≤": "<=", "≥": ">="}


def parse_guard(text: str) -> Guard:
    """The compiled guard; None for the word `all`.

    Raises Refused: guard_unreadable (values written, at), guard_too_long.
    """
    if len(text) > LONGEST_GUARD:
        raise Refused("guard_too_long", limit=LONGEST_GUARD)
    tokens = [_ALIKE.get(token, token) for token in _tokens(text)]
    if tokens == ["all"]:
        return None
    reader = _Reader(text, tokens)
    guard = reader.either(0)
    if not reader.at_end():
        raise reader.refusal()
    return guard


def _tokens(text: str) -> Iterator[str]:
    for match in _TOKEN.finditer(text):
        yield next(group for group in match.groups() if group is not None)


class _Reader:
    """Recursive descent: either = both {or both}; both = single {and single}; single = not, brackets, year, option."""

    def __init__(self, text: str, tokens: list[str]) -> None:
        self.text, self.tokens, self.next = text, tokens, 0

    def at_end(self) -> bool:
        return self.next == len(self.tokens)

    def refusal(self) -> Refused:
        at = "its end" if self.at_end() else f"“{self.tokens[self.next]}”"
        return Refused("guard_unreadable", written=self.text, at=at)

    def take(self) -> str:
        if self.at_end():
            raise self.refusal()
        self.next += 1
        return self.tokens[self.next - 1]

    def follows(self, word: str) -> bool:
        """Takes the next token if it is `word`."""
        if self.at_end() or self.tokens[self.next] != word:
            return False
        self.next += 1
        return True

    def either(self, depth: int) -> Guard:
        parts = [self.both(depth)]
        while self.follows("or"):
            parts.append(self.both(depth))
        return parts[0] if len(parts) == 1 else ["any", *parts]

    def both(self, depth: int) -> Guard:
        parts = [self.single(depth)]
        while self.follows("and"):
            parts.append(self.single(depth))
        return parts[0] if len(parts) == 1 else ["all", *parts]

    def single(self, depth: int) -> Guard:
        if depth >= DEEPEST_GUARD:
            raise self.refusal()
        if self.follows("not"):
            return ["not", self.single(depth + 1)]
        if self.follows("("):
            inner = self.either(depth + 1)
            if not self.follows(")"):
                raise self.refusal()
            return inner
        return self.year() if self.follows("year") else self.option()

    def year(self) -> Guard:
        sign = self.take()
        number = self.take() if sign in COMPARISONS else ""
        if not number.isdigit():
            self.next -= 1
            raise self.refusal()
        return ["year", sign, int(number)]

    def option(self) -> Guard:
        word = self.take()
        if not re.fullmatch("[a-z][a-z0-9_]*", word) or word in ("and", "or", "all", "year"):
            self.next -= 1
            raise self.refusal()
        return ["option", word]

"""Merges two texts that began as one: piece by piece, and what both changed is left for a person to choose.

Knows pieces (text_pieces.py); nothing of what stands in them. Source of the rule: the usual merge of three versions; our own derivation.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from benchtrail.domain.text_pieces import Piece


@dataclass(frozen=True)
class Choice:
    """A piece that both changed; None: it is not there."""

    name: str
    base: str | None
    mine: str | None
    theirs: str | None


@dataclass(frozen=True)
class Merged:
    """The merged pieces in their order; None for `parts` when both put the pieces in another order."""

    parts: list[Piece | Choice] | None

    @property
    def text(self) -> str | None:
        """The merged text; None when something is left to choose."""
        parts = self.parts
        if parts is None or any(isinstance(part, Choice) for part in parts):
            return None
        return join_pieces([part.text for part in parts if isinstance(part, Piece)])


def join_pieces(texts: Sequence[str]) -> str:
    """The pieces as one text; a line that was the last one gets its end."""
    ended = [text if text.endswith(("\n", "\r")) or not text else text + "\n" for text in texts[:-1]]
    return "".join([*ended, *texts[-1:]])


def merge_pieces(base: Sequence[Piece], mine: Sequence[Piece], theirs: Sequence[Piece]) -> Merged:
    """The merge of `mine` and `theirs`, both made from `base`. What only one side changed, added or removed is taken."""
    before, ours, other = ({piece.name: piece.text for piece in side} for side in (base, mine, theirs))
    order = _order(before, ours, other)
    if order is None:
        return Merged(None)
    decided = [_decide(name, before.get(name), ours.get(name), other.get(name)) for name in order]
    return Merged([part for part in decided if part is not None])


def _decide(name: str, base: str | None, mine: str | None, theirs: str | None) -> Piece | Choice | None:
    taken = theirs if mine == base else mine
    if mine not in (base, theirs) and theirs != base:
        return Choice(name, base, mine, theirs)
    return None if taken is None else Piece(name, taken)


def _order(base: Mapping[str, str], mine: Mapping[str, str], theirs: Mapping[str, str]) -> list[str] | None:
    """All names in the order of the side that moved something, with what the other side added behind its neighbour."""
    common = [name for name in base if name in mine and name in theirs]
    kept_mine = [name for name in mine if name in common]
    kept_theirs = [name for name in theirs if name in common]
    if kept_mine not in (common, kept_theirs) and kept_theirs != common:
        return None
    first, second = (theirs, mine) if kept_mine == common else (mine, theirs)
    order = list(first)
    for name, above in zip(second, [None, *second], strict=False):
        if name not in first:
            order.insert(order.index(above) + 1 if above in order else 0, name)
    return order

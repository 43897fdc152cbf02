"""What a new draft changes, as lines for a terminal. Knows the differences of services/redraft.py; decides nothing."""

from collections.abc import Iterator, Sequence

from benchtrail.domain.planning.draft_again import HEAD
from benchtrail.services.redraft import Difference

WORDS = {
    "new": "+ {step}: new step: {drafted}",
    "gone": "- {step}: the map asks for it no more: {yours}",
    "kept": "! {step}: the map asks for it no more; yours stays, for it was edited: {yours}",
    "taken": "~ {step}, {field}: {yours}  →  {drafted}",
    "both": "! {step}, {field}: yours stays: {yours}  |  drafted now: {drafted}",
    "left_out": "! {step}: you took it out and it stays out; drafted now: {drafted}",
    "moved": "~ {step}: stands elsewhere now",
    "order": "! The order of the draft has changed and so has yours: yours stays.",
}


def difference_lines(differences: Sequence[Difference]) -> Iterator[str]:
    """One line for each difference, and one that counts them."""
    if not differences:
        yield "Nothing changes: the draft of today says what it said when this was drafted."
        return
    for one in differences:
        step = "the head" if one.step == HEAD else one.step
        yield WORDS[one.kind].format(step=step, field=one.field, yours=one.yours or "nothing", drafted=one.drafted or "nothing")
    asking = sum(WORDS[one.kind].startswith("!") for one in differences)
    yield f"{len(differences)} difference{'' if len(differences) == 1 else 's'}; {asking} for you to look at (marked !)."

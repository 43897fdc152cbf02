"""The steps of a drafted procedure in one variant: prepare, strip, look, rebuild, fill, check.

Knows the order of the writers; how variants are put together is in draft_merge.py.
"""

from benchtrail.domain.planning.draft_covers import cover_openings
from benchtrail.domain.planning.draft_rebuild import write_rebuild
from benchtrail.domain.planning.draft_steps import Draftsman, Phrases
from benchtrail.domain.planning.draft_strip import write_looks, write_strip
from benchtrail.domain.planning.needs import Literal
from benchtrail.domain.planning.plan import Plan
from benchtrail.domain.planning.rebuild import loose_parts, rebuild_of


def drafted_steps(plan: Plan, start: list[Literal], phrases: Phrases) -> Draftsman:
    """All steps for one plan, with the draftsman who wrote them. `phrases`: words that a person wrote for an act before."""
    man = Draftsman(plan, start, phrases)
    loose = [part for part in loose_parts(plan) if _takes_out(plan, part)]
    left = write_strip(man, loose)
    write_looks(man)
    taken = sorted(set(loose) - set(left), key=lambda part: man.state["touched"][f"out {part}"])
    write_rebuild(man, rebuild_of(plan, taken))
    cover_openings(man)
    return man


def _takes_out(plan: Plan, part: str) -> bool:
    """A loose part comes out, unless it is one to be looked at where it lies."""
    return bool(plan.machine["parts"][part]["renew"] != "inspect")

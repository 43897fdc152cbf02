"""From any place in a job the shortest way to a machine that can be left standing, and to one that can be pushed: some steps
further, back by making good what speaks against it, or part of each.

Knows the pack for one variant, which steps are done, and `standing`. Every way is played through before it is told.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any, NamedTuple, TypedDict

from benchtrail.domain.bench_state import BenchState, Pack, apply_step, apply_steps
from benchtrail.domain.making_good import Action, Bench, Judge, time_of
from benchtrail.domain.ready_for_step import make_ready
from benchtrail.domain.standing import NO_DOUBTS, Doubts, Row, Standing, heat_after, holds, is_hot, may_be_left, may_be_pushed

LEAVE, PUSH = "leave", "push"
KINDS = ("on", "back", "mixed")
Step = Mapping[str, Any]


class Way(TypedDict):
    """`rows` in the order in which they are done: `{verb: "do", object: step, steps: [step]}`, or an act that makes good with
    the steps that tell how; minutes of the steps that state a time, and how many rows state none."""

    rows: list[Action]
    minutes: float
    untimed: int
    see_to: list[Row]


class WayOut(TypedDict):
    """`now`: holds as it is. `on`: steps alone; `back`: acts alone; None when there is no such way. `mixed`: steps and acts,
    told only when it is shorter than both. `shorter`: now, on, back, mixed or None."""

    now: bool
    against: list[Row]
    unknown: list[Row]
    see_to: list[Row]
    on: Way | None
    back: Way | None
    mixed: Way | None
    shorter: str | None


def way_out(pack: Pack, done: Collection[str], doubts: Doubts = NO_DOUBTS) -> dict[str, WayOut]:
    """`{leave, push}`, each the way out from where the job stands. `done`: ids of the steps that are done.

    A way is any number of the next steps, and before, between and after them the acts that make good. A way is longer than
    another that has no more minutes and no more rows without a time; of those left the shortest has the fewest rows.
    Source: our own rules, see vectors way-out. Stops being true when something was done that no step tells.
    """
    return {aim: _way_out(pack, done, doubts, aim) for aim in (LEAVE, PUSH)}


def _way_out(pack: Pack, done: Collection[str], doubts: Doubts, aim: str) -> WayOut:
    def judge(state: BenchState, hot: bool | None) -> Standing:
        return may_be_left(pack, state, hot, doubts) if aim == LEAVE else may_be_pushed(pack, state, doubts)

    start = Bench(pack, apply_steps(pack, done), is_hot(pack, [step for step in pack["steps"] if step["id"] in done]))
    now = judge(start.state, start.hot)
    if holds(now):
        return {"now": True, **now, "on": None, "back": None, "mixed": None, "shorter": "now"}
    found = _ways(pack, start, done, doubts, judge)
    best = _shortest(found)
    on, back = (_shortest([way for way in found if way.kind == kind]) for kind in ("on", "back"))
    mixed = best if best and best.kind == "mixed" else None
    return {"now": False, **now, "on": on and on.way, "back": back and back.way, "mixed": mixed and mixed.way,
            "shorter": best and best.kind}


class _Found(NamedTuple):
    """A way with its kind and its time in hundredths of a minute."""

    kind: str
    untimed: int
    hundredths: int
    way: Way


def _shortest(ways: Sequence[_Found]) -> _Found | None:
    """Of the ways that no other is quicker than, the one with the fewest rows; of equals steps alone, then acts alone."""
    left = (way for way in ways if not any(_quicker(other, way) for other in ways))
    return min(left, key=lambda way: (len(way.way["rows"]), way.untimed, way.hundredths, KINDS.index(way.kind)), default=None)


def _quicker(one: _Found, other: _Found) -> bool:
    mine, its = (one.untimed, one.hundredths), (other.untimed, other.hundredths)
    return mine != its and all(a <= b for a, b in zip(mine, its, strict=True))


# --- how far on, and what is made good then ---------------------------------------------------------------------------


def _ways(pack: Pack, bench: Bench, done: Collection[str], doubts: Doubts, judge: Judge) -> list[_Found]:
    """A way for each number of further steps, closed by the fewest acts, as far as one can still be the shortest; and always
    the first of steps alone."""
    found: list[_Found] = []
    steps: list[Step] = []
    rows: list[Action] = []
    for step in [*_further(pack, done, doubts), None]:
        far = _too_far(pack, found, steps, rows)
        if far and any(way.kind == "on" for way in found):
            break
        alone = len(rows) == len(steps)
        closing = bench.again()
        there = closing.make_good(judge) if not far else judge(bench.state, bench.hot) if alone else None
        if there and holds(there):
            found.append(_told(pack, steps, [*rows, *closing.acts], there))
        if step is None or not make_ready(bench, step, [*done, *(each["id"] for each in steps)], doubts):
            break
        rows = [*rows, *bench.acts, {"verb": "do", "object": step["id"], "steps": [step["id"]]}]
        steps = [*steps, step]
        bench = _after(pack, bench, done, steps, doubts)
    return found


def _further(pack: Pack, done: Collection[str], doubts: Doubts) -> list[Step]:
    """The steps that are open; what was skipped stays skipped."""
    return [step for step in pack["steps"] if step["id"] not in done and step["id"] not in doubts["skipped"]]


def _too_far(pack: Pack, found: Sequence[_Found], steps: Sequence[Step], rows: list[Action]) -> bool:
    """True if no way that begins with these rows can be the shortest: one is quicker, or as quick with no more rows."""
    so_far = _Found("mixed", *time_of(pack, steps, _acts(rows)), {"rows": rows, "minutes": 0, "untimed": 0, "see_to": []})
    return any(_quicker(way, so_far) or (way[1:3] == so_far[1:3] and len(way.way["rows"]) <= len(rows)) for way in found)


def _after(pack: Pack, bench: Bench, done: Collection[str], steps: Sequence[Step], doubts: Doubts) -> Bench:
    """The bench after the last of these steps. Without skipped steps it is what the journal will fold: the steps in the order
    of the pack, also where a later one was done before."""
    last = pack["steps"].index(steps[-1])
    if doubts["skipped"] or not any(step["id"] in done for step in pack["steps"][last:]):
        return bench.at(apply_step(pack, bench.state, steps[-1]), heat_after(pack, bench.hot, steps[-1]))
    reached = {*done, *(step["id"] for step in steps)}
    return bench.at(apply_steps(pack, reached), is_hot(pack, [step for step in pack["steps"] if step["id"] in reached]))


def _told(pack: Pack, steps: Sequence[Step], rows: list[Action], there: Standing) -> _Found:
    untimed, hundredths = time_of(pack, steps, _acts(rows))
    kind = "on" if len(rows) == len(steps) else "mixed" if steps else "back"
    return _Found(kind, untimed, hundredths, {"rows": rows, "minutes": hundredths / 100, "untimed": untimed, "see_to": there["see_to"]})


def _acts(rows: Sequence[Action]) -> list[Action]:
    return [row for row in rows if row["verb"] != "do"]

"""Every way out of a small job, tried one row at a time: the answer that `way_out` is held to.

Shares the bench state and the judgement of `standing` with it, because those say what a way is for. What may be done next, and
what a way costs, is written here once more, from shared/README.md; nothing is left out by reasoning. Jobs without units.
"""

from typing import Any, NamedTuple

from benchtrail.domain.bench_state import apply_action, apply_steps
from benchtrail.domain.checks.conditions import is_true
from benchtrail.domain.standing import FLEXIBLE, is_hot, may_be_left, may_be_pushed

Pack = dict[str, Any]
State = Any
Length = tuple[int, int, int]


class Place(NamedTuple):
    """Where a search stands. `fast`: parts that were put on, to be made fast; `bound`: joints that must be final at the end."""

    state: State
    hot: bool | None
    reached: tuple[str, ...]
    told: frozenset[str]
    acted: bool
    fast: frozenset[str]
    bound: frozenset[str]
    rows: tuple[str, ...] = ()

    def name(self) -> str:
        kept = {key: value for key, value in self.state.items() if key not in ("touched", "checks")}
        return repr((sorted(kept.items()), sorted(self.state["checks"]), due_names(self.state), self.hot, self.reached, sorted(self.told),
                     self.acted, sorted(self.fast), sorted(self.bound)))


def due_names(state: State) -> list[str]:
    """Order numbers as an order: two states that differ only in how far the count went are the same."""
    marks = {**state["touched"], **{f"done {key}": n for key, n in state["checks"].items()}}
    return sorted(marks, key=lambda key: (marks[key], key))


def shortest_by_trying(pack: Pack, done: list[str], skipped: list[str], aim: str) -> tuple[Length, tuple[str, ...]] | None:
    """The (rows without a time, hundredths of a minute, rows) of the shortest way, and its rows; none when nothing needs be
    done; None when there is no way."""
    doubts = {"skipped": skipped, "outside": []}

    def against(place: Place) -> list[tuple[str, str]]:
        told = may_be_left(pack, place.state, place.hot, doubts) if aim == "leave" else may_be_pushed(pack, place.state, doubts)
        return [(row["code"], row["object"]) for row in (*told["against"], *told["unknown"])]

    start = closing(pack, Place(apply_steps(pack, done), is_hot(pack, [s for s in pack["steps"] if s["id"] in done]), (), frozenset(),
                                False, frozenset(), frozenset()), against)
    if not against(start):
        return (0, 0, 0), ()
    known: dict[str, list[Length]] = {start.name(): [(0, 0, 0)]}
    heads: list[tuple[Place, Length]] = [(start, (0, 0, 0))]
    ends: list[tuple[Length, tuple[str, ...]]] = []
    while heads:
        place, length = heads.pop(0)
        if length not in known[place.name()]:
            continue
        if not against(place) and not open_ends(pack, place):
            ends.append((length, place.rows))
            continue
        for following, cost in next_places(pack, place, done, skipped, against):
            reached = tuple(a + b for a, b in zip(length, cost, strict=True))
            if any(no_longer(end, reached) for end, _ in ends):
                continue
            others = known.setdefault(following.name(), [])
            if not any(no_longer(other, reached) for other in others):
                others[:] = [other for other in others if not no_longer(reached, other)] + [reached]
                heads.append((following, reached))
    quickest = [end for end in ends if not any(
        end[0][:2] != other[:2] and other[0] <= end[0][0] and other[1] <= end[0][1] for other, _ in ends)]
    return min(quickest, key=lambda end: (end[0][2], *end), default=None)


def no_longer(one: Length, other: Length) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))


def closing(pack: Pack, place: Place, against: Any) -> Place:
    """What nothing firm holds when the acts begin is to be held by all that is firm at the end."""
    loose = [part for code, part in against(place) if code == "part_loose"]
    return place._replace(bound=frozenset(joint for part in loose for joint in holding(pack, place.state, part)))


def holding(pack: Pack, state: State, part: str) -> list[str]:
    asked = {literal[1] for every in pack["parts"][part]["aside"] or [] for literal in every if literal[0] == "undone"}
    return [key for key in state["joints"] if part in pack["joints"][key]["joins"]
            and (key in asked or pack["joints"][key]["kind"] not in FLEXIBLE)]


def open_ends(pack: Pack, place: Place) -> list[str]:
    """Joints that this way must not leave open."""
    return [key for key in place.state["joints"] if key in place.bound or (
        set(pack["joints"][key]["joins"]) & place.fast and not any(part in place.state["parts"] for part in pack["joints"][key]["joins"]))]


def next_places(pack: Pack, place: Place, done: list[str], skipped: list[str], against: Any) -> Any:
    further = [s for s in pack["steps"] if s["id"] not in done and s["id"] not in skipped and s["id"] not in place.reached]
    if further and finds_all(pack, place, further[0], [*done, *place.reached], skipped):
        step, state, hot = further[0], place.state, place.hot
        for action in step["do"]:
            state = apply_action(pack, state, action)
            hot = True if action["verb"] == "run" else False if action["object"] == "cold" else hot
        fast = place.fast & {part for part in pack["parts"] if part not in state["parts"]}
        after = place._replace(rows=(*place.rows, f"do {step['id']}"), state=state, hot=hot, fast=fast,
                               reached=(*place.reached, step["id"]))
        yield closing(pack, after, against), time_of_step(step)
    for verb, thing in possible_acts(pack, place, against):
        told = {s["id"] for s in pack["steps"] for a in s["do"] if a["object"] == thing
                and a["verb"] in (("start", "tighten") if verb == "tighten" else (verb,))}
        costs = [time_of_step(s) for s in pack["steps"] if s["id"] in told - place.told]
        cost = (sum(c[0] for c in costs) + (not told), sum(c[1] for c in costs), 1)
        state = apply_action(pack, place.state, {"verb": verb, "object": thing})
        fast = place.fast | ({thing} if verb == "fit" else set())
        yield place._replace(rows=(*place.rows, f"{verb} {thing}"), state=state, hot=False if thing == "cold" else place.hot,
                             told=place.told | told, acted=True, fast=fast), cost


def time_of_step(step: Any) -> Length:
    return (1, 0, 1) if step["minutes"] is None else (0, round(100 * step["minutes"]), 1)


def possible_acts(pack: Pack, place: Place, against: Any) -> list[tuple[str, str]]:
    state, acts = place.state, []
    off = {part: state["touched"].get(f"{how} {part}", 0) for part, how in state["parts"].items()}
    for part in off:
        mates = {other for key in state["joints"] if part in pack["joints"][key]["joins"] for other in pack["joints"][key]["joins"]}
        later = any(other in off and off[other] > off[part] for other in mates)
        plugged = any(part in pack["aids"][aid]["covers"] for aid in state["aids"])
        if not later and not plugged and part not in state["disturbed"] and not shuts_in(pack, state, part):
            acts.append(("fit", part))
    for key in state["joints"]:
        joins = pack["joints"][key]["joins"]
        if not set(joins) & off.keys() and not {key, *joins} & set(state["disturbed"]) and not shuts_in(pack, state, key):
            acts.append(("tighten", key))
    acts += [("renew", thing) for thing in state["disturbed"]]
    acts += [("aid_off", aid) for aid in state["aids"]]
    for fluid, how in state["fluids"].items():
        if not any(fluid in pack["joints"][key]["holds"] for key in state["joints"]):
            acts.append(("fill", fluid) if how == "drained" else ("level", "level"))
    acts += [("test", "walk")] if any(code == "check_due" for code, _ in against(place)) else []
    acts += [("pose", "cold")] if place.hot else []
    whole = not any(pack["parts"][part]["safety"] in ("wheels", "steering", "lifting") for part in off) and not any(
        pack["joints"][key]["safety"] in ("wheels", "steering", "lifting") for key in state["joints"])
    return acts + ([("pose", "stand")] if whole and "pose_not_steady" in [code for code, _ in against(place)] else [])


def shuts_in(pack: Pack, state: State, thing: str) -> bool:
    """True if something that is off or open can be got at now, and only because this is off or open too."""
    ways = [pack["parts"][part]["exit"] for part in state["parts"] if part != thing]
    ways += [pack["joints"][key]["reach"] for key in state["joints"] if key != thing]
    for alternatives in ways:
        free = [every for every in alternatives if all(is_true(pack, state, literal) for literal in every)]
        if free and all(any(literal[1] == thing for literal in every) for every in free):
            return True
    return False


def finds_all(pack: Pack, place: Place, step: Any, done: list[str], skipped: list[str]) -> bool:
    """Whether the step finds what it is about as it would with nothing left out and nothing made good before."""
    if not skipped and not place.acted:
        return True
    earlier = [s["id"] for s in pack["steps"][:pack["steps"].index(step)]]
    wanted = apply_steps(pack, [*earlier, *done])
    own = {a["object"] for a in step["do"]}
    about: set[tuple[str, str]] = set()
    for action in step["do"]:
        key, ways = action["object"], []
        if key in pack["joints"]:
            about |= {("parts", part) for part in pack["joints"][key]["joins"]}
            ways = pack["joints"][key]["reach"]
        if key in pack["parts"]:
            ways = pack["parts"][key]["exit"]
            if action["verb"] in ("remove", "hang"):
                about |= {("joints", j) for j, each in pack["joints"].items() if key in each["joins"]}
        if key in pack["fluids"] or pack["checks"].get(key, {}).get("fluid"):
            about |= {("joints", j) for j, each in pack["joints"].items() if key in each["holds"] or (
                action["verb"] == "drain" and j == "plug_screw")}
            about |= {("fluids", "oil")}
        about |= {("parts", literal[1]) for every in ways for literal in every}
        if action["verb"] in ("fit", "tighten"):
            about |= {("parts", p) for p, each in pack["parts"].items() if any(lit[1] == key for every in each["exit"] for lit in every)}
            about |= {("joints", j) for j, each in pack["joints"].items() if any(lit[1] == key for every in each["reach"] for lit in every)}
    return all(wanted[table].get(key) == place.state[table].get(key) for table, key in about if key not in own)

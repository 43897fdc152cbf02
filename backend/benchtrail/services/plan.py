"""Plans for a model: the least work for goals in one variant, or in all of them, those with the same plan together.

Knows model packs, variants and time limits; how a plan is found is the domain's, how it is printed the command's.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from time import monotonic
from typing import Any

from benchtrail.domain.bench_state import GUARDED_TABLES, for_variant
from benchtrail.domain.guards import Variant, guard_holds
from benchtrail.domain.planning.closure import Closure
from benchtrail.domain.planning.goals import read_goal
from benchtrail.domain.planning.needs import Machine
from benchtrail.domain.planning.order import least_changes
from benchtrail.domain.planning.plan import Order, Plan, least_plan, other_ways
from benchtrail.domain.planning.problem import Problem, Refuse, TimeIsUp
from benchtrail.domain.planning.report import Data, plan_data
from benchtrail.domain.planning.words import said
from benchtrail.domain.refused import Refused
from benchtrail.domain.variants import VariantSpace, describe_variants, variants_of
from benchtrail.services.least_work import SECONDS, least_work, timer

ModelPack = Mapping[str, Any]
Goal = tuple[str, str]
ORDER_SECONDS = 5.0
OTHER_WAYS_SECONDS = 5.0
LEAST_SECONDS = 0.5


def plan_model(pack: ModelPack, goals: Sequence[str], variant: Variant | None = None, start: Sequence[Goal] = (),
               seconds: float = SECONDS) -> Data:
    """The plan for goals as written: of one variant, or of all, grouped by plan.

    Raises Refused: goal_unreadable, goal_unknown, goal_not_in_variant, plan_variant_invalid and what planning raises,
    with item ids put into words.
    """
    wanted = [read_goal(pack, goal) for goal in goals]
    if not wanted:
        raise Refused("goal_missing")
    head = {"model": pack["model"], "name": pack["name"], "goals": [" ".join(goal) for goal in wanted]}
    if variant is not None:
        check_variant(pack, variant)
        plan = planned(pack, variant, wanted, start, seconds)
        if plan is None:
            raise Refused("goal_not_in_variant", goals=", ".join(head["goals"]), variant=variant_words(pack, variant))
        return head | {"groups": [_group(variant_words(pack, variant), [variant], plan)], "without": []}
    return head | _all_variants(pack, wanted, start, seconds)


def read_goals(pack: ModelPack, goals: Sequence[str]) -> list[Sequence[str]]:
    """The goals as written. Raises Refused: goal_unreadable, goal_unknown, goal_missing."""
    if not goals:
        raise Refused("goal_missing")
    return [read_goal(pack, goal) for goal in goals]


def _all_variants(pack: ModelPack, wanted: Sequence[Goal], start: Sequence[Goal], seconds: float) -> Data:
    space = variants_of(pack, (entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values()))
    same: dict[object, list[int]] = {}
    plans: dict[object, Plan] = {}
    absent: list[int] = []
    for number, variant in enumerate(space.variants):
        plan = planned(pack, variant, wanted, start, seconds)
        if plan is None:
            absent.append(number)
            continue
        key = (plan.closure.cost_s, plan.order.steps)
        same.setdefault(key, []).append(number)
        plans.setdefault(key, plan)
    groups = [_group(_words(space, numbers), [space.variants[n] for n in numbers], plans[key])
              for key, numbers in same.items()]
    return {"groups": groups, "without": [_words(space, absent)] if absent else []}


def _words(space: VariantSpace, numbers: Sequence[int]) -> str:
    words = describe_variants(space, numbers)
    return "all variants" if words is None else words.removeprefix("only ")


def _group(words: str, variants: Sequence[Variant], plan: Plan) -> Data:
    return {"variants": words, "each": [dict(variant) for variant in variants], "plan": plan_data(plan)}


def planned(pack: ModelPack, variant: Variant, wanted: Sequence[Goal], start: Sequence[Goal] = (),
            seconds: float = SECONDS, with_other_ways: bool = True, ordered: Order = least_changes) -> Plan | None:
    """The plan in one variant, goals about what it lacks left out; None if it lacks all of them. `ordered`: as in
    `least_plan`."""
    machine = for_variant(pack, variant)
    here = [goal for goal in wanted if _has(machine, goal)]
    if not here:
        return None
    end = monotonic() + seconds
    try:
        plan = least_plan(machine, here, [g for g in start if _has(machine, g)], _solver(end), _order_clock(end),
                          ordered, timer(seconds))
        if with_other_ways:
            until = min(end, monotonic() + OTHER_WAYS_SECONDS)
            ways = other_ways(plan, _solver(until), lambda: monotonic() >= until)
            plan = replace(plan, other_ways=ways)
    except Refused as refusal:
        raise in_words(machine, refusal) from None
    return plan


def _solver(end: float) -> Callable[[Problem, Refuse], Closure]:
    """Finds the least work until `end` on the clock; what is asked for late still gets a moment."""
    return lambda problem, refuse: least_work(problem, refuse, max(LEAST_SECONDS, end - monotonic()))


def _order_clock(end: float) -> TimeIsUp:
    """A clock for the order, that begins to run when it is first asked: as long as an order may take, within what is left
    until `end`."""
    until: list[float] = []

    def time_is_up() -> bool:
        if not until:
            now = monotonic()
            until.append(min(now + ORDER_SECONDS, max(end, now + LEAST_SECONDS)))
        return monotonic() >= until[0]
    return time_is_up


def _has(machine: Machine, goal: Goal) -> bool:
    return any(goal[1] in machine[table] for table in ("parts", "units", "joints", "fluids", "poses", "checks", "settings"))


def in_words(machine: Machine, refusal: Refused) -> Refused:
    """The refusal with ids of items put into words of the map."""
    values = dict(refusal.values)
    for name in ("goal", "item"):
        if ":" in str(values.get(name, "")):
            values[name] = said(machine, str(values[name]))
    if "circle" in values:
        words = [said(machine, key) for key in str(values["circle"]).split(" → ")]
        values["circle"] = " → ".join(word for n, word in enumerate(words) if n == 0 or word != words[n - 1])
    if refusal.code in ("plan_no_order", "plan_time_up"):
        values["goals"] = ", ".join(said(machine, key) for key in str(values["goals"]).split(", "))
    return Refused(refusal.code, **values)


def read_variant(text: str) -> Variant:
    """`year=2023,option=kick_start,option=skid_plate`. Raises Refused("plan_variant_unreadable")."""
    year, options = None, []
    for field in filter(None, (part.strip() for part in text.split(","))):
        name, _, value = field.partition("=")
        if name.strip() == "year" and value.strip().isdecimal():
            year = int(value)
        elif name.strip() == "option" and value.strip():
            options.append(value.strip())
        else:
            raise Refused("plan_variant_unreadable", written=text[:80])
    if year is None:
        raise Refused("plan_variant_unreadable", written=text[:80])
    return {"year": year, "options": sorted(set(options))}


def check_variant(pack: ModelPack, variant: Variant) -> None:
    """Raises Refused("plan_variant_invalid") when no machine of the model is like this."""
    known = {option["id"]: option for option in pack["options"]}
    reason = _year_fault(pack, variant) or _option_fault(known, variant) or _group_fault(known, variant)
    if reason:
        raise Refused("plan_variant_invalid", reason=reason, years=f"{pack['years'][0]} to {pack['years'][1]}",
                      options=", ".join(sorted(known)) or "none")


def _year_fault(pack: ModelPack, variant: Variant) -> str | None:
    first, last = pack["years"]
    return None if first <= variant["year"] <= last else f"there is no model year {variant['year']}"


def _option_fault(known: Mapping[str, Mapping[str, Any]], variant: Variant) -> str | None:
    for option in variant["options"]:
        if option not in known:
            return f"there is no option “{option}”"
        if not guard_holds(known[option]["when"], variant):
            return f"the option “{option}” does not go with the rest"
    return None


def _group_fault(known: Mapping[str, Mapping[str, Any]], variant: Variant) -> str | None:
    for group in sorted({option["group"] for option in known.values() if option["group"]}):
        members = [key for key, option in known.items() if option["group"] == group]
        fitted = [key for key in members if key in variant["options"]]
        possible = [key for key in members if guard_holds(known[key]["when"], variant)]
        if len(fitted) != 1 and possible:
            return f"exactly one of {', '.join(sorted(members))} is fitted"
    return None


def variant_words(pack: ModelPack, variant: Variant) -> str:
    """`2023 with Kick starter`."""
    names: Iterable[str] = (option["name"] for option in pack["options"] if option["id"] in variant["options"])
    fitted = " and ".join(names)
    return f"{variant['year']} with {fitted}" if fitted else str(variant["year"])

"""What else is cheap while a machine is apart for a job: the model's services on top of it, for every machine that differs.

Knows maps, procedure packs and their variants; the extra work is the difference of two least-work plans (services/plan.py).
"""

import json
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from functools import lru_cache
from typing import Any

from benchtrail.domain.bench_state import GUARDED_TABLES, for_variant
from benchtrail.domain.guards import Variant, guard_holds
from benchtrail.domain.planning.closure import Closure
from benchtrail.domain.planning.goals import ABOUT
from benchtrail.domain.planning.items import Problems
from benchtrail.domain.planning.plan import ExtraWork, extra_work
from benchtrail.domain.planning.problem import Problem, Refuse
from benchtrail.domain.planning.report import Data, extra_data
from benchtrail.domain.refused import Refused
from benchtrail.domain.variants import variants_of
from benchtrail.services.least_work import least_work
from benchtrail.services.plan import in_words, variant_words

Pack = Mapping[str, Any]
Literal = Sequence[str]
SECONDS_EACH = 5.0
# a word of a step → the goal that it amounts to
GOAL_OF = {"undo": "undone", "remove": "out", "hang": "aside", "drain": "drained", "measure": "measure", "adjust": "measure",
           "test": "measure", "renew": "renewed"}


class WhileApart:
    """The extra work of a map's services; plans that several jobs ask for are found once."""

    def __init__(self, model: Pack, seconds: float = SECONDS_EACH) -> None:
        self.model, self.seconds = model, seconds
        self.solved: dict[object, Closure] = {}
        self.told: dict[object, list[ExtraWork]] = {}

    def also(self, procedure: Pack) -> Data | None:
        """The part `also` of a procedure's pack (shared/README.md §6); None when no service is cheaper now than alone."""
        guards = [entry.get("when") for pack in (self.model, procedure) for table in GUARDED_TABLES
                  for entry in pack.get(table, {}).values()]
        guards += [step["when"] for step in procedure["steps"]]
        guards += [service["when"] for service in self.model.get("services", {}).values()]
        if not self.model.get("services"):
            return None
        space = variants_of(self.model, guards, procedure["applies"])
        rows: list[list[Data]] = []
        of = []
        for variant in space.variants:
            found = [row for row in self.extra(variant, job_goals(procedure, variant), procedure["start"], far=False)
                     if _worth_telling(row)]
            told = [{key: row[key] for key in ("service", "minutes_more", "minutes_alone", "acts")} for row in found]
            if told not in rows:
                rows.append(told)
            of.append({"years": list(space.spans[variant["year"]]), "options": list(variant["options"]), "rows": rows.index(told)})
        named = {row["service"] for each in rows for row in each}
        if not named:
            return None
        services = {key: {name: service[name] for name in ("name", "every", "procedure", "source")}
                    for key, service in self.model["services"].items() if key in named}
        return {"services": services, "options": sorted(space.names), "rows": rows, "of": of}

    def extra(self, variant: Variant, job: Sequence[Literal], start: Sequence[Literal] = (), only: Sequence[str] = (),
              far: bool = True) -> list[Data]:
        """Each service in this variant: `{service, name, minutes_more, minutes_alone, acts, proven}`, cheapest first.

        A service about what the machine lacks is left out, and one that has nothing to be done. `only`: ids of services;
        not `far`: only those that share work with the job, for the others cost the same now as on their own.
        Raises Refused as planning does, for the job itself.
        """
        machine = for_variant(self.model, variant)
        due = {key: here for key, service in self.model.get("services", {}).items()
               if guard_holds(service["when"], variant) and (not only or key in only)
               and (here := [goal for goal in service["goals"] if _on(machine, goal)])}
        wanted = [goal for goal in job if _on(machine, goal)]
        start = [literal for literal in start if literal[0] in ("pose", "set") and _at(machine, literal)]
        found = self._extra(machine, wanted, due, start, far) if due and wanted else []
        names = self.model.get("services", {})
        return [{"service": row.task, "name": names[row.task]["name"], **_without_task(extra_data(machine, row))} for row in found]

    def _extra(self, machine: Pack, job: Sequence[Literal], due: Mapping[str, Sequence[Literal]], start: Sequence[Literal],
               far: bool) -> list[ExtraWork]:
        """The extra work; machines between which nothing on the way to any of the goals differs are planned once."""
        problems = Problems(machine, start)
        everything = problems.of([*job, *(goal for goals in due.values() for goal in goals)])
        same = (frozenset(everything.items.values()), tuple(map(tuple, job)), tuple(sorted(due)), tuple(map(tuple, start)))
        if same not in self.told:
            mine = _work_of(problems.of(job))
            near = {key: goals for key, goals in due.items() if mine & _work_of(problems.of(goals))}
            self.told[same] = extra_work(machine, job, near, start, self._solve)
        return sorted([*self.told[same], *(self._apart(machine, due, self.told[same], start) if far else [])],
                      key=lambda row: (row.extra_s, row.task))

    def _apart(self, machine: Pack, due: Mapping[str, Sequence[Literal]], near: Sequence[ExtraWork], start: Sequence[Literal]
               ) -> list[ExtraWork]:
        """The services that share no work with the job: on top of it they cost what they cost alone."""
        others = {key: goals for key, goals in due.items() if key not in {row.task for row in near}}
        found = extra_work(machine, [], others, start, self._solve) if others else []
        return [row for row in found if row.alone_s > 0]

    def _solve(self, problem: Problem, refuse: Refuse) -> Closure:
        key = (frozenset(problem.items.values()), frozenset(problem.goals))
        if key not in self.solved:
            self.solved[key] = least_work(problem, refuse, self.seconds)
        return self.solved[key]


def extra_services(model: Pack, variant: Variant, job: Sequence[Literal], only: Sequence[str] = ()) -> list[Data]:
    """Every service of a map, or those named, on top of a job in one variant (`WhileApart.extra`).

    Raises Refused: service_unknown, services_none, goal_not_in_variant, and what planning raises.
    """
    services = model.get("services", {})
    if not services:
        raise Refused("services_none", model=model["model"])
    for key in only:
        if key not in services:
            near = get_close_matches(key, services, n=3, cutoff=0.4) or sorted(services)
            raise Refused("service_unknown", service=key[:80], services=", ".join(near))
    machine = for_variant(model, variant)
    if not any(_on(machine, goal) for goal in job):
        raise Refused("goal_not_in_variant", goals=", ".join(" ".join(goal) for goal in job)[:200], variant=variant_words(model, variant))
    try:
        return WhileApart(model).extra(variant, job, (), only)
    except Refused as refusal:
        raise in_words(machine, refusal) from None


def _work_of(problem: Problem) -> set[str]:
    """Whatever could be work on some way to the goals: two jobs that share none of it never save each other any."""
    return {item.id for item in problem.items.values() if item.cost_s > 0}


def job_goals(procedure: Pack, variant: Variant) -> list[Literal]:
    """What a procedure takes apart in a variant: all that its steps undo, take off, hang aside, renew, drain and check."""
    steps = for_variant(procedure, variant)["steps"]
    goals = [(GOAL_OF[action["verb"]], action["object"]) for step in steps for action in step["do"] if action["verb"] in GOAL_OF]
    return list(dict.fromkeys(goals))


def _worth_telling(row: Data) -> bool:
    """Proven, and cheaper now than on its own by a tenth at least: what costs the same later is no reason to do it now."""
    return bool(row["proven"]) and row["minutes_alone"] > 0 and row["minutes_more"] <= 0.9 * row["minutes_alone"]


def _on(machine: Pack, goal: Literal) -> bool:
    return any(goal[1] in machine[table] for table in ABOUT.get(goal[0], ()))


def _at(machine: Pack, literal: Literal) -> bool:
    return literal[1] in machine["poses"] or literal[1] in machine["settings"]


def _without_task(data: Data) -> Data:
    return {key: value for key, value in data.items() if key != "task"}


def with_also(packs: Sequence[Pack], model: Pack) -> list[Pack]:
    """The procedure packs of a model, each with `also` where there is something to tell. A job that cannot be planned on
    its map is left as it is: the procedure stands, only nothing is offered beside it."""
    written = json.dumps(model, sort_keys=True)
    return [pack | {"also": also} if (also := _also(written, json.dumps(pack, sort_keys=True))) else pack for pack in map(dict, packs)]


@lru_cache(maxsize=256)
def _also(model: str, procedure: str) -> Data | None:
    """Found once for the same map and procedure: a library is often published again with one text changed."""
    try:
        return _apart(model).also(json.loads(procedure))
    except Refused:
        return None


@lru_cache(maxsize=8)
def _apart(model: str) -> WhileApart:
    return WhileApart(json.loads(model))

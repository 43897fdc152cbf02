"""The rebuild of a plan, as tasks with what each must wait for. It is generated, not mirrored.

Base: every need of the strip-down turned round. Then the reasons why “the reverse” fails: what is single-use is renewed
before it is fitted; a joint is made only when all it holds is on; stages that ask for a pose wait until everything is on;
a drain is shut early and the fluid filled late, when all that holds it is final; checks that need something still off come
before it goes on, all others at the end, in the order that the map gives. Source: our derivation (planning note a.7).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from benchtrail.domain.planning.plan import Plan

# fractions of a rank: what stands at the same place of the turned strip-down
AFTER, BEFORE = 0.3, -0.3
END = 10_000.0
NOT_WORK_OF_STRIP = ("new", "follow")


@dataclass
class Task:
    """`fit:` an item that came off, `make:` a joint, `final:` its last stage, `fill:` a fluid, `check:` a check."""

    key: str
    rank: float
    after: set[str] = field(default_factory=set)


@dataclass
class Rebuild:
    """Tasks by key. `off`: items that came off in order, loose parts included; `reopened`: checks for which something
    must be opened again."""

    tasks: dict[str, Task]
    off: list[str]
    needs: dict[str, set[str]]

    def add(self, key: str, rank: float) -> Task:
        return self.tasks.setdefault(key, Task(key, rank))

    def must_follow(self, later: str, earlier: str) -> bool:
        """Adds an order unless that would close a circle; answers whether it holds."""
        if later == earlier or self.waits_for(earlier, later):
            return False
        self.tasks[later].after.add(earlier)
        return True

    def waits_for(self, key: str, other: str) -> bool:
        """True if `key` comes after `other` already."""
        seen: set[str] = set()
        waiting = [key]
        while waiting:
            now = waiting.pop()
            if now == other:
                return True
            for before in self.tasks[now].after - seen:
                seen.add(before)
                waiting.append(before)
        return False


def task_of(act: str) -> str | None:
    """The task that puts an act of the strip-down right again."""
    kind, _, name = act.partition(":")
    if kind in ("go", "free", "aside"):
        return f"fit:{act}"
    return {"un": f"make:{name}", "drained": f"fill:{name}"}.get(kind)


def acts_needed(plan: Plan) -> dict[str, set[str]]:
    """For each act of the strip-down the acts that it had to wait for, by the way that it took."""
    provided: dict[str, set[str]] = {}
    work = {key for key, _ in plan.work}
    found: dict[str, set[str]] = {}
    for key, _ in plan.order.steps:
        ways = [way for way in plan.whole.items[key].alternatives if way <= provided.keys()]
        way = plan.closure.ways.get(key)
        chosen = way if way in ways else min(ways, key=lambda w: (len(w), sorted(w)))
        needs = set().union(*(provided[need] for need in chosen if need.partition(":")[0] not in NOT_WORK_OF_STRIP))
        provided[key] = {key} if key in work else needs
        if key in work:
            found[key] = needs
    return found


def loose_parts(plan: Plan) -> list[str]:
    """Parts that nothing holds any more though nobody took them off: they fall out. Not what may be looked at only."""
    undone = {key[3:] for key, _ in plan.work if key.startswith("un:")}
    gone = parts_off(plan)
    held: dict[str, list[str]] = {}
    for key, joint in plan.machine["joints"].items():
        for part in joint["joins"]:
            held.setdefault(part, []).append(key)
    return sorted(part for part, joints in held.items()
                  if part in plan.machine["parts"] and part not in gone and undone.issuperset(joints))


def parts_off(plan: Plan) -> set[str]:
    """Parts that left, alone or in a unit, or hang."""
    gone: set[str] = set()
    for key, _ in plan.work:
        if key.partition(":")[0] in ("go", "free", "aside"):
            gone.update(members(plan, key))
    return gone


def members(plan: Plan, act: str) -> list[str]:
    """The parts that an act takes off or hangs."""
    name = act.partition(":")[2].split("/")[-1]
    unit = plan.machine["units"].get(name)
    return list(unit["parts"]) if unit else [name]


def rebuild_of(plan: Plan, off_loose: Iterable[str] = ()) -> Rebuild:
    """The tasks of the rebuild. `off_loose`: loose parts that the strip-down takes out, in that order."""
    acts = [key for key, _ in plan.work]
    needs = acts_needed(plan)
    loose = list(off_loose)
    for part in loose:
        held = {f"un:{key}" for key, joint in plan.machine["joints"].items() if part in joint["joins"]}
        needs[f"go:{part}"] = (held | _exit_acts(plan, part, acts)) - {f"go:{part}"}
        last = max((acts.index(act) for act in needs[f"go:{part}"] if act in acts), default=len(acts) - 1)
        acts.insert(last + 1, f"go:{part}")
    rebuild = Rebuild({}, [act for act in acts if act.partition(":")[0] in ("go", "free", "aside")], needs)
    for place, act in enumerate(acts):
        task = task_of(act)
        if task:
            rebuild.add(task, float(len(acts) - place))
    _turn_round(rebuild, acts)
    _on_the_bench(plan, rebuild)
    _hung_parts_back(plan, rebuild, acts)
    _fluids(plan, rebuild)
    _last_stages(plan, rebuild)
    _checks(plan, rebuild)
    _with_its_unit(plan, rebuild)
    return rebuild


def _exit_acts(plan: Plan, part: str, acts: list[str]) -> set[str]:
    """The acts that opened the way out of a loose part: those of the first way that they open wholly."""
    for every in plan.machine["parts"][part]["exit"]:
        by = [{act for act in acts if act.partition(":")[0] in ("go", "free", "aside") and key in members(plan, act)}
              for word, key, *_ in every if word in ("out", "aside")]
        if all(by):
            return set().union(*by)
    return set()


def _turn_round(rebuild: Rebuild, acts: list[str]) -> None:
    """What had to be done first is put right last. What a drain waits for is another matter: see `_fluids`."""
    for act in acts:
        task = task_of(act)
        if task is None or act.startswith("drained:"):
            continue
        for need in rebuild.needs[act]:
            later = task_of(need)
            if later in rebuild.tasks:
                rebuild.must_follow(later, task)


def _on_the_bench(plan: Plan, rebuild: Rebuild) -> None:
    """A part that carries others of its unit gets them put on while it lies on the bench; then it counts as back."""
    for act in [act for act in rebuild.off if act.startswith("free:")]:
        unit, _, part = act.partition(":")[2].partition("/")
        fit = rebuild.tasks[f"fit:{act}"]
        for key, joint in plan.machine["joints"].items():
            make = f"make:{key}"
            inner = part in joint["joins"] and set(joint["joins"]) <= set(plan.machine["units"][unit]["parts"])
            if make in rebuild.tasks and inner and _carries(plan, part, joint):
                rebuild.tasks[make].after.discard(fit.key)
                rebuild.must_follow(fit.key, make)
                fit.rank = max(fit.rank, rebuild.tasks[make].rank + AFTER)


def _carries(plan: Plan, part: str, joint: Mapping[str, Any]) -> bool:
    """True if the others of a joint hang on the part: the joint is made while it is off, or most joints are its own."""
    count = {one: sum(one in other["joins"] for other in plan.machine["joints"].values()) for one in joint["joins"]}
    return any(["out", part] in every for every in joint["reach"]) or all(
        count[part] > count[one] for one in joint["joins"] if one != part)


def _with_its_unit(plan: Plan, rebuild: Rebuild) -> None:
    """What carries a unit goes on with it: not before anything that the unit waits for."""
    for act in [act for act in rebuild.off if act.startswith("free:")]:
        unit, _, part = act.partition(":")[2].partition("/")
        joints = [joint for joint in plan.machine["joints"].values() if part in joint["joins"]
                  and set(joint["joins"]) <= set(plan.machine["units"][unit]["parts"])]
        whole = rebuild.tasks.get(f"fit:go:{unit}")
        if whole is not None and joints and all(_carries(plan, part, joint) for joint in joints):
            for earlier in sorted(whole.after - {f"fit:{act}"}):
                rebuild.must_follow(f"fit:{act}", earlier)
            rebuild.tasks[f"fit:{act}"].rank = max(rebuild.tasks[f"fit:{act}"].rank, whole.rank - AFTER)


def _hung_parts_back(plan: Plan, rebuild: Rebuild, acts: list[str]) -> None:
    """A part that hung is back before its joints are made, except those that were reached by hanging it."""
    for act in [act for act in acts if act.startswith("aside:")]:
        for key, joint in plan.machine["joints"].items():
            if act[6:] in joint["joins"] and f"make:{key}" in rebuild.tasks and act not in rebuild.needs[f"un:{key}"]:
                rebuild.must_follow(f"make:{key}", f"fit:{act}")


def _fluids(plan: Plan, rebuild: Rebuild) -> None:
    """The drain early; the fluid when every joint that holds it is made; then its filler is shut."""
    for key in [key for key in rebuild.tasks if key.startswith("fill:")]:
        fluid = plan.machine["fluids"][key[5:]]
        rebuild.tasks[key].rank = END
        drain, fill = f"make:{fluid['drain']}", f"make:{fluid['fill']}"
        if drain in rebuild.tasks and drain != fill:
            rebuild.tasks[drain].rank = 0
        for joint, entry in plan.machine["joints"].items():
            task = f"make:{joint}"
            if task in rebuild.tasks and task != fill and (key[5:] in entry["holds"] or task == drain):
                rebuild.must_follow(key, task)
        if fill in rebuild.tasks:
            rebuild.tasks[fill].rank = END + 2
            rebuild.must_follow(fill, key)
            lid = set(plan.machine["joints"][fill[5:]]["joins"])
            for act in rebuild.off:
                if act.startswith(("go:", "free:")) and set(members(plan, act)) <= lid:
                    rebuild.must_follow(f"fit:{act}", key)


def _last_stages(plan: Plan, rebuild: Rebuild) -> None:
    """A last stage with its own pose waits until everything else is on and made."""
    fillers = {f"make:{plan.machine['fluids'][key[5:]]['fill']}" for key in rebuild.tasks if key.startswith("fill:")}
    makes = [key for key in rebuild.tasks if key.startswith(("make:", "fit:")) and key not in fillers]
    for key in [key for key in makes if key.startswith("make:")]:
        stages = plan.machine["joints"][key[5:]]["stages"]
        if stages[-1].get("pose") and len(stages) > 1:
            final = rebuild.add(f"final:{key[5:]}", END - 100).key
            rebuild.must_follow(final, key)
            for other in makes:
                rebuild.must_follow(final, other)


def _checks(plan: Plan, rebuild: Rebuild) -> None:
    rules = [(rule, triggers) for rule in plan.machine["follow_ons"].values()
             if (triggers := sorted(_triggers(plan, rebuild, rule["after"])))]
    for rule, triggers in rules:
        for place, check in enumerate(rule["needs"]):
            key = rebuild.add(f"check:{check}", END + 10 + place).key
            for trigger in triggers:
                rebuild.must_follow(key, trigger)
    for fluid in [key[5:] for key in rebuild.tasks if key.startswith("fill:")]:
        for check in _level_checks(plan, rebuild, fluid):
            rebuild.must_follow(rebuild.add(f"check:{check}", END + 20).key, f"fill:{fluid}")
    _runs(plan, rebuild)
    for rule, _ in rules:
        chain = [f"check:{check}" for check in rule["needs"]]
        for earlier, later in pairwise(chain):
            rebuild.must_follow(later, earlier)
    for key in sorted(key for key in rebuild.tasks if key.startswith("check:")):
        _place_check(plan, rebuild, key, [triggers for rule, triggers in rules if key[6:] in rule["needs"]])


def _level_checks(plan: Plan, rebuild: Rebuild, fluid: str) -> list[str]:
    levels = [key for key, check in sorted(plan.machine["checks"].items())
              if check["kind"] == "level" and check["fluid"] == fluid]
    return [] if any(f"check:{key}" in rebuild.tasks for key in levels) else levels[:1]


def _triggers(plan: Plan, rebuild: Rebuild, literals: Iterable[Iterable[str]]) -> Iterator[str]:
    """The tasks after which what a rule names is over: it was undone and is made, drained and is filled, off and is on."""
    for word, key, *_ in literals:
        if word == "undone":
            yield from (task for task in (f"final:{key}", f"make:{key}") if task in rebuild.tasks)
        elif word == "drained" and f"fill:{key}" in rebuild.tasks:
            yield f"fill:{key}"
        elif word in ("out", "aside", "renewed"):
            if word == "renewed" and not {f"renewed:{key}", f"new:{key}"} & plan.done:
                continue
            alone = [act for act in rebuild.off if act.partition(":")[2].split("/")[-1] == key]
            yield from (f"fit:{act}" for act in alone or [act for act in rebuild.off if key in members(plan, act)])


def _runs(plan: Plan, rebuild: Rebuild) -> None:
    """The machine runs or is ridden only when everything is on, made and filled."""
    for key in [key for key in rebuild.tasks if key.startswith("check:")]:
        if plan.machine["checks"][key[6:]]["kind"] == "run":
            for other in [other for other in rebuild.tasks if not other.startswith("check:")]:
                rebuild.must_follow(key, other)


def _place_check(plan: Plan, rebuild: Rebuild, key: str, triggers: list[list[str]]) -> None:
    """Before what closes its way; a measure of a renewed part at once; before a last stage if it is that joint's; else
    when everything is on."""
    check = plan.machine["checks"][key[6:]]
    closing = _closing(plan, rebuild, check["reach"]) or _filler_of(plan, rebuild, check)
    if closing and all(not rebuild.waits_for(key, task) for task in closing):
        for task in closing:
            rebuild.must_follow(task, key)
        rebuild.tasks[key].rank = min(rebuild.tasks[task].rank for task in closing) + BEFORE
        return
    flat = [task for each in triggers for task in each]
    if check["kind"] == "measure" and flat and all(task.startswith("fit:") for task in flat) and not check["reach"]:
        made = [task for task in rebuild.tasks if task.startswith("make:") and rebuild.waits_for(task, flat[0])
                and _joins(plan, task, flat[0])]
        for task in made:
            rebuild.must_follow(key, task)
        rebuild.tasks[key].rank = max(rebuild.tasks[task].rank for task in [*flat, *made]) + AFTER
        return
    finals = [task for task in flat if task.startswith("final:")]
    if check["kind"] in ("measure", "adjust") and finals:
        rebuild.tasks[key].after -= set(finals)
        for final in finals:
            for task in [task for task in rebuild.tasks[final].after if not task.startswith("check:")]:
                rebuild.must_follow(key, task)
            rebuild.must_follow(final, key)
        rebuild.tasks[key].rank = END - 110
        return
    for other in [other for other in rebuild.tasks if not other.startswith("check:")]:
        rebuild.must_follow(key, other)


def _filler_of(plan: Plan, rebuild: Rebuild, check: Mapping[str, Any]) -> list[str]:
    """A fluid is bled while its filler is open, so that it can be topped up."""
    fluid = check["fluid"] if check["kind"] == "bleed" else None
    task = f"make:{plan.machine['fluids'][fluid]['fill']}" if f"fill:{fluid}" in rebuild.tasks else ""
    return [task] if task in rebuild.tasks else []


def _joins(plan: Plan, make: str, fit: str) -> bool:
    return bool(set(plan.machine["joints"][make[5:]]["joins"]) & set(members(plan, fit[4:])))


def _closing(plan: Plan, rebuild: Rebuild, reach: Iterable[Iterable[Iterable[str]]]) -> list[str]:
    """The tasks that would end the way by which a check is reached now; of several ways the first that is open."""
    for every in reach:
        tasks: list[str] = []
        for word, key, *_ in every:
            if word == "undone":
                tasks += [f"make:{key}"] if f"make:{key}" in rebuild.tasks else [""]
            elif word in ("out", "aside"):
                found = [f"fit:{act}" for act in rebuild.off if key in (*members(plan, act), act.partition(":")[2])]
                tasks += found or [""]
        if "" not in tasks:
            return tasks
    return []

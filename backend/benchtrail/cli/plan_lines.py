"""A plan as lines for a terminal. Knows the plain data of domain/planning/report.py; decides nothing."""

from collections.abc import Iterator
from typing import Any

Data = dict[str, Any]
MOST_DIFFERENCES = 8


def plan_lines(found: Data) -> Iterator[str]:
    """All groups of variants, each with its plan."""
    yield f"{found['name']}: {', '.join(found['goals'])}"
    if len(found["groups"]) > 1:
        yield "; ".join(f"{group['variants']}: {_size(group['plan'])}" for group in found["groups"]) + "."
    first: Data | None = None
    for group in found["groups"]:
        yield ""
        yield from _like_first(first, group) or _group_lines(group)
        first = first or group
    for words in found["without"]:
        yield ""
        yield f"{_upper(words)}: nothing to do; the machine has no such thing."


def _size(plan: Data) -> str:
    count = len(plan["operations"])
    return f"{count} operation{'' if count == 1 else 's'}, about {plan['minutes']:g} minutes with the rebuild"


def _group_lines(group: Data) -> Iterator[str]:
    plan = group["plan"]
    yield f"{_upper(group['variants'])}: {_size(plan)}. {_proof(plan)}"
    yield from _operation_lines(plan["operations"])
    yield from _list_lines(plan)
    yield from _other_way_lines(plan["other_ways"])
    yield _change_line(plan["changes"])


def _like_first(first: Data | None, group: Data) -> list[str] | None:
    """A group told by what it has more and less than the first, when the rest is the same in the same order."""
    if first is None:
        return None
    one, two = ([operation["words"] for operation in each["plan"]["operations"]] for each in (first, group))
    more, less = [words for words in two if words not in one], [words for words in one if words not in two]
    if len(more) + len(less) > MOST_DIFFERENCES or [w for w in one if w in two] != [w for w in two if w in one]:
        return None
    lines = [f"{_upper(group['variants'])}: {_size(group['plan'])}. {_proof(group['plan'])}",
             f"  As for {first['variants']}, except:"]
    lines += [f"    more: {two.index(words) + 1} {_upper(words)}" for words in more]
    lines += [f"    less: {_upper(words)}" for words in less]
    return [*lines, *_list_differences(first["plan"], group["plan"])]


def _list_differences(first: Data, plan: Data) -> Iterator[str]:
    """Lines below the operations that the first group has not."""
    before = {*_list_lines(first), *_other_way_lines(first["other_ways"])}
    after = [*_list_lines(plan), *_other_way_lines(plan["other_ways"])]
    yield from (line for line in after if line not in before)


def _proof(plan: Data) -> str:
    if plan["proven"]:
        return "Proven: no plan on this map takes less."
    return f"The best found in the time; proven no less than {plan['at_least_minutes']:g} minutes."


def _operation_lines(operations: list[Data]) -> Iterator[str]:
    poses: dict[str, str] = {}
    width = max((len(operation["words"]) for operation in operations), default=0)
    for operation in operations:
        changed = [pose for family, pose in operation["pose_names"].items() if poses.get(family) != pose]
        poses = {**poses, **operation["pose_names"]}
        if changed:
            yield f"      The machine: {', '.join(changed)}."
        with_tool = operation["tool_name"] or ""
        yield f"  {operation['number']:3} {_upper(operation['words']).ljust(width)}  {with_tool}".rstrip()


def _list_lines(plan: Data) -> Iterator[str]:
    for unit in plan["leaves_as_one"]:
        parts = ", ".join(part["name"] for part in unit["stay_on_it"])
        yield f"  Leaves as one: {unit['name']}" + (f" (stay on it: {parts})" if parts else "")
    yield from _named_line("Hung aside, still connected", plan["aside"])
    for fluid in plan["drained"]:
        refill = f", {fluid['refill_ml']:g} ml to fill again" if fluid["refill_ml"] else ""
        yield f"  Drained: {fluid['name']}{refill}"
    for kept in plan["kept_in"]:
        yield f"  Stays in: {kept['name']}, under the {kept['joint_name']}, because the machine is {kept['pose_name']}"
    if plan["renew"]:
        wanted = ", ".join(_bought(entry) for entry in plan["renew"])
        yield f"  To buy: {wanted}"
    yield from _named_line("To do in the rebuild", plan["rebuild_checks"])
    yield from _named_line("The machine then stands", plan["ends_in"])


def _bought(entry: Data) -> str:
    count = f"{entry['count']} × " if entry["count"] > 1 else ""
    return f"{count}{entry['name']}" + (f" ({entry['number']})" if entry["number"] else "")


def _named_line(words: str, entries: list[Data]) -> Iterator[str]:
    if entries:
        yield f"  {words}: {', '.join(entry['name'] for entry in entries)}"


def _other_way_lines(ways: list[Data]) -> Iterator[str]:
    for way in ways:
        unit = "minute" if way["minutes_more"] == 1 else "minutes"
        more = f"{way['minutes_more']:g} {unit} more" if way["minutes_more"] else "which takes as long"
        instead = "; ".join(way["instead"])
        without = f" instead of: {'; '.join(way['without'])}" if way["without"] else ""
        yield f"  Other way, {more}: {instead}{without}"


def _change_line(changes: Data) -> str:
    words = ", ".join(_count(changes[kind], noun) for kind, noun in (("tools", "change of tool"), ("sides", "change of side"),
                                                                     ("poses", "change of pose")))
    proof = "proven the fewest" if changes["proven"] else f"cost {changes['cost']}, proven no less than {changes['at_least']}"
    return f"  Order: {words}; {proof}."


def _count(number: int, noun: str) -> str:
    return f"{number} {noun if number == 1 else noun.replace('change', 'changes', 1)}"


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def also_lines(found: Data) -> Iterator[str]:
    """What else is cheap while the machine is apart, cheapest first."""
    yield f"{found['name']}, {found['variant']}. While it is apart for this job:"
    if not found["services"]:
        yield "  No service of the map can be done on this machine."
    width = max((len(row["name"]) for row in found["services"]), default=0)
    for row in found["services"]:
        alone = f"{row['minutes_alone']:g} on its own"
        words = "done by this job" if not row["acts"] else f"{row['minutes_more']:g} minutes more now, {alone}"
        yield f"  {_upper(row['name']).ljust(width)}  {words}" + ("" if row["proven"] else " (not proven: the time was up)")
        yield from (f"      {act}" for act in row["acts"] if row["minutes_more"] < row["minutes_alone"])

"""Chosen items as operations with tools, sides and poses, ready to be ordered; which of them are work, which are facts.

Knows what kind of act each item is; nothing of costs of changes (order.py) nor of words.
"""

from collections.abc import Collection, Iterable

from benchtrail.domain.planning.needs import Machine, Way
from benchtrail.domain.planning.operations import Mode, Operation
from benchtrail.domain.planning.problem import Problem
from benchtrail.domain.planning.windows import Windows

WORK = ("un", "go", "free", "aside", "drained", "set", "check", "renewed")
# one change of tool, of side, and of pose (every family alike)
TOOL_COST, SIDE_COST, POSE_COST = 1, 3, 10
UNSEEN_SIDES = ("centre", "frame")


def is_work(machine: Machine, key: str) -> bool:
    """True if an item is something to do; False for facts, and for a setting that already stands so."""
    kind, _, name = key.partition(":")
    if kind == "set":
        setting, _, value = name.partition("=")
        return bool(machine["settings"][setting]["start"] != value)
    return kind in WORK


def side_of(machine: Machine, key: str) -> str | None:
    """The side of the machine from which an item is worked on."""
    kind, _, name = key.partition(":")
    parts = machine["parts"]
    if kind == "un":
        members = machine["joints"][name]["joins"]
    elif kind == "go":
        members = machine["units"][name]["parts"] if name in machine["units"] else [name]
    else:
        members = [name] if kind == "aside" else []
    sides = [parts[part]["side"] for part in members if part in parts]
    return next((side for side in sides if side and side not in UNSEEN_SIDES), None)


def tools_of(machine: Machine, key: str) -> frozenset[str]:
    """The tools of which one is needed; empty when the hand will do."""
    kind, _, name = key.partition(":")
    if kind != "un":
        return frozenset()
    tools = machine["joints"][name]["tools"]
    bare = [tool for tool in tools if machine["tools"].get(tool, {}).get("kind") == "none"]
    return frozenset() if bare else frozenset(tools)


def families_of(machine: Machine) -> list[str]:
    """The pose families, in a stable order."""
    return sorted({pose["family"] for pose in machine["poses"].values()})


def change_costs(machine: Machine) -> list[int]:
    """The cost of one change in each dimension: tool, side, then each pose family."""
    return [TOOL_COST, SIDE_COST, *(POSE_COST for _ in families_of(machine))]


def operations_of(machine: Machine, problem: Problem, chosen: Iterable[str]) -> list[Operation]:
    """The chosen items as operations; every alternative that the chosen set holds is one mode.

    Facts ask for no label. Poses become labels; being allowed to enter one is a fact.
    """
    among = frozenset(chosen)
    ways = {key: [way for way in problem.items[key].alternatives if way <= among] for key in among}
    edges = Windows(machine, problem).edges(among, ways)
    wished = {key: set(needs) for key, needs in edges.items()}
    for key, needs in _upright_first(machine, among, ways).items():
        wished.setdefault(key, set()).update(needs)
    for before in (wished, edges):
        operations = [_operation(machine, key, ways[key], frozenset(before.get(key, set()))) for key in sorted(among)]
        if _can_all_be_done(operations):
            break
    return operations


def _can_all_be_done(operations: list[Operation]) -> bool:
    done: set[str] = set()
    while True:
        now = {operation.id for operation in operations
               if operation.id not in done and any(mode.needs <= done for mode in operation.modes)}
        if not now:
            return len(done) == len(operations)
        done |= now


def _operation(machine: Machine, key: str, ways: list[Way], before: frozenset[str]) -> Operation:
    work = is_work(machine, key)
    kind, _, name = key.partition(":")
    modes = tuple(_mode(machine, key, way, before, work) for way in ways)
    late = kind == "un" and (machine["joints"][name]["safety"] != "normal" or _holds_heavy(machine, name))
    return Operation(key, modes, not work, late, kind == "set" or kind == "drained")


def _holds_heavy(machine: Machine, joint: str) -> bool:
    """True for a joint that holds a part that must be held when it is free: it is undone as late as can be."""
    return any(machine["parts"][part]["hold"] for part in machine["joints"][joint]["joins"] if part in machine["parts"])


def _mode(machine: Machine, key: str, way: Way, before: frozenset[str], work: bool) -> Mode:
    if not work:
        return Mode(way | before)
    side = side_of(machine, key)
    values = [tools_of(machine, key), frozenset([side] if side else [])]
    for family in families_of(machine):
        poses = [need.partition(":")[2] for need in way if need.startswith("pose:")]
        values.append(frozenset(pose for pose in poses if machine["poses"][pose]["family"] == family))
    return Mode(way | before, tuple(values))


def _upright_first(machine: Machine, among: frozenset[str], ways: dict[str, list[Way]]) -> dict[str, set[str]]:
    """A machine is laid over only when all that does not depend on it is done: what needs something before it is
    entered is an awkward pose."""
    before: dict[str, set[str]] = {}
    awkward = [key for key in among if key.startswith("pose:") and machine["poses"][key[5:]]["needs"]]
    for pose in sorted(awkward):
        depending = _depending(among, ways, pose)
        before[pose] = {key for key in among - depending
                        if is_work(machine, key) and not _only_in_other_awkward(ways[key], awkward)}
    return before if len(awkward) == 1 else {}


def _only_in_other_awkward(ways: list[Way], awkward: Collection[str]) -> bool:
    return all(any(pose in way for pose in awkward) for way in ways)


def _depending(among: frozenset[str], ways: dict[str, list[Way]], key: str) -> set[str]:
    """Items that cannot be done without this one."""
    done: set[str] = set()
    grown = True
    while grown:
        now = {item for item in among - done - {key} if any(way <= done for way in ways[item])}
        grown = bool(now)
        done |= now
    return set(among - done)

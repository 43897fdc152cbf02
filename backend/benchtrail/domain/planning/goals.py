"""Goals of a plan as people write them: `renewed pump_seal`, `out seat`, `measure chain_slack`. Finds near names.

Knows which words a goal may begin with and what each can be about; nothing of plans.
"""

from collections.abc import Iterable
from difflib import get_close_matches

from benchtrail.domain.planning.needs import Machine
from benchtrail.domain.refused import Refused

ABOUT: dict[str, tuple[str, ...]] = {
    "out": ("parts", "units"), "aside": ("parts",), "renewed": ("parts", "units", "joints"), "undone": ("joints",),
    "reach": ("joints",), "measure": ("checks",), "done": ("checks",), "drained": ("fluids",), "changed": ("fluids",),
    "pose": ("poses",),
}


def read_goal(machine: Machine, text: str) -> tuple[str, str]:
    """The goal of a text. Raises Refused("goal_unreadable" | "goal_unknown")."""
    words = text.split()
    if len(words) != 2 or words[0] not in ABOUT:
        raise Refused("goal_unreadable", goal=text.strip()[:80], words=", ".join(ABOUT))
    word, key = words
    tables = ABOUT[word]
    if not any(key in machine[table] for table in tables):
        known = [name for table in tables for name in machine[table]]
        raise Refused("goal_unknown", goal=f"{word} {key}"[:80], meant=_nearest(machine, key, known, tables))
    return word, key


def _nearest(machine: Machine, key: str, known: list[str], tables: Iterable[str]) -> str:
    """Ids near to what was written, by id or by name; else a few that there are."""
    by_name: dict[str, str] = {entry["name"].lower().replace(" ", "_"): name
                               for table in tables for name, entry in machine[table].items()}
    near = get_close_matches(key.lower(), [*known, *by_name], n=3, cutoff=0.5)
    inside = [name for name in known if key.lower() in name]
    found = list(dict.fromkeys([*(by_name.get(name, name) for name in near), *inside]))
    return ", ".join(found[:3] or sorted(known)[:3]) or "nothing of this kind is on the map"

"""Plans at the desk: the maps in force with what can be asked of them, and the least work for goals, within a time.

Knows published maps and how long someone waits for an answer; how a plan is found is services/plan.py, HTTP is api's.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as Late
from difflib import get_close_matches
from functools import lru_cache
from threading import BoundedSemaphore
from typing import Any, TypeVar

from benchtrail.domain.bench_state import GUARDED_TABLES, for_variant
from benchtrail.domain.guards import Variant
from benchtrail.domain.planning.goals import ABOUT, read_goal
from benchtrail.domain.refused import Refused
from benchtrail.domain.variants import variants_of
from benchtrail.services.library_files import pack_bytes
from benchtrail.services.plan import plan_model
from benchtrail.services.plan_layers import with_layers
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject
from benchtrail.services.while_apart import WhileApart

T = TypeVar("T")
LONGEST_WAIT_S = 15.0
ALSO_SECONDS = 0.5
PLANS_AT_ONCE = 2
TABLES = ("parts", "units", "joints", "fluids", "checks")
_workers = ThreadPoolExecutor(PLANS_AT_ONCE, thread_name_prefix="plan")
_places = BoundedSemaphore(PLANS_AT_ONCE)


def models_of(ports: Ports, dealer: str) -> list[JsonObject]:
    """The dealer's maps in force, each with its years, options and the things that goals can name."""
    return [_model(_map(ports, sha256)) for sha256 in _in_force(ports, dealer).values()]


def goal_words() -> dict[str, list[str]]:
    """First word of a goal → the tables of things that it can be about."""
    return {word: [table for table in tables if table in TABLES] for word, tables in ABOUT.items() if word != "pose"}


def plan_at_desk(ports: Ports, dealer: str, model: str, goals: Sequence[str], variant: Variant | None,
                 wait_s: float = LONGEST_WAIT_S) -> JsonObject:
    """The plan as `plan_model` gives it, with layers, and for each group the goals that its machines have nothing for.

    Raises Refused: desk_plan_model_unknown, desk_plan_late (no answer within `wait_s`), desk_plan_busy, and what
    `plan_model` raises.
    """
    known = _in_force(ports, dealer)
    if model not in known:
        near = get_close_matches(model, known, n=3, cutoff=0.4) or sorted(known)
        raise Refused("desk_plan_model_unknown", model=model[:80], models=", ".join(near) or "none yet")
    pack = _map(ports, known[model])
    return in_time(lambda: _planned(pack, tuple(goals), variant, wait_s), wait_s)


def in_time(work: Callable[[], T], wait_s: float = LONGEST_WAIT_S) -> T:
    """What the work answers, beside few others. Raises Refused("desk_plan_busy" | "desk_plan_late")."""
    if not _places.acquire(blocking=False):
        raise Refused("desk_plan_busy", retry_s=5)
    future = _workers.submit(work)
    future.add_done_callback(_leave)
    try:
        return future.result(wait_s)
    except Late:
        raise Refused("desk_plan_late", seconds=f"{wait_s:g}") from None


def _leave(_: Future[T]) -> None:
    """A place is free only when the work has ended, also work that nobody waits for any more."""
    _places.release()


def _planned(pack: Mapping[str, Any], goals: Sequence[str], variant: Variant | None, wait_s: float) -> JsonObject:
    found = plan_model(pack, goals, variant, seconds=_seconds_each(pack, variant, wait_s))
    wanted = [read_goal(pack, goal) for goal in goals]
    for group in found["groups"]:
        one = group["each"][0]
        group["plan"]["operations"] = with_layers(pack, one, wanted, group["plan"]["operations"])
        group["not_here"] = _not_here(pack, one, wanted)
        group["also"] = WhileApart(pack, ALSO_SECONDS).extra(one, wanted)
    return found


def _seconds_each(pack: Mapping[str, Any], variant: Variant | None, wait_s: float) -> float:
    """The time for each variant's plan, so that an honest bound comes back rather than no answer."""
    guards = (entry.get("when") for table in GUARDED_TABLES for entry in pack[table].values())
    count = 1 if variant is not None else len(variants_of(pack, guards).variants)
    return max(0.5, wait_s / 2 / max(count, 1))


def _not_here(pack: Mapping[str, Any], variant: Variant, wanted: Sequence[tuple[str, str]]) -> list[str]:
    machine = for_variant(pack, variant)
    return [f"{word} {key}" for word, key in wanted if not any(key in machine[table] for table in ABOUT[word])]


def _in_force(ports: Ports, dealer: str) -> dict[str, str]:
    """Model → SHA-256 of its newest map."""
    with ports.storage.reading() as unit:
        packs = [pack for pack in unit.packs.all(dealer) if pack.kind == "model"]
    return {pack.subject: pack.sha256 for pack in reversed(packs)}


def _map(ports: Ports, sha256: str) -> Mapping[str, Any]:
    return _read(sha256, pack_bytes(ports, sha256))


@lru_cache(maxsize=16)
def _read(sha256: str, content: bytes) -> Mapping[str, Any]:
    pack: Mapping[str, Any] = json.loads(content)
    return pack


def _model(pack: Mapping[str, Any]) -> JsonObject:
    things = {table: [{"id": key, "name": entry["name"]} for key, entry in pack[table].items()] for table in TABLES}
    options = [{"id": option["id"], "name": option["name"], "group": option["group"]} for option in pack["options"]]
    return {"id": pack["model"], "name": pack["name"], "years": list(pack["years"]), "options": options, "things": things}

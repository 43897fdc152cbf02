"""The functions that shared/vectors may call, by name; frontend/src/domain/vector-functions.ts has the same lines.

A vector calls a function with its `input` as named arguments; what it gives back must be plain data.
"""

import struct
from collections.abc import Callable
from typing import Any

from tests.domain.calculation_functions import calculation_functions

from benchtrail.domain import bench_state, end_items
from benchtrail.domain.canonical_json import canonical_json, canonical_number
from benchtrail.domain.difference.on_job import on_job
from benchtrail.domain.event_hash import event_hash, job_digest
from benchtrail.domain.event_problems import event_problems
from benchtrail.domain.guards import guard_holds
from benchtrail.domain.hlc import merge_hlc, next_hlc
from benchtrail.domain.job_lists import derived_lists, figures_of_steps, progress, step_order
from benchtrail.domain.journal import fold_journal
from benchtrail.domain.standing import NO_DOUBTS
from benchtrail.domain.step_times import step_times
from benchtrail.domain.verdict import reading_limits, verdict
from benchtrail.domain.way_out import way_out


def listed(state: Any) -> dict[str, Any]:
    """The fields of a bench state that list something."""
    return {key: value for key, value in state.items() if value}


def state_after(pack: Any, actions: Any) -> bench_state.BenchState:
    state = bench_state.start_state(pack)
    for action in actions:
        state = bench_state.apply_action(pack, state, action)
    return state


def bench_state_of_all_steps(pack: Any, variant: Any) -> dict[str, Any]:
    whole = bench_state.for_variant(pack, variant)
    return listed(bench_state.apply_steps(whole, [step["id"] for step in whole["steps"]]))


def end_items_of_all_steps(pack: Any, variant: Any, without: Any = ()) -> Any:
    whole = bench_state.for_variant(pack, variant)
    steps = [step["id"] for step in whole["steps"] if step["id"] not in without]
    return end_items.end_items(whole, bench_state.apply_steps(whole, steps))


def kept_for_variant(pack: Any, variant: Any) -> dict[str, Any]:
    """What for_variant takes out of the fixture, and what it leaves where something was taken out."""
    whole = bench_state.for_variant(pack, variant)
    gone = {key for table in bench_state.GUARDED_TABLES for key in pack[table] if key not in whole[table]}
    steps = {step["id"] for step in pack["steps"]} - {step["id"] for step in whole["steps"]}
    screws = whole["joints"]["cover_screws"]
    return {"absent": sorted(gone), "steps_gone": sorted(steps), "cover_joins": screws["joins"],
            "cover_reach": screws["reach"], "after_seal_needs": whole["follow_ons"]["after_seal"]["needs"],
            "goal": whole["goal"], "tray_covers": whole["aids"]["drip_tray"]["covers"],
            "tray_first_needs": whole["isolations"]["tray_first"]["needs"]}


def ways_out_along(pack: Any, variant: Any) -> list[Any]:
    """Before the first step and after each: `[step, {leave, push: [shorter, rows of on, rows of back, rows of mixed]}]`."""
    whole = bench_state.for_variant(pack, variant)
    ids = [step["id"] for step in whole["steps"]]
    told = []
    for n in range(len(ids) + 1):
        ways = way_out(whole, ids[:n])
        told.append([ids[n - 1] if n else None, {aim: [found["shorter"], *(
            way and [f"{row['verb']} {row['object']}" for row in way["rows"]] for way in (found["on"], found["back"], found["mixed"])
        )] for aim, found in ways.items()}])
    return told


def shortest_way(pack: Any, done: Any, skipped: Any) -> dict[str, list[int] | None]:
    """By aim: rows without a time, hundredths of a minute and rows of the shortest way; nulls for none."""
    told = way_out(pack, done, {"skipped": skipped, "outside": []})
    return {aim: [0, 0, 0] if found["now"] else _length(dict(found)) for aim, found in told.items()}


def _length(found: dict[str, Any]) -> list[int] | None:
    way = found[found["shorter"]] if found["shorter"] else None
    return way and [way["untimed"], round(100 * way["minutes"]), len(way["rows"])]


FUNCTIONS: dict[str, Callable[..., Any]] = {
    "apply_action": bench_state.apply_action,
    "apply_steps": bench_state.apply_steps,
    "bench_state_after": lambda pack, actions: listed(state_after(pack, actions)),
    "bench_state_of_all_steps": bench_state_of_all_steps,
    "canonical_json": canonical_json,
    "canonical_number_of_bits": lambda bits: canonical_number(struct.unpack(">d", bytes.fromhex(bits))[0]),
    "end_items_after": lambda pack, actions: end_items.end_items(pack, state_after(pack, actions)),
    "end_items_of_all_steps": end_items_of_all_steps,
    "derived_lists": lambda pack, variant: derived_lists(bench_state.for_variant(pack, variant)),
    "event_hash": event_hash,
    "event_problems": event_problems,
    "figures_of_steps": lambda pack, variant: figures_of_steps(bench_state.for_variant(pack, variant)),
    "fold_journal": fold_journal,
    "guard_holds": guard_holds,
    "job_digest": job_digest,
    "kept_for_variant": kept_for_variant,
    "ledger_after": lambda pack, actions: end_items.ledger(pack, state_after(pack, actions)),
    "merge_hlc": merge_hlc,
    "next_hlc": next_hlc,
    "on_job": on_job,
    "progress": progress,
    "reading_limits": reading_limits,
    "shortest_way": shortest_way,
    "start_state": bench_state.start_state,
    "step_times": step_times,
    "step_order": lambda pack, variant: step_order(bench_state.for_variant(pack, variant)),
    "tray_after": lambda pack, actions: end_items.tray(pack, state_after(pack, actions)),
    "verdict": verdict,
    "way_out": lambda pack, variant, done, doubts=NO_DOUBTS: way_out(bench_state.for_variant(pack, variant), done, doubts),
    "ways_out_along": ways_out_along,
    **calculation_functions(),
}

"""Runs every check: over a machine's objects, over a procedure's text, and over the procedure played through.

Knows which checks there are and their order; a new check is one line here.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.checks import (
    machine_access,
    machine_names,
    machine_recipes,
    machine_references,
    play_access,
    play_fits,
    play_fluids,
    play_hazards,
    play_joints,
    play_openings,
    steps_cautions,
    steps_controlled,
    steps_fasteners,
    steps_head,
    steps_language,
    steps_lists,
    steps_references,
)
from benchtrail.domain.checks.kinds import ACTION_TABLES, CHECK_VERBS
from benchtrail.domain.checks.play import CheckMoment, play
from benchtrail.domain.checks.play_end import check_end, check_way
from benchtrail.domain.checks.subject import Job, Machine, Objects
from benchtrail.domain.compile_pack import carried_tables
from benchtrail.domain.findings import Finding
from benchtrail.domain.guards import guard_holds
from benchtrail.domain.map_text import TABLES
from benchtrail.domain.pack import ProcedurePack
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.variants import VariantSpace, usable_guard, variants_of

MACHINE_CHECKS = (
    machine_references.check_references, machine_references.check_setting_values, machine_references.check_guard_words,
    machine_references.check_guards_hold, machine_references.check_joint_members,
    machine_references.check_units_connected, machine_access.check_access, machine_recipes.check_rebuild_recipe,
    machine_recipes.check_provenance, machine_recipes.check_plausible_torque, machine_recipes.check_fluids,
    machine_recipes.check_positions, machine_names.check_cautions, machine_names.check_one_name,
    steps_controlled.check_messages_language,
)
JOB_CHECKS = (
    steps_references.check_fitment, steps_references.check_names, steps_references.check_action_kinds,
    steps_lists.check_tools, steps_lists.check_lists, steps_lists.check_amounts, steps_lists.check_figures,
    steps_fasteners.check_fasteners,
    steps_cautions.check_messages_ahead, steps_cautions.check_inline_cautions, steps_head.check_disposal,
    steps_head.check_safety_class, steps_language.check_sentences, steps_language.check_words,
    steps_language.check_limits, steps_controlled.check_voice, steps_controlled.check_names_said,
)
_TURN, _TAKE = ("undo", "slacken", "start", "tighten"), ("remove", "hang")
# each check with the verbs that it looks at; the order is that of the faults of one action
MOMENT_CHECKS: dict[CheckMoment, tuple[str, ...]] = {
    play_access.check_reach: (*_TURN, *_TAKE, *CHECK_VERBS), play_access.check_held: ("remove",),
    play_access.check_pose_needs: ("pose",), play_access.check_pose_lasts: ("fit", "set"), play_access.check_fit_way: ("fit",),
    play_access.check_members_on: ("start", "tighten"), play_joints.check_reused: ("fit", "start", "tighten"),
    play_joints.check_started: ("tighten",), play_joints.check_started_made: ("start",),
    play_joints.check_stage_order: ("tighten",), play_joints.check_stage_pose: ("tighten",),
    play_joints.check_treated: ("start", "tighten"),
    play_joints.check_needless: (*_TURN, "remove", "drain", "aid_on", "aid_off"),
    play_fluids.check_opened_full: ("undo", "slacken"), play_fluids.check_spilled: ("pose",),
    play_fluids.check_filled_shut: ("fill",), play_fluids.check_filled_full: ("fill",),
    play_fluids.check_drain_open: ("drain",), play_hazards.check_isolated: tuple(ACTION_TABLES),
    play_hazards.check_supported: ("undo", "remove", "hang", "aid_off"), play_fits.check_way_round: ("fit",),
    play_fits.check_own_place: ("remove",), play_fits.check_part_treated: ("fit",),
    play_fits.check_supply_belongs: ("apply",), play_fits.check_open_time: ("fit", "tighten"),
    play_fits.check_cured: ("fill", "run"),
}
OF_VERB = {verb: tuple(check for check, verbs in MOMENT_CHECKS.items() if verb in verbs) for verb in ACTION_TABLES}
STEP_CHECKS = (play_openings.check_openings,)


def machine_of(tables: Objects, notes: Notes, model: Mapping[str, Any] | None) -> Machine:
    """A machine with the variants that its own guards tell apart. Raises Refused("too_many_variants")."""
    guards = {f"{table}.{key}": entry["when"] for table, entries in tables.items() for key, entry in entries.items()}
    guards |= {f"options.{option['id']}": option["when"] for option in (model["options"] if model else ())}
    model = _with_usable_options(model)
    usable = {table: _usable(entries, model) for table, entries in tables.items()}
    space = variants_of(model, [entry["when"] for entries in usable.values() for entry in entries.values()])
    return Machine(usable, notes, model, space, guards)


def _with_usable_options(model: Mapping[str, Any] | None) -> Mapping[str, Any] | None:
    if model is None:
        return None
    options = [option | {"when": usable_guard(option["when"], model)} for option in model["options"]]
    return {**model, "options": options}


def _usable(entries: Mapping[str, Any], model: Mapping[str, Any] | None) -> dict[str, Any]:
    return {key: {**entry, "when": usable_guard(entry["when"], model)} for key, entry in entries.items()}


def job_of(pack: ProcedurePack, text: ProcedureText, machine: Machine) -> Job:
    """A procedure with the variants that the guards of its pack tell apart. Raises Refused("too_many_variants")."""
    tables = {table: _usable(pack[table], machine.model) for table in TABLES}  # type: ignore[literal-required]
    steps = [{**step, "when": usable_guard(step["when"], machine.model)} for step in pack["steps"]]
    usable = cast(ProcedurePack, {**pack, **tables, "steps": steps})
    guards = [entry["when"] for table in tables.values() for entry in table.values()]
    guards += [step["when"] for step in steps]
    space = variants_of(machine.model, guards, usable_guard(pack["applies"], machine.model))
    return Job(usable, text, machine, space, _packs(usable, space))


def _packs(pack: ProcedurePack, space: VariantSpace) -> list[dict[str, Any]]:
    """The pack in each variant; one for all those of them in which the same guards hold."""
    tables = [table for name, table in pack.items() if name in TABLES]
    guards = {repr(entry["when"]): entry["when"] for table in tables for entry in table.values()}  # type: ignore[attr-defined]
    guards |= {repr(step["when"]): step["when"] for step in pack["steps"]}
    made: dict[tuple[bool, ...], dict[str, Any]] = {}
    found = []
    for variant in space.variants:
        holds = tuple(guard_holds(guard, variant) for guard in guards.values())
        if holds not in made:
            made[holds] = for_variant(pack, variant)
        found.append(made[holds])
    return found


def check_machine(machine: Machine) -> list[Finding]:
    """Everything that the M checks, and the S checks of names and cautions, find in a machine's objects."""
    return [finding for check in MACHINE_CHECKS for finding in check(machine)]


def check_job(job: Job) -> list[Finding]:
    """Everything that the S, D and E checks find in a procedure."""
    return [finding for check in JOB_CHECKS for finding in check(job)] + check_played(job)


def check_played(job: Job) -> list[Finding]:
    """What playing the procedure in every variant finds. Steps that could not be read are not played: their absence
    would be found a second time in everything that follows."""
    steps = steps_references.repaired_steps(job) if job.text.playable else None
    if steps is None:
        return []
    if steps != job.pack["steps"]:
        carried = carried_tables(job.machine.tables, job.pack, steps)
        pack = cast(ProcedurePack, {**job.pack, **carried, "steps": steps})
        job = replace(job, pack=pack, packs=_packs(pack, job.space))
    found = job.gather()
    alike = _alike(job.packs)
    for played in play([job.packs[numbers[0]] for numbers in alike], OF_VERB, STEP_CHECKS):
        for variant in alike[played.variant] if played.pack["steps"] else ():
            check_way(job, found, replace(played, variant=variant))
            check_end(job, found, replace(played, variant=variant))
    return found.findings()


def _alike(packs: Sequence[Mapping[str, Any]]) -> list[list[int]]:
    """The numbers of the variants, those together that are one pack."""
    found: dict[int, list[int]] = {}
    for number, pack in enumerate(packs):
        found.setdefault(id(pack), []).append(number)
    return list(found.values())

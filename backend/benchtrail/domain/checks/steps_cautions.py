"""S5, S6, S7 of a procedure: every hazard has its message, at the step or at the one before, strong enough and whole.

Knows the map's cautions and their triggers; plays nothing.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from benchtrail.domain.action_text import matches_trigger
from benchtrail.domain.checks.machine_names import note_caution
from benchtrail.domain.checks.subject import Job
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.guards import guard_holds

ERROR, BLOCK = Severity.ERROR, Severity.BLOCK
Step = Mapping[str, Any]


def check_messages_ahead(job: Job) -> list[Finding]:
    """S5: a step does what a caution of the map is for, and neither it nor the step before names that caution; S7 when
    the procedure has the message elsewhere, where nothing calls for it."""
    found = job.gather()
    cautions = job.machine.tables["cautions"]
    by_verb: dict[str, list[tuple[str, Sequence[str]]]] = {}
    for key, caution in cautions.items():
        for trigger in caution["triggers"]:
            by_verb.setdefault(trigger[0], []).append((key, trigger))
    called = {step["id"]: _called_for(step, by_verb) for step in job.pack["steps"]}
    for n, (pack, variant) in enumerate(zip(job.packs, job.space.variants, strict=True)):
        fitted = {key for key, caution in cautions.items() if guard_holds(caution["when"], variant)}
        for step, key in _unwarned(job, pack["steps"], called, fitted):
            where = job.where(step, "caution", "do")
            elsewhere = _misplaced(pack["steps"], key, called)
            if elsewhere is None:
                found.add("S5", BLOCK, "caution_missing", where, n, caution=key, hazard=cautions[key]["hazard"],
                          action=called[step][key])
            else:
                found.add("S7", ERROR, "caution_misplaced", where, n, caution=key, elsewhere=elsewhere)
    return found.findings()


def _called_for(step: Mapping[str, Any], by_verb: Mapping[str, Sequence[tuple[str, Sequence[str]]]]) -> dict[str, str]:
    """The cautions whose trigger an action of the step is → that trigger in words."""
    return {key: " ".join(trigger).replace("aid_", "aid ") for action in step["do"]
            for key, trigger in by_verb.get(action["verb"], ()) if matches_trigger(action, trigger)}


def _unwarned(job: Job, steps: Sequence[Step], called: Mapping[str, dict[str, str]],
              fitted: Collection[str]) -> Iterator[tuple[str, str]]:
    """(step, caution) where the message stands neither at the step nor at the one before."""
    for place, step in enumerate(steps):
        near = steps[max(0, place - 1):place + 1]
        for key in called[step["id"]]:
            said = any(key in one["cautions"] or job.is_unread(one["id"], "caution") for one in near)
            if key in fitted and not said:
                yield step["id"], key


def _misplaced(steps: Sequence[Step], key: str, called: Mapping[str, dict[str, str]]) -> str | None:
    """A step that names the caution though neither it nor the one after it calls for it."""
    for place, step in enumerate(steps):
        if key in step["cautions"] and not any(key in called[near["id"]] for near in steps[place:place + 2]):
            return str(step["id"])
    return None


def check_inline_cautions(job: Job) -> list[Finding]:
    """S6, S7: the messages that a step gives itself."""
    found = job.gather()
    for step in job.text.steps:
        for n, caution in enumerate(step["caution"]):
            if not isinstance(caution, str):
                note_caution(found, job.where(step["id"], f"caution.{n}", "caution"), step["id"], caution)
    return found.findings()

"""M1, M2, S1 of a procedure: what its head and its steps name is there, of the right kind, and fitted where it is used.

Knows words and ids; plays nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from benchtrail.domain.checks.kinds import ACTION_TABLES, APPLY_TO, CHECK_VERBS, LITERAL_TABLES, OTHER_CHECK_KINDS
from benchtrail.domain.checks.machine_references import note_guard
from benchtrail.domain.checks.subject import Gathered, Job
from benchtrail.domain.findings import Finding, Severity, Where
from benchtrail.domain.guards import guard_holds
from benchtrail.domain.map_text import NOUNS
from benchtrail.domain.source_notes import meant, nearest

ERROR = Severity.ERROR


class Named(NamedTuple):
    """One id that a step names: where, of which tables it may be, and in which step of the pack."""

    where: Where
    key: str
    tables: tuple[str, ...]
    step: Mapping[str, Any] | None


def _said_literals(job: Job) -> list[str]:
    """The keys of the head with conditions; `ends` only when it is written, else it is `start` again."""
    return [name for name in ("goal", "start", "ends") if f"procedure.{name}" in job.text.notes.lines]


def _of_head(job: Job) -> Iterator[Named]:
    for name in _said_literals(job):
        literals: list[list[str]] = job.text.head[name]
        yield from (Named(job.head(name), literal[1], LITERAL_TABLES[literal[0]], None) for literal in literals)
    for kind in ("tools", "supplies"):
        where = job.text.notes.where(f"prepare.{kind}", "procedure.prepare")
        yield from (Named(where, key, (kind,), None) for key in job.text.head["prepare"][kind])


def _of_steps(job: Job) -> Iterator[Named]:
    for step, fitted in zip(job.text.steps, job.pack["steps"], strict=True):
        yield from (named._replace(step=fitted) for named in _of_step(job, step))


def _of_step(job: Job, step: Mapping[str, Any]) -> Iterator[Named]:
    yield from _of_actions(job, step)
    key = step["id"]
    yield from (Named(job.where(key, "tools"), tool, ("tools",), step) for tool in step["tools"])
    yield from (Named(job.where(key, "caution"), caution, ("cautions",), step) for caution in step["caution"]
                if isinstance(caution, str))
    if step["figure"]:
        yield Named(job.where(key, "figure"), step["figure"], ("figures",), step)
    if step["limits"]:
        limits, where = step["limits"], job.where(key, "limits")
        yield from (Named(where, limits[bound], ("figures",), step) for bound in ("at_least", "at_most")
                    if limits[bound])
        if limits["check"]:
            yield Named(where, limits["check"], ("checks",), step)


def _of_actions(job: Job, step: Mapping[str, Any]) -> Iterator[Named]:
    for n, action in enumerate(step["do"]):
        where = job.where(step["id"], f"do.{n}", "do")
        tables = ACTION_TABLES.get(action["verb"])
        if tables:
            yield Named(where, action["object"], tables, step)
        if "to" in action:
            yield Named(where, action["to"], APPLY_TO, step)


def check_names(job: Job) -> list[Finding]:
    """M1: an id in the head or a step that names nothing, or what some variant of that step does not have."""
    found = job.gather()
    told: set[tuple[str, int]] = set()
    for named in (*_of_head(job), *_of_steps(job)):
        tables = job.machine.tables
        home = next((table for table in named.tables if named.key in tables[table]), None)
        owner = f"step “{named.step['id']}”" if named.step else "the head"
        if home is None:
            known = [key for table in named.tables for key in tables[table]]
            found.add("M1", ERROR, "reference_unknown", named.where, id=named.key, owner=owner,
                      kind=" or ".join(NOUNS[table] for table in named.tables), meant=meant(named.key, known))
        elif named.step is not None:
            # a step for the wrong machines names several things that these are without: the first is enough
            absent = [n for n in _absent_in(job, named.step, tables[home][named.key]) if (owner, n) not in told]
            told |= {(owner, n) for n in absent}
            for n in absent:
                found.add("M1", ERROR, "reference_absent", named.where, n, object=job.machine.name(named.key),
                          owner=owner)
    return found.findings()


def _absent_in(job: Job, step: Mapping[str, Any], entry: Mapping[str, Any]) -> list[int]:
    """The variants that have the step and not the object."""
    return [] if entry["when"] is None else [n for n, variant in enumerate(job.space.variants)
            if guard_holds(step["when"], variant) and not guard_holds(entry["when"], variant)]


def check_action_kinds(job: Job) -> list[Finding]:
    """M1: a check of another kind than the verb, a value that a setting does not have, a stage that a joint does not
    have."""
    found = job.gather()
    for step in job.text.steps:
        for n, action in enumerate(step["do"]):
            _check_action(job, found, action, job.where(step["id"], f"do.{n}", "do"))
    for name in _said_literals(job):
        for literal in job.text.head[name]:
            if literal[0] == "set":
                _check_value(job, found, literal[1], literal[2], job.head(name))
    return found.findings()


def _check_action(job: Job, found: Gathered, action: Mapping[str, Any], where: Where) -> None:
    verb, key, tables = action["verb"], action["object"], job.machine.tables
    if verb in CHECK_VERBS and key in tables["checks"]:
        kind = tables["checks"][key]["kind"]
        if kind not in (verb, *OTHER_CHECK_KINDS.get(verb, ())):
            found.add("M1", ERROR, "check_of_other_kind", where, object=job.machine.name(key), kind=kind, verb=verb)
    if verb == "set":
        _check_value(job, found, key, action["value"], where)
    joint = tables["joints"].get(key)
    if joint and action.get("stage", 0) > len(joint["stages"]):
        found.add("M1", ERROR, "stage_unknown", where, object=job.machine.name(key), stage=action["stage"],
                  count=len(joint["stages"]))


def _check_value(job: Job, found: Gathered, setting: str, value: str, where: Where) -> None:
    entry = job.machine.tables["settings"].get(setting)
    if entry is not None and value not in entry["values"]:
        found.add("M1", ERROR, "setting_value_unknown", where, value=value, object=job.machine.name(setting),
                  meant=meant(value, entry["values"]))


def check_fitment(job: Job) -> list[Finding]:
    """S1, M1, M2: guards of the head and of steps: words, years, and whether they ever hold."""
    found = job.gather()
    if "procedure.applies" in job.text.notes.lines and "procedure.applies" not in job.text.notes.broken:
        _note_applies(job, found)
    for step, fitted in zip(job.text.steps, job.pack["steps"], strict=True):
        note_guard(job.machine, found, step["when"], f"steps.{step['id']}", step["id"])
        holds = [guard_holds(fitted["when"], variant) for variant in job.space.variants]
        if job.space.variants and not any(holds):
            found.add("M2", ERROR, "guard_never", job.where(step["id"], "when"), owner=f"step “{step['id']}”")
    return found.findings()


def _note_applies(job: Job, found: Gathered) -> None:
    applies = job.text.head["applies"]
    inner = Gathered(replace(job.text.notes, lines={"applies": job.head("applies").line}), job.space)
    note_guard(job.machine, inner, applies, "applies")
    findings = inner.findings()
    for finding in findings:
        found.add(finding.check, finding.severity, finding.code, finding.where, None, **finding.values)
    if not job.space.variants and not findings:
        found.add("S1", ERROR, "applies_to_none", job.head("applies"))


def repaired_steps(job: Job) -> list[dict[str, Any]] | None:
    """The pack's steps with every unknown object of an action, and every wrong kind of check, replaced by what was
    probably meant, so that a slip of one word does not hide what playing would find; None when it cannot be guessed."""
    steps: list[dict[str, Any]] = []
    for step in job.pack["steps"]:
        actions = [_repaired(job, dict(action)) for action in step["do"]]
        if None in actions:
            return None
        steps.append({**step, "do": actions})
    return steps


def _repaired(job: Job, action: dict[str, Any]) -> dict[str, Any] | None:
    for name, tables in (("object", ACTION_TABLES.get(action["verb"])), ("to", APPLY_TO)):
        if tables and name in action and not any(action[name] in job.machine.tables[table] for table in tables):
            near = nearest(action[name], [key for table in tables for key in job.machine.tables[table]])
            if near is None:
                return None
            action[name] = near
    check = job.machine.tables["checks"].get(action["object"])
    if action["verb"] in CHECK_VERBS and check and check["kind"] not in OTHER_CHECK_KINDS.get(action["verb"], ()):
        action["verb"] = check["kind"]
    return action

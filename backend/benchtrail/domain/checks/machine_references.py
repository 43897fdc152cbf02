"""M1, M2: everything a machine's objects name is there, is of the right kind, and is fitted wherever it is needed.

Knows the objects of a map, or of a procedure without one; nothing of steps.
"""

from benchtrail.domain.checks.kinds import Reference, references, set_values
from benchtrail.domain.checks.subject import Gathered, Machine
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.guards import Guard
from benchtrail.domain.map_text import FRAME, NOUNS
from benchtrail.domain.source_notes import meant
from benchtrail.domain.variants import guard_options, guard_years

ERROR = Severity.ERROR


def check_references(machine: Machine) -> list[Finding]:
    """M1: an id that names nothing, or something of another kind, or something that some variant does not have."""
    found = machine.gather()
    for table, key, entry in machine.entries():
        for reference in references(table, entry):
            if reference.key != FRAME:
                _check_reference(machine, found, table, key, reference)
    return found.findings()


def _check_reference(machine: Machine, found: Gathered, table: str, key: str, reference: Reference) -> None:
    where = machine.where(table, key, reference.field)
    home = next((name for name in reference.tables if reference.key in machine.tables[name]), None)
    owner = f"{NOUNS[table]} “{key}”"
    if home is None:
        known = [id for name in reference.tables for id in machine.tables[name]]
        found.add("M1", ERROR, "reference_unknown", where, id=reference.key, owner=owner,
                  kind=" or ".join(NOUNS[name] for name in reference.tables), meant=meant(reference.key, known))
    elif reference.strict:
        missing = machine.fitted_in(machine.tables[table][key]["when"]) - machine.fitted_in(
            machine.tables[home][reference.key]["when"])
        for variant in sorted(missing):
            found.add("M1", ERROR, "reference_absent", where, variant, object=machine.name(reference.key), owner=owner)


def check_setting_values(machine: Machine) -> list[Finding]:
    """M1: a value that a setting does not have."""
    found = machine.gather()
    for table, key, entry in machine.entries():
        for field, setting, value in set_values(table, entry):
            known = machine.tables["settings"].get(setting)
            if known is not None and value not in known["values"]:
                found.add("M1", ERROR, "setting_value_unknown", machine.where(table, key, field), value=value,
                          object=machine.name(setting), meant=meant(value, known["values"]))
    for key, setting in machine.tables["settings"].items():
        if setting["start"] not in setting["values"] and not machine.is_broken("settings", key):
            found.add("M1", ERROR, "setting_value_unknown", machine.where("settings", key, "start"),
                      value=setting["start"], object=machine.name(key),
                      meant=meant(setting["start"], setting["values"]))
    return found.findings()


def check_guard_words(machine: Machine) -> list[Finding]:
    """M1, S1: a guard that names an unknown option, or a year that the model was not made in."""
    found = machine.gather()
    for path, guard in machine.guards.items():
        note_guard(machine, found, guard, path)
    return found.findings()


def note_guard(machine: Machine, found: Gathered, guard: Guard, path: str, step: str | None = None) -> None:
    """Adds what is wrong with the words of one guard."""
    where = found.notes.where(f"{path}.when", path, step=step)
    if machine.model is None:
        if guard is not None:
            found.add("S1", ERROR, "guard_without_model", where)
        return
    known = [option["id"] for option in machine.model["options"]]
    for option in sorted(guard_options(guard) - set(known)):
        found.add("M1", ERROR, "option_unknown", where, option=option, meant=meant(option, known))
    first, last = machine.model["years"]
    for year in sorted(guard_years(guard)):
        # a guard changes at the year after “<= last” at the latest
        if not first <= year <= last + 1:
            found.add("S1", ERROR, "guard_year_outside", where, first=first, last=last)


def check_guards_hold(machine: Machine) -> list[Finding]:
    """M2: something that no variant has, because its guard contradicts itself or the model."""
    found = machine.gather()
    for table, key, entry in machine.entries():
        if entry["when"] is not None and not machine.fitted_in(entry["when"]):
            found.add("M2", ERROR, "guard_never", machine.where(table, key, "when"), owner=f"{NOUNS[table]} “{key}”")
    return found.findings()


def check_joint_members(machine: Machine) -> list[Finding]:
    """M2: a joint that joins fewer than two parts in some variant."""
    found = machine.gather()
    for n, tables in enumerate(machine.variants):
        for key, joint in tables["joints"].items():
            present = [part for part in joint["joins"] if part == FRAME or part in tables["parts"]]
            known = all(part == FRAME or part in machine.tables["parts"] for part in joint["joins"])
            if len(set(present)) < 2 and known and not machine.is_broken("joints", key):
                found.add("M2", ERROR, "joint_too_few_parts", machine.where("joints", key, "joins"), n,
                          object=machine.name(key), parts=", ".join(present) or "none")
    return found.findings()


def check_units_connected(machine: Machine) -> list[Finding]:
    """M2: a unit that cannot leave as one, because in some variant its parts are not joined to one another."""
    found = machine.gather()
    for n, tables in enumerate(machine.variants):
        for key, unit in tables["units"].items():
            parts = [part for part in unit["parts"] if part in tables["parts"]]
            apart = _apart(parts, [set(joint["joins"]) for joint in tables["joints"].values()])
            if apart and not machine.is_broken("units", key):
                found.add("M2", ERROR, "unit_apart", machine.where("units", key, "parts"), n, object=machine.name(key),
                          part=machine.name(apart[0]))
    return found.findings()


def _apart(parts: list[str], joints: list[set[str]]) -> list[str]:
    """The parts that no chain of joints inside the unit links to its first part."""
    reached = set(parts[:1])
    grown = True
    while grown:
        linked = set().union(*(joint & set(parts) for joint in joints if joint & reached))
        grown = not linked <= reached
        reached |= linked
    return [part for part in parts if part not in reached]

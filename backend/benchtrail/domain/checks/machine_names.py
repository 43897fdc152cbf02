"""S6, S7, S10 of a map: signal words that fit, messages that are whole, one name and one number for one thing.

Knows the objects of a map, or of a procedure without one; nothing of steps.
"""

from collections import defaultdict
from collections.abc import Mapping
from itertools import combinations
from typing import Any

from benchtrail.domain.checks.subject import Gathered, Machine
from benchtrail.domain.checks.word_lists import DEATH_WORDS, INJURY_WORDS, PROPERTY_WORDS, words_of
from benchtrail.domain.findings import Finding, Severity, Where

ERROR, WARNING = Severity.ERROR, Severity.WARNING


def check_cautions(machine: Machine) -> list[Finding]:
    """S6, S7: the cautions of the map."""
    found = machine.gather()
    for key, caution in machine.tables["cautions"].items():
        if not machine.is_broken("cautions", key):
            note_caution(found, machine.where("cautions", key, "signal"), key, caution)
    return found.findings()


def note_caution(found: Gathered, where: Where, key: str, caution: Mapping[str, Any]) -> None:
    """S7: a message without its consequence or avoidance. S6: a signal word weaker than the consequence, or a word of
    injury for harm to things.

    Source: ANSI Z535.6, grades of signal words as restated; which words of a consequence mean what is our own list.
    """
    for part, code in (("consequence", "caution_without_consequence"), ("avoidance", "caution_without_avoidance")):
        if not caution[part]:
            found.add("S7", ERROR, code, where, caution=key)
    signal, words = caution["signal"], words_of(caution["consequence"])
    if signal == "NOTICE" and words & (INJURY_WORDS | DEATH_WORDS):
        found.add("S6", WARNING, "signal_too_weak", where, caution=key, signal=signal,
                  word="CAUTION, WARNING or DANGER", consequence=caution["consequence"])
    elif signal == "CAUTION" and words & DEATH_WORDS:
        found.add("S6", WARNING, "signal_too_weak", where, caution=key, signal=signal, word="WARNING or DANGER",
                  consequence=caution["consequence"])
    elif signal != "NOTICE" and words & PROPERTY_WORDS and not words & (INJURY_WORDS | DEATH_WORDS):
        found.add("S6", WARNING, "signal_for_property", where, caution=key, signal=signal,
                  consequence=caution["consequence"])


def check_one_name(machine: Machine) -> list[Finding]:
    """S10: two things of one name, or two parts of one number and different names, that a variant has together."""
    found = machine.gather()
    by_name: dict[str, list[tuple[str, str]]] = defaultdict(list)
    by_number: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for table in ("parts", "units", "joints"):
        for key, entry in machine.tables[table].items():
            by_name[entry["name"].casefold()].append((table, key))
            if entry.get("number"):
                by_number[entry["number"].casefold()].append((table, key))
    for code, groups in (("name_twice", by_name), ("number_twice", by_number)):
        for shared, things in groups.items():
            if shared:
                _note_shared(machine, found, code, things)
    return found.findings()


def _note_shared(machine: Machine, found: Gathered, code: str, things: list[tuple[str, str]]) -> None:
    for (first_table, first), (table, key) in combinations(things, 2):
        entry, other = machine.tables[table][key], machine.tables[first_table][first]
        if code == "number_twice" and entry["name"].casefold() == other["name"].casefold():
            continue
        both = machine.fitted_in(entry["when"]) & machine.fitted_in(other["when"])
        shown = entry["name"] if code == "name_twice" else entry["number"]
        for variant in sorted(both):
            found.add("S10", ERROR, code, machine.where(table, key, "name" if code == "name_twice" else "number"),
                      variant, shared=shown, object=key, other=first)

"""M1: what a service of a map is about is on the map, and its interval has at least one limb.

Knows the services as read and the tables of the map; nothing of plans or of what is due.
"""

from collections.abc import Mapping
from typing import Any

from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.map_text import NOUNS
from benchtrail.domain.planning.goals import ABOUT
from benchtrail.domain.source_notes import Notes, meant


def check_services(services: Mapping[str, Any], tables: Mapping[str, Mapping[str, Any]], notes: Notes) -> list[Finding]:
    """One finding for each goal that names nothing and each service without an interval."""
    found = []
    for key, service in services.items():
        if f"services.{key}" in notes.broken:
            continue
        where = notes.where(f"services.{key}.goals", f"services.{key}")
        for word, thing, *_ in service["goals"]:
            kinds = ABOUT.get(word, ())
            if not any(thing in tables[table] for table in kinds):
                known = [name for table in kinds for name in tables[table]]
                found.append(Finding("reference_unknown", Severity.ERROR, where, "M1", {
                    "id": f"{word} {thing}", "owner": f"service “{key}”", "meant": meant(thing, known),
                    "kind": " or ".join(NOUNS[table] for table in kinds) or "goal that can be planned"}))
        if not service["every"]:
            place = notes.where(f"services.{key}.every", f"services.{key}")
            found.append(Finding("service_without_interval", Severity.ERROR, place, "M5", {"service": key}))
    return found

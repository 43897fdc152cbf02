"""A dealer's things as tables for a spreadsheet (RFC 4180, UTF-8). Knows columns; nothing of how they are kept."""

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from benchtrail.services.records import JsonObject

FORMULA = ("=", "+", "-", "@", "\t", "\r")
JOBS = ("job", "started", "procedure", "revision", "title", "machine", "model", "year", "serial", "hours", "events", "closed", "outcome")
READINGS = ("job", "step", "check", "value", "unit", "as_typed", "verdict", "at", "event", "taken_back")
PEOPLE = ("name", "role", "created_at", "closed_at")
PHONES = ("device", "label", "enrolled_at", "last_seen_at", "revoked_at")
MACHINES = ("id", "name", "customer", "model", "year", "options", "serial", "hours", "hours_at", "words")
AUDIT = ("number", "at", "by", "act", "subject", "values", "prev", "sha256")


def csv_tables(read: Callable[[str], Iterator[JsonObject]], journals: Mapping[str, list[JsonObject]]) -> Iterator[tuple[str, bytes]]:
    """Name and content of each table; `journals`: the events of each job in their order."""
    yield "jobs", _table(JOBS, (_job(job, events) for job, events in sorted(journals.items())))
    yield "readings", _table(READINGS, (row for _, events in sorted(journals.items()) for row in _readings(events)))
    yield "people", _table(PEOPLE, read("accounts"))
    yield "phones", _table(PHONES, read("devices"))
    yield "machines", _table(MACHINES, read("customer_machines"))
    yield "audit-log", _table(AUDIT, read("audit_log"))


def _table(columns: tuple[str, ...], rows: Iterable[Mapping[str, Any]]) -> bytes:
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(columns)
    for row in rows:
        table.writerow([_cell(row.get(column)) for column in columns])
    return out.getvalue().encode()


def _cell(value: Any) -> Any:
    """Text that a spreadsheet would run as a formula gets an apostrophe before it, as common practice has it (no source)."""
    if isinstance(value, list | dict):
        value = json.dumps(value, ensure_ascii=False, sort_keys=True)
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value


def _job(job: str, events: list[JsonObject]) -> JsonObject:
    started: JsonObject = next((event for event in events if event["kind"] == "JobStarted"), {})
    closed: JsonObject = next((event for event in reversed(events) if event["kind"] == "JobClosed"), {})
    begun = started.get("body", {})
    machine = begun.get("machine") or {}
    return {
        "job": job, "started": started.get("wall"), "events": len(events), "closed": closed.get("wall"),
        "outcome": closed.get("body", {}).get("outcome"), "machine": machine.get("name"),
        **{name: begun.get(name) for name in ("procedure", "revision", "title")},
        **{name: machine.get(name) for name in ("model", "year", "serial", "hours")},
    }


def _readings(events: list[JsonObject]) -> Iterator[JsonObject]:
    taken_back = {event["body"].get("event") for event in events if event["kind"] == "Retracted"}
    for event in events:
        if event["kind"] == "ReadingTaken":
            told = "yes" if event["id"] in taken_back else "no"
            yield {**event["body"], "job": event["job"], "at": event["wall"], "event": event["id"], "taken_back": told}

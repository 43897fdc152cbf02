"""In which order the jobs ask for a person. Knows rows of the list; no storage.

What may hurt someone stands first: a reading outside its limits, a skipped step of brakes and the like, a figure that was
used and has changed since; then notes that wait for an answer, what could not be taken as sent, readings that belong to no step,
and the rest.
"""

from typing import Any

from benchtrail.services.records import JsonObject

REASONS = ("outside", "skipped_safety", "superseded_used", "unanswered", "asked", "attention", "unplaced_readings", "skipped", "superseded")


def by_need(rows: list[JsonObject]) -> list[JsonObject]:
    """The rows, each with `needs`: what asks for a person, gravest first; among equals the newest news first."""
    named = [row | {"needs": [reason for reason in REASONS if row[reason]]} for row in rows]
    newest_first = sorted(named, key=lambda row: row["last_at"].timestamp() if row["last_at"] else 0.0, reverse=True)
    return sorted(newest_first, key=_gravity)


def _gravity(row: JsonObject) -> tuple[Any, ...]:
    """The gravest reason counts first, then how many things it concerns, then the next reasons."""
    return tuple((0, -int(row[reason])) if row[reason] else (1, 0) for reason in REASONS)

"""In which order the jobs ask for a person. Knows rows of the list; no storage.

What may hurt someone stands first: a reading outside its limits, a skipped step of brakes and the like, a figure that was
used and has changed since; then notes that wait for an answer, what could not be taken as sent, readings that belong to no step,
and the rest.
"""

from benchtrail.services.records import JsonObject

REASONS = ("outside", "skipped_safety", "superseded_used", "unanswered", "asked", "attention", "unplaced_readings", "skipped", "superseded")


def by_need(rows: list[JsonObject]) -> list[JsonObject]:
    """The rows, each with `needs`: what asks for a person, gravest first; among equals the newest news first."""
    ordered = sorted(rows, key=lambda row: (*_gravity(row), -row["last_at"].timestamp() if row["last_at"] else 0.0))
    return [row | {"needs": [reason for reason in REASONS if row[reason]]} for row in ordered]


def _gravity(row: JsonObject) -> tuple[int, ...]:
    """The gravest reason counts first, then how many things it concerns, then the next reasons."""
    return tuple(-int(row[reason]) for reason in REASONS)

"""Warnings that an author lets stand, each with its reason, which is kept in the revision.

Knows how they are written in a text and which finding each is for; nothing of what the checks find.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from benchtrail.domain.fields import Field, identifier, kebab, listed, matching, needed, read_record, text
from benchtrail.domain.findings import Finding, Severity
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.text_tree import Node

_ENTRY = {"check": needed(matching("[MSDE][1-9][0-9]?", "check_id_form"), ""), "step": Field(kebab),
          "object": Field(identifier), "reason": needed(text, "")}


def _entry(notes: Notes, node: Node) -> dict[str, Any]:
    return {**read_record(notes, node, _ENTRY, "an accepted warning", f"accepted.{node.line}"), "line": node.line}


ACCEPTED = Field(listed(_entry), [])


def compiled(accepted: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """As a pack keeps them."""
    return [{key: entry[key] for key in _ENTRY} for entry in accepted]


def with_reasons(findings: Sequence[Finding], accepted: Sequence[dict[str, Any]], notes: Notes) -> list[Finding]:
    """The findings of one text, its warnings with the reasons that are given for them; a reason for what is not found is
    noted. Errors and blocks cannot be accepted."""
    used: set[int] = set()
    told = []
    for finding in findings:
        fits = [n for n, entry in enumerate(accepted) if _is_for(entry, finding)]
        used |= set(fits)
        told.append(replace(finding, reason=accepted[fits[0]]["reason"]) if fits else finding)
    unused = [entry for n, entry in enumerate(accepted) if n not in used and entry["check"] and entry["reason"]]
    return told + [Finding("accepted_unused", Severity.NOTE, notes.where(f"accepted.{entry['line']}.check"), "S3",
                           {"check": entry["check"], "place": _place(entry)}) for entry in unused]


def _is_for(entry: dict[str, Any], finding: Finding) -> bool:
    if finding.severity is not Severity.WARNING or entry["check"] != finding.check or not entry["reason"]:
        return False
    if entry["step"] != finding.where.step:
        return False
    named = [str(value) for value in finding.values.values()]
    return entry["object"] is None or any(entry["object"] == value or f"({entry['object']})" in value for value in named)


def _place(entry: dict[str, Any]) -> str:
    said = [f"{word} {entry[word]}" for word in ("step", "object") if entry[word]]
    return " and ".join(said) or "the file as a whole"

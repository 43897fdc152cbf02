"""User messages by code, in three parts: what happened, what it means, what to do.

Reads `shared/messages/*.en.json`; CLI, API and (through the front end's build) the phone speak from these tables.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from benchtrail.resources import resource_dir


@dataclass(frozen=True)
class Message:
    """One message, filled in."""

    happened: str
    means: str
    do: str

    def __str__(self) -> str:
        return " ".join(part for part in (self.happened, self.means, self.do) if part)

    def as_dict(self) -> dict[str, str]:
        return {"happened": self.happened, "means": self.means, "do": self.do}


@cache
def message_table() -> dict[str, dict[str, str]]:
    """All messages: code → {happened, means, do}. Raises ValueError if a code stands in two files."""
    table: dict[str, dict[str, str]] = {}
    for path in sorted((resource_dir("shared") / "messages").glob("*.en.json")):
        entries = json.loads(path.read_text(encoding="utf-8"))
        twice = table.keys() & entries.keys()
        if twice:
            raise ValueError(f"message codes in more than one file: {sorted(twice)}")
        table.update(entries)
    return table


@cache
def calc_texts() -> dict[str, dict[str, str]]:
    """The words of the calculations by kind and code: `names`, `working`, `notes`, `marks`."""
    path = resource_dir("shared") / "texts" / "calc.en.json"
    texts: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
    return texts


@cache
def difference_texts() -> dict[str, dict[str, str]]:
    """The words of changes between two packs: `severities`, `what` by code, `ways`, `own` by code, `text`."""
    path = resource_dir("shared") / "texts" / "difference.en.json"
    texts: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
    return texts


@cache
def way_texts() -> dict[str, dict[str, str]]:
    """The words of the ways out of a job by kind and code: `against`, `unknown`, `see_to`, `acts`."""
    path = resource_dir("shared") / "texts" / "way-out.en.json"
    texts: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
    return texts


@cache
def dealer_file_texts() -> dict[str, dict[str, str]]:
    """The words of a dealership's file: `tables` by name, `keys` by what becomes of the key, `plan` lines."""
    path = resource_dir("shared") / "texts" / "dealer-file.en.json"
    texts: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
    return texts


def dealer_plan_words(plan: Mapping[str, Any]) -> list[str]:
    """What taking a dealership in from its file means, in sentences; `plan`: the fields of services/dealer_import.Plan."""
    words = dealer_file_texts()
    told = [words["keys"][plan["key"]]]
    told += [words["plan"]["renamed"].format(was=was, now=now) for was, now in plan["renamed"].items()]
    told.append(words["plan"]["passwords"].format(owners=", ".join(plan["owners"]) or words["plan"]["no_owner"]))
    if plan["phones"]:
        told.append(words["plan"]["phones"].format(count=plan["phones"]))
        told.append(words["plan"]["phones_waiting"].format(count=plan["phones_waiting"]))
    return told + [words["plan"]["missing"].format(name=name) for name in plan["missing"]]


def in_one_line(code: str, values: Mapping[str, object]) -> str:
    """What happened, in the message's first sentence."""
    return message_for(code, values).happened


class _Values(dict[str, object]):
    def __missing__(self, key: str) -> str:
        return "{" + key + "}"


def message_for(code: str, values: Mapping[str, object]) -> Message:
    """The message of `code` with `values` put in. Raises KeyError for an unknown code (a test keeps them matched)."""
    entry = message_table()[code]
    filled = {part: entry[part].format_map(_Values(values)) for part in ("happened", "means", "do")}
    return Message(**filled)

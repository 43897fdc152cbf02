"""The first text of a workfile: a template, or a revision that is published. Knows the least that each kind begins with."""

import json
from datetime import date

from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.workfiles import Kind

MAP = """\
model: {id}
name: {title}
{invented}years: {year}-{year}
revision: 1
issued: {day}
options: {{}}
parts: {{}}
joints: {{}}
figures: {{}}
fluids: {{}}
tools: {{}}
supplies: {{}}
poses: {{}}
cautions: {{}}
checks: {{}}
follow_ons: {{}}
"""
PROCEDURE = """\
procedure: {id}
title: {title}
summary: {summary}
{model}revision: 1
issued: {day}
author: {author}
change_note: First issue.
applies: all
goal: []
safety: [normal]
people: 1
skill: No experience needed.
start: none
prepare: {{tools: none, supplies: none}}
stop_and_ask: Stop and ask the dealer when something is not as these steps say.
{own}steps: []
"""
OWN = "parts: {}\njoints: {}\ntools: {}\nsupplies: {}\nposes: {}\nchecks: {}\n"


def first_text(kind: Kind, id: str, title: str, model: str | None, author: str, today: date, invented: bool) -> str:
    """The template with its head filled in."""
    words = {"id": id, "title": _quoted(title), "summary": _quoted(f"{title.rstrip('.')}."), "day": today.isoformat(),
             "author": _quoted(author)}
    if kind == "map":
        return MAP.format(**words, year=today.year, invented="invented: true\n" if invented else "")
    return PROCEDURE.format(**words, model=f"model: {model}\n" if model else "", own="" if model else OWN)


def published_text(ports: Ports, dealer: str, kind: Kind, id: str) -> str:
    """The text of the revision in force, its revision counted up by nobody: the words are the dealer's.

    Raises Refused("workfile_nothing_published").
    """
    wanted = "model" if kind == "map" else "procedure"
    with ports.storage.reading() as unit:
        found = next((pack for pack in unit.packs.all(dealer) if (pack.kind, pack.subject) == (wanted, id)), None)
    content = ports.files.get(dealer, "texts", found.text_sha256) if found and found.text_sha256 else None
    if content is None:
        raise Refused("workfile_nothing_published", id=id[:100])
    return content.decode("utf-8-sig", "replace")


def _quoted(words: str) -> str:
    """The words as a YAML text in double quotes, which JSON's texts are."""
    return json.dumps(" ".join(words.split()), ensure_ascii=False)

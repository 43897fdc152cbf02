"""S8, S9, S10, D14: plain controlled language, no “reverse of removal”, decisions with their limits.

Knows words and sentences; nothing of what the steps do to the machine. Source: rules like those of ASD-STE100 (issue 9,
as restated: procedure sentences at most 20 words, descriptions at most 25), adapted; the word lists are our own.
"""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from benchtrail.domain.checks.subject import Gathered, Job
from benchtrail.domain.checks.word_lists import (
    CONDITIONS,
    LEADS,
    MOST_DESCRIPTION_WORDS,
    MOST_INSTRUCTION_WORDS,
    MOST_KEPT,
    MOST_SENTENCES,
    REVERSED,
    UNDECIDED,
    VAGUE,
    VERBS,
    count_words,
    sentences_of,
)
from benchtrail.domain.findings import Finding, Severity

NOTE, ERROR, BLOCK = Severity.NOTE, Severity.ERROR, Severity.BLOCK
MOST_ACTIONS = 2
# a limit may be written rounded; further off it is another one. Source: our own step, as for torques
NEAR = 0.05
TEXTS = ("say", "detail", "look_for")


def check_sentences(job: Job) -> list[Finding]:
    """S8: more than two actions, sentences too long or too many, not an instruction."""
    found = job.gather()
    for step in job.text.steps:
        if len(step["do"]) > MOST_ACTIONS:
            found.add("S8", NOTE, "actions_too_many", job.where(step["id"], "do"), count=len(step["do"]))
        sentences = sentences_of(step["say"])
        if len(sentences) > MOST_SENTENCES:
            found.add("S8", NOTE, "sentences_too_many", job.where(step["id"], "say"), count=len(sentences),
                      limit=MOST_SENTENCES)
        for sentence in sentences:
            if not is_instruction(sentence):
                found.add("S8", NOTE, "no_instruction", job.where(step["id"], "say"), sentence=short(sentence))
        _note_length(job, found, step)
    return found.findings()


def _note_length(job: Job, found: Gathered, step: Mapping[str, Any]) -> None:
    for name in TEXTS:
        limit = MOST_INSTRUCTION_WORDS if name == "say" else MOST_DESCRIPTION_WORDS
        for sentence in sentences_of(step[name] or ""):
            count = count_words(sentence)
            if count > limit:
                found.add("S8", NOTE, "sentence_too_long", job.where(step["id"], name), sentence=short(sentence),
                          count=count, limit=limit)


def short(sentence: str) -> str:
    """A sentence as a message shows it."""
    return sentence if len(sentence) <= 60 else f"{sentence[:57]}…"


@lru_cache(MOST_KEPT)
def is_instruction(sentence: str) -> bool:
    """True if a sentence begins with a verb of the list, after a condition or a word such as “then”."""
    words = re.findall(r"[A-Za-z][\w’'-]*", sentence)
    while words and words[0].lower() in LEADS:
        words = words[1:]
    if words and words[0].lower() in CONDITIONS and "," in sentence:
        return is_instruction(sentence.partition(",")[2])
    return bool(words) and words[0].lower() in VERBS


def check_words(job: Job) -> list[Finding]:
    """S8: vague words. S9: reference to a removal instead of the rebuild. S10: a decision without what decides it."""
    found = job.gather()
    for step in job.text.steps:
        for name in TEXTS:
            vague, reversed_, undecided = _doubtful(step[name] or "")
            where = job.where(step["id"], name)
            for word in vague:
                found.add("S8", NOTE, "vague_word", where, word=word, instead=VAGUE[word])
            for code, check, said in (("reverse_of_removal", "S9", reversed_), ("undecided", "S10", undecided)):
                if said:
                    found.add(check, ERROR, code, where, words=said[0])
    return found.findings()


@lru_cache(MOST_KEPT)
def _doubtful(text: str) -> tuple[tuple[str, ...], ...]:
    """What a text says of vague words, of words for the reverse of a removal, and of words that leave a decision open."""
    words = f" {_plain(text)} "
    return tuple(tuple(phrase for phrase in phrases if f" {phrase} " in words) for phrases in (VAGUE, REVERSED, UNDECIDED))


def _plain(text: str) -> str:
    """Lower-case words with single spaces, no stops."""
    return " ".join(re.findall(r"[a-z0-9’'-]+", text.lower()))


def check_limits(job: Job) -> list[Finding]:
    """S10: a measurement whose check has a figure and no limits; limits of something else, without a bound, or the
    wrong way round. (A missing outcome is found when the limits are read.)"""
    found = job.gather()
    figures, checks = job.pack["figures"], job.pack["checks"]
    for step in job.pack["steps"]:
        measured = {action["object"] for action in step["do"] if action["verb"] == "measure"}
        limits, where = step["limits"], job.where(step["id"], "limits", "do")
        if limits is None:
            bare = [key for key in sorted(measured) if key in checks and checks[key]["figure"] is not None]
            for key in bare if not job.is_unread(step["id"], "limits") else ():
                found.add("S10", ERROR, "measure_without_limits", where, object=job.machine.name(key))
            continue
        done = {action["object"] for action in step["do"]}
        if limits["check"] and limits["check"] in checks and limits["check"] not in done:
            found.add("S10", ERROR, "limits_of_other_check", where, object=job.machine.name(limits["check"]))
        _note_bounds(found, where, limits, figures, checks)
        _note_other_figures(job, found, where, limits)
    return found.findings()


def _note_other_figures(job: Job, found: Gathered, where: Any, limits: Mapping[str, Any]) -> None:
    """D14: the map holds the check to limits of its own, and the step to others (more than 5 % off, or fewer)."""
    figures: Mapping[str, Any] = job.pack["figures"]
    check: Mapping[str, Any] = job.pack["checks"].get(limits["check"]) or {"at_least": None, "at_most": None}
    for name, bound in (("at_least", "low"), ("at_most", "high")):
        known, own = figures.get(check[name] or ""), figures.get(limits[bound] or "")
        if known is None or (limits["low"] is None and limits["high"] is None):
            continue
        edge, said = _edge(known), _edge(own) if own else None
        if edge is not None and (said is None or abs(said - edge) > NEAR * abs(edge)):
            severity = ERROR if known["safety"] == "normal" else BLOCK
            found.add("D14", severity, "limit_of_other_figure", where, object=job.machine.name(limits["check"]),
                      own=own["as_published"] if own else "no such limit", known=known["as_published"])


def _note_bounds(found: Gathered, where: Any, limits: Mapping[str, Any], figures: Mapping[str, Any],
                 checks: Mapping[str, Any]) -> None:
    if limits["low"] is None and limits["high"] is None:
        found.add("S10", ERROR, "limits_without_bound", where)
        return
    bounds = [figures[key] for key in (limits["low"], limits["high"]) if key in figures]
    own = figures.get((checks.get(limits["check"]) or {}).get("figure") or "")
    kinds = {figure["kind"] for figure in (*bounds, *([own] if own else []))}
    if len(kinds) > 1:
        found.add("S10", ERROR, "limits_of_two_kinds", where, kinds=" and ".join(sorted(kinds)))
    if len(bounds) == 2 and limits["low"] and limits["high"]:
        low, high = (_edge(figure) for figure in bounds)
        if low is not None and high is not None and low >= high:
            found.add("S10", ERROR, "limits_backwards", where, low=bounds[0]["as_published"],
                      high=bounds[1]["as_published"])


def _edge(figure: Mapping[str, Any]) -> float | None:
    values = [figure[name] for name in ("value", "low", "high") if figure[name] is not None]
    return values[0] if values else None

"""S8, the rest of the controlled language: order of condition and act, active voice, articles, names, messages as commands.

Knows words and names; nothing of what the steps do to the machine. Source: as steps_language.py; the word lists are our own.
"""

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from benchtrail.domain.checks.steps_language import is_instruction, short
from benchtrail.domain.checks.subject import Gathered, Job, Machine
from benchtrail.domain.checks.word_lists import (
    CONDITIONS,
    MOST_DESCRIPTION_SENTENCES,
    MOST_DESCRIPTION_WORDS,
    MOST_INSTRUCTION_WORDS,
    MOST_KEPT,
    UNDECIDED,
    VERBS,
    count_words,
    sentences_of,
)
from benchtrail.domain.findings import Finding, Severity, Where

NOTE = Severity.NOTE
NAMED = ("undo", "slacken", "remove", "hang", "fit", "start", "tighten")
TABLES = ("parts", "units", "joints")
_LATE = re.compile(r"\s(?:if|when|unless|once(?!\smore))\s", re.IGNORECASE)
_COMMAND = re.compile(rf"(?:^|[.!?,]\s)({'|'.join(VERBS)})\s")
_PASSIVE = re.compile(r"\b(?:is|are|be|been|being)\s(?:then\s|now\s|not\s)?\w+(?:ed|en)\b", re.IGNORECASE)


def check_voice(job: Job) -> list[Finding]:
    """S8: a condition after the act that it is for; an instruction in the passive; a description of too many sentences."""
    found = job.gather()
    for step in job.text.steps:
        where = job.where(step["id"], "say")
        for sentence in sentences_of(step["say"]):
            for code in _voice(sentence):
                found.add("S8", NOTE, code, where, sentence=short(sentence))
        count = len(sentences_of(step["detail"] or ""))
        if count > MOST_DESCRIPTION_SENTENCES:
            found.add("S8", NOTE, "sentences_too_many", job.where(step["id"], "detail"), count=count,
                      limit=MOST_DESCRIPTION_SENTENCES)
    return found.findings()


@lru_cache(MOST_KEPT)
def _voice(sentence: str) -> tuple[str, ...]:
    """What of its order and voice a sentence of an instruction has against it."""
    main = _main_clause(sentence)
    undecided = any(phrase in sentence.lower() for phrase in UNDECIDED)
    late = is_instruction(sentence) and _LATE.search(main) and not undecided
    passive = _PASSIVE.search(re.split(r"\b(?:until|so that|where|that|which|as|before|after|when|if)\b", main)[0])
    return (*(["condition_after_act"] if late else []), *(["passive_voice"] if passive else []))


def _main_clause(sentence: str) -> str:
    """What follows a condition at the beginning; else the whole sentence."""
    first = re.match(r"[A-Za-z]+", sentence)
    if first and first[0].lower() in CONDITIONS and "," in sentence:
        return sentence.partition(",")[2]
    return sentence


def check_names_said(job: Job) -> list[Finding]:
    """S8: a step acts on something and does not say its name, or a word of its name; or says it without an article."""
    found = job.gather()
    for step in job.pack["steps"]:
        where, say = job.where(step["id"], "say"), step["say"].lower()
        things = [entry for entry in _things(job, step) if entry["name"]]
        if things and not any(_says(say, entry["name"]) for entry in things):
            found.add("S8", NOTE, "name_not_said", where, name=things[0]["name"])
        for entry in things:
            verb = _verb_right_before(say, entry["name"].lower())
            if verb:
                found.add("S8", NOTE, "article_missing", where, name=entry["name"], verb=verb)
    return found.findings()


def _verb_right_before(say: str, name: str) -> str | None:
    """The first verb at the start of a clause that the name follows with nothing between."""
    for verb in _COMMAND.finditer(say):
        end = verb.end() + len(name)
        if say.startswith(name, verb.end()) and not (say[end:end + 1].isalnum() or say[end:end + 1] == "_"):
            return verb[1]
    return None


def _things(job: Job, step: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    for action in step["do"]:
        if action["verb"] in NAMED:
            yield from (job.pack[table][action["object"]] for table in TABLES  # type: ignore[literal-required]
                        if action["object"] in job.pack[table])  # type: ignore[literal-required]


def _says(say: str, name: str) -> bool:
    """True if a word of the name stands in the sentence, in either number."""
    return not _stems(say, 1).isdisjoint(_stems(name.lower(), 3))


@lru_cache(MOST_KEPT)
def _stems(words: str, shortest: int) -> frozenset[str]:
    """The words from a length on, in either number."""
    return frozenset(_stem(word) for word in re.findall(r"[\w-]+", words) if len(word) >= shortest)


def _stem(word: str) -> str:
    return word.removesuffix("s").removesuffix("e")


def check_messages_language(machine: Machine) -> list[Finding]:
    """S8: the avoidance of a message is no command, or its sentences are too long."""
    found = machine.gather()
    for key, caution in machine.tables["cautions"].items():
        _note_message(found, machine.where("cautions", key, "avoidance"), key, caution)
    return found.findings()


def _note_message(found: Gathered, where: Where, key: str, caution: Mapping[str, Any]) -> None:
    for sentence in sentences_of(caution["avoidance"]):
        if not is_instruction(sentence):
            found.add("S8", NOTE, "avoidance_no_command", where, caution=key, sentence=short(sentence))
    for name, limit in (("hazard", MOST_DESCRIPTION_WORDS), ("consequence", MOST_DESCRIPTION_WORDS),
                        ("avoidance", MOST_INSTRUCTION_WORDS)):
        for sentence in sentences_of(caution[name]):
            if count_words(sentence) > limit:
                found.add("S8", NOTE, "sentence_too_long", where, sentence=short(sentence), count=count_words(sentence),
                          limit=limit)

"""D10: the words of a step put a fastener of another length or thread into a position than the map has there.

Knows words of steps and the positions of joints; plays nothing. Source: our own list; that a screw too long for a blind
hole breaks the casting, and for a wet one lets fluid out, is common practice.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from benchtrail.domain.checks.subject import Job
from benchtrail.domain.checks.word_lists import FASTENERS, NUMBER_WORDS, sentences_of
from benchtrail.domain.findings import Finding, Severity

ERROR, BLOCK = Severity.ERROR, Severity.BLOCK
TURNING = ("undo", "slacken", "start", "tighten")
SAME_MM = 0.25
# a length before the word for a tool is the size of that tool
_LENGTH = re.compile(r"\b(\d+(?:[.,]\d+)?)\s?(?:mm|millimetres?)\b"
                     r"(?!\s(?:[\w-]+\s){0,2}(?:socket|spanner|key|bit|wrench|driver|adapter)s?\b)")
_THREAD = re.compile(r"\bM(\d+(?:\.\d+)?)(?:\s?[x×]\s?(\d+(?:\.\d+)?))?\b")
Joint = Mapping[str, Any]


class Place(NamedTuple):
    """One fastener: the words that name its position, its length in mm, and whether a longer one would do harm."""

    words: frozenset[str]
    name: str
    length_mm: float
    deep: bool


def check_fasteners(job: Job) -> list[Finding]:
    """D10: a length or a thread in the words of a step that turns a joint is not that of the joint; when the words name
    positions, of those positions. Too long into a blind or wet hole is a block."""
    found = job.gather()
    for step in job.pack["steps"]:
        joints = {action["object"]: job.pack["joints"][action["object"]] for action in step["do"]
                  if action["verb"] in TURNING and action["object"] in job.pack["joints"]}
        for field, words in _texts(job, step) if joints else ():
            where, variants = job.where(step["id"], field, "say"), job.fitted_in(step["when"])
            for clause in _clauses(words, list(joints.values())):
                wrong = _wrong_length(clause, list(joints.values()))
                if wrong is not None:
                    said, place, right = wrong
                    too_long = place.deep and said > max(right)
                    for n in variants:
                        found.add("D10", BLOCK if too_long else ERROR, "other_length", where, n,
                                  object=job.machine.name(next(iter(joints))), said=f"{said:g} mm", place=place.name,
                                  known=" or ".join(f"{length:g} mm" for length in right))
            thread = _wrong_thread(words, list(joints.values()))
            for n in variants if thread is not None else ():
                found.add("D10", ERROR, "other_thread", where, n, object=job.machine.name(next(iter(joints))), said=thread,
                          known=" or ".join(sorted({joint["thread"] or "" for joint in joints.values()})))
    return found.findings()


def _texts(job: Job, step: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield from ((field, step[field]) for field in ("say", "detail", "look_for") if step[field])
    picture = job.pack["pictures"].get(step["picture"] or "")
    if picture is not None and picture["alt"] != step["say"]:
        yield "picture", picture["alt"]


def _clauses(words: str, joints: Sequence[Joint]) -> Iterator[str]:
    """The parts of sentences about fasteners of the joints that hold one length each."""
    nouns = {noun for joint in joints for word in re.findall("[a-z]+", joint["name"].lower()) if word in FASTENERS
             for noun in (word, word.removesuffix("s"))}
    for sentence in sentences_of(words):
        if nouns & set(re.findall("[a-z]+", sentence.lower())):
            yield from (clause for clause in re.split(r"[,;:]| but ", sentence) if len(_LENGTH.findall(clause)) == 1)


def _wrong_length(clause: str, joints: Sequence[Joint]) -> tuple[float, Place, list[float]] | None:
    """(length said, a place that it does not fit, what would be right there); None when it fits."""
    places = [place for joint in joints for place in _places(joint)]
    if not places:
        return None
    match = _LENGTH.search(clause)
    said = float(match[1].replace(",", ".")) if match else 0.0
    named = _named(_LENGTH.sub(" ", clause), places)
    if named:
        wrong = [place for place in named if abs(place.length_mm - said) > SAME_MM]
        return (said, wrong[0], [wrong[0].length_mm]) if wrong else None
    count = next((NUMBER_WORDS[word] for word in re.findall("[a-z]+", clause.lower()) if word in NUMBER_WORDS), 0)
    fitting = sum(abs(place.length_mm - said) <= SAME_MM for place in places)
    if count and fitting and fitting != count:
        by_count = [length for length in sorted({place.length_mm for place in places})
                    if sum(place.length_mm == length for place in places) == count]
        return (said, places[0], by_count) if by_count else None
    if any(abs(place.length_mm - said) <= SAME_MM for place in places):
        return None
    return said, max(places, key=lambda place: place.deep), sorted({place.length_mm for place in places})


def _places(joint: Joint) -> Iterator[Place]:
    for n, position in enumerate(joint["positions"], 1):
        if position["length_mm"] is not None:
            label = position["label"] or str(n)
            yield Place(frozenset(re.findall(r"[a-z]+|\d+", label.lower())), label, position["length_mm"],
                        bool(joint["holds"]) or bool(position["blind"]))


def _named(clause: str, places: Sequence[Place]) -> list[Place]:
    """The places that a clause names: each number by itself, words of place together."""
    words = set(re.findall(r"[a-z]+|\d+", clause.lower()))
    known = frozenset().union(*(place.words for place in places))
    numbers = {word for word in words & known if word.isdigit()}
    if numbers:
        return [place for place in places if numbers & place.words]
    said = words & known
    return [place for place in places if said and said <= place.words]


def _wrong_thread(words: str, joints: Sequence[Joint]) -> str | None:
    """A thread in the words that none of the joints has."""
    threads = [_THREAD.fullmatch(joint["thread"]) for joint in joints if joint["thread"]]
    known = [(match[1], match[2]) for match in threads if match]
    for match in _THREAD.finditer(words):
        if known and not any(match[1] == size and match[2] in (None, pitch) for size, pitch in known):
            return match[0]
    return None

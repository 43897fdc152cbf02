"""What is wrong with an event: the envelope and the body of each known kind (shared/README.md §8).

Knows form only: not whether an event is new, nor whether its step exists. The server quarantines by it, the phone
asks it before it saves. The same rules as shared/schemas/event.schema.json, written by hand, with the place of each.
"""

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypedDict

from benchtrail.domain.canonical_json import HIGHEST_EXACT, canonical_json, utf16_order
from benchtrail.domain.refused import Refused

DEEPEST = 32
BEYOND_DOUBLE = 2**1024
Test = Callable[[Any], bool]


class EventProblem(TypedDict):
    """One problem: `code` is event_not_object, event_field_missing, event_field_unknown, event_field_wrong,
    event_too_deep or event_no_canonical_form; `at` is the path of the field, empty for the whole."""

    code: str
    at: str


def event_problems(envelope: Any) -> list[EventProblem]:
    """All that is wrong with an event, empty when it is sound; a kind that is not known here is sound.

    Bodies may hold fields that are not known here; an envelope may not.
    """
    if not isinstance(envelope, dict):
        return [_problem("event_not_object", "")]
    if _depth(envelope) > DEEPEST:
        return [_problem("event_too_deep", "")]
    found = [*_fields(envelope, _ENVELOPE, ""), *(_problem("event_field_unknown", key) for key in _unknown(envelope))]
    if not found and envelope["hlc"][-8:] != envelope["device"][:8]:
        found.append(_problem("event_field_wrong", "hlc"))
    kind, body = envelope.get("kind"), envelope.get("body")
    if isinstance(kind, str) and isinstance(body, dict):
        found += _fields(body, BODIES.get(kind, {}), "body.")
    return found or _unwritable(envelope)


def _problem(code: str, at: str) -> EventProblem:
    return {"code": code, "at": at}


def _unknown(envelope: Mapping[Any, Any]) -> list[str]:
    return sorted((str(key) for key in envelope if key not in _ENVELOPE), key=utf16_order)


def _fields(record: Mapping[str, Any], tests: Mapping[str, Any], at: str) -> Iterator[EventProblem]:
    for name, test in tests.items():
        if name not in record:
            yield _problem("event_field_missing", at + name)
        elif isinstance(test, dict):
            yield from _record(record[name], test, at + name)
        elif not test(record[name]):
            yield _problem("event_field_wrong", at + name)


def _record(value: Any, tests: Mapping[str, Any], at: str) -> Iterable[EventProblem]:
    """A record inside the body; it may be null."""
    if value is None:
        return ()
    return _fields(value, tests, f"{at}.") if isinstance(value, dict) else (_problem("event_field_wrong", at),)


def _unwritable(envelope: Mapping[str, Any]) -> list[EventProblem]:
    try:
        canonical_json(dict(envelope))
    except Refused:
        return [_problem("event_no_canonical_form", "")]
    return []


def _depth(value: Any) -> int:
    """How deep lists and objects are nested; counting stops one past the limit."""
    level, rank = 0, [value]
    while rank and level <= DEEPEST:
        rank = [inner for outer in rank for inner in _inside(outer)]
        level += bool(rank)
    return level


def _inside(value: Any) -> Iterable[Any]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


def _matching(pattern: str) -> Test:
    form = re.compile(pattern, re.ASCII)
    return lambda value: isinstance(value, str) and form.fullmatch(value) is not None


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


def _is_words(value: Any) -> bool:
    return isinstance(value, str) and value != ""


def _is_flag(value: Any) -> bool:
    return isinstance(value, bool)


def _is_number(value: Any) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) < BEYOND_DOUBLE


def _whole_from(low: int) -> Test:
    return lambda value: _is_number(value) and value == int(value) and low <= value <= HIGHEST_EXACT


def _at_least_zero(value: Any) -> bool:
    return _is_number(value) and value >= 0


def _or_null(test: Test) -> Test:
    return lambda value: value is None or test(value)


def _one_of(*words: str) -> Test:
    return lambda value: isinstance(value, str) and value in words


def _list_of(test: Test) -> Test:
    return lambda value: isinstance(value, list) and all(test(item) for item in value)


_MOMENT = re.compile(
    r"(\d{4})-(\d\d)-(\d\d)T(\d\d):(\d\d):(\d\d)(?:\.\d{1,9})?(?:Z|[+-](\d\d):(\d\d))", re.ASCII)


def _is_moment(value: Any) -> bool:
    """ISO 8601 with seconds and an offset, on a day of the calendar. Source: RFC 3339, 5.6 and 5.7; no leap second."""
    found = _MOMENT.fullmatch(value) if isinstance(value, str) else None
    if not found:
        return False
    year, month, day, hour, minute, second, off_hour, off_minute = (int(part or 0) for part in found.groups())
    in_calendar = 1 <= month <= 12 and 1 <= day <= _days(year, month)
    return in_calendar and max(hour, off_hour) <= 23 and max(minute, second, off_minute) <= 59


def _days(year: int, month: int) -> int:
    if month == 2:
        return 29 if year % 4 == 0 and (year % 100 != 0 or year % 400 == 0) else 28
    return 30 if month in (4, 6, 9, 11) else 31


_is_uuid = _matching(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_is_sha256 = _matching(r"[0-9a-f]{64}")
_is_step = _or_null(_is_words)

_ENVELOPE: dict[str, Test] = {
    "id": _is_uuid, "device": _is_uuid, "seq": _whole_from(1), "job": _is_uuid,
    "kind": _matching(r"[A-Za-z][A-Za-z0-9_.-]{0,63}"), "body": lambda value: isinstance(value, dict),
    "hlc": _matching(r"\d{15}-[0-9a-f]{4}-[0-9a-f]{8}"), "wall": _is_moment, "pack": _is_sha256,
    "prev": _or_null(_is_sha256), "schema": _whole_from(1),
}
# a dict stands for a record inside the body that may be null
BODIES: dict[str, dict[str, Any]] = {
    "JobStarted": {
        "machine": {"id": _is_words, "name": _is_text, "model": _is_words, "year": _whole_from(0),
                    "options": _list_of(_is_words), "hours": _or_null(_at_least_zero), "serial": _or_null(_is_text)},
        "procedure": _is_words, "revision": _whole_from(1), "title": _is_text},
    "PrepTicked": {"item": _is_words, "ticked": _is_flag},
    "StepDone": {"step": _is_words},
    "StepSkipped": {"step": _is_words, "reason": _is_text},
    "ReadingTaken": {"step": _is_words, "check": _is_words, "value": _is_number, "unit": _is_text,
                     "as_typed": _is_text, "verdict": _one_of("within", "outside", "unknown")},
    "NoteWritten": {"step": _is_step, "text": _is_text},
    "PhotoTaken": {"step": _is_step, "sha256": _is_sha256, "mime": _is_words, "bytes": _whole_from(0),
                   "width": _whole_from(1), "height": _whole_from(1), "caption": _is_text},
    "TimerRun": {"step": _is_words, "seconds": _at_least_zero},
    "PositionTicked": {"step": _is_words, "joint": _is_words, "position": _whole_from(1), "ticked": _is_flag},
    "JobPaused": {"step": _is_step},
    "JobResumed": {"step": _is_step},
    "Retracted": {"event": _is_uuid},
    "EndItemAccepted": {"code": _is_words, "object": _is_text, "reason": _is_text},
    "BulletinAnswered": {"to": _is_sha256, "step": _is_step, "answer": _one_of("seen", "redone", "accepted"),
                         "changes": _list_of(_is_words), "reason": _is_text},
    "ReplyWritten": {"to": _or_null(_is_uuid), "step": _is_step, "text": _is_words, "by": _is_text},
    "ReplySeen": {"reply": _is_uuid},
    "JobClosed": {"outcome": _one_of("finished", "handed_over", "given_up"), "words": _is_text},
}

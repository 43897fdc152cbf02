"""Answers of the desk to what came back in a job: written into the job's own journal, so that they reach its phones with
the next sync and stay there as every other entry does."""

import json

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_writer import write_as_desk
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject, StoredEvent

LONGEST_REPLY = 2000


def write_reply(ports: Ports, dealer: str, job: str, to: str | None, step: str | None, text: str, by: str) -> StoredEvent:
    """Answers an entry of the job (`to`: its id), else a step, else the whole job.

    Raises Refused: no_such_job, no_such_entry_of_job, reply_without_words, reply_too_long.
    """
    words = text.strip()
    if not words:
        raise Refused("reply_without_words")
    if len(words) > LONGEST_REPLY:
        raise Refused("reply_too_long", most=LONGEST_REPLY)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        events = unit.events.of_job(dealer, job)
        if not events:
            raise Refused("no_such_job")
        answered = next((json.loads(event.text) for event in events if event.id == to), None)
        if to is not None and answered is None:
            raise Refused("no_such_entry_of_job")
        body = {"to": to, "step": _step_of(answered) if answered else step, "text": words, "by": by}
        first: JsonObject = json.loads(events[0].text)
        kept = write_as_desk(ports, unit, dealer, {"job": job, "kind": "ReplyWritten", "body": body, "pack": first["pack"]})
        record_act(unit, ports, dealer, by, "entry_answered", job, reply=kept.id)
    return kept


def _step_of(event: JsonObject) -> str | None:
    """The step that an entry stands at; none for what belongs to the whole job, or was erased."""
    step = event["body"].get("step")
    return step if isinstance(step, str) and step else None

"""Jobs as the desk shows them: a row for the list, and the whole of one. Knows the desk's shapes; no words, no HTTP.

Where a person must look, a code and its values stand; the words are the messages'.
"""

from typing import Any

from benchtrail.domain.bench_state import Pack
from benchtrail.domain.difference.on_job import OnJob
from benchtrail.domain.end_items import end_items
from benchtrail.domain.hlc import journal_order
from benchtrail.domain.verdict import reading_limits
from benchtrail.services.jobs import Job
from benchtrail.services.records import JsonObject

NO_MACHINE: JsonObject = {"id": "", "name": "Machine not named", "model": None, "year": None, "options": [],
                          "hours": None, "serial": None}
NAMED_TABLES = ("parts", "units", "joints", "fluids", "aids", "poses", "settings", "checks", "supplies", "tools")
END_ITEM_MESSAGES = {
    "joint_not_made": "job_end_joint_not_made",
    "joint_not_final": "job_end_joint_not_final",
    "part_not_on": "job_end_part_not_on",
    "fluid_not_filled": "job_end_fluid_not_filled",
    "level_not_checked": "job_end_level_not_checked",
    "aid_left": "job_end_aid_left",
    "pose_not_restored": "job_end_pose_not_restored",
    "setting_not_restored": "job_end_setting_not_restored",
    "single_use_reused": "job_end_single_use_reused",
    "follow_on_missing": "job_end_follow_on_missing",
}


def job_row(job: Job) -> JsonObject:
    """One line of the list of jobs."""
    fold, start = job.fold, _start(job)
    steps = {step["id"] for step in job.pack["steps"]}
    walls = [event["wall"] for event in job.envelopes]
    return {
        "job": job.id,
        "machine": fold["machine"] or NO_MACHINE,
        "variant": variant_in_words(job),
        "procedure": start.get("procedure") or (job.published.subject if job.published else ""),
        "title": start.get("title") or (job.published.title if job.published else ""),
        "revision": start.get("revision") or (job.published.revision if job.published else 0),
        "superseded": job.published is not None and not job.is_current,
        "device": ", ".join(sorted({device.label for device in job.phones.values()})),
        "started_at": walls[0] if walls else None,
        "last_at": max((event.received_at for event in job.events), default=None) or _last_quarantined(job),
        "done": len(steps & fold["done"].keys()),
        "total": len(steps),
        "outside": len(_outside(job)),
        "skipped": len(steps & fold["skipped"].keys()),
        "skipped_safety": sum(step["id"] in fold["skipped"] and _may_hurt(job.pack, step) for step in job.pack["steps"]),
        "unplaced_readings": sum(row["step"] not in steps for row in fold["readings"]),
        "notes": len(fold["notes"]),
        "asked": len(asked_of(job)),
        "replies_unread": sum(row["event"] not in fold["replies_seen"] for row in fold["replies"]),
        "photos": len(fold["photos"]),
        "attention": len(attention_of(job)),
        **superseded_of(job.on_job),
        "erased": _how_erased(job),
        "closed": fold["closed"] and {"outcome": fold["closed"]["outcome"], "at": fold["closed"]["wall"]},
    }


def _how_erased(job: Job) -> str | None:
    """"all" or "some" of the entries; None when nothing was erased."""
    gone = [event.erased_at is not None for event in job.events]
    return None if not any(gone) else "all" if all(gone) else "some"


def _may_hurt(pack: Pack, step: JsonObject) -> bool:
    """True if what the step acts on, or the figure it goes by, is of a safety class: brakes, steering and the like."""
    things = [pack[table].get(action["object"], {}) for action in step["do"] for table in ("joints", "parts")]
    things.append(pack["figures"].get(step["figure"] or "", {}))
    return any(thing.get("safety", "normal") != "normal" for thing in things)


def asked_of(job: Job) -> list[JsonObject]:
    """Notes that wait for an answer: the last word at their step (or of the whole job), a question or said after an answer.

    A question is known by its mark, so one without it is missed; common practice, no source.
    """
    last = {row["step"]: row for row in job.fold["notes"]}
    replied = {row["step"]: row["event"] for row in job.fold["replies"]}
    order = _places_in_journal(job) if last and replied else {}
    return [row for step, row in last.items()
            if (order[row["event"]] > order[replied[step]] if step in replied else "?" in row["text"])]


def _places_in_journal(job: Job) -> dict[str, int]:
    return {event["id"]: place for place, event in enumerate(sorted(job.envelopes, key=journal_order))}


def superseded_of(on_job: OnJob | None) -> JsonObject:
    """How many figures that were used have changed since, and how many finished steps nobody has answered for."""
    return {"superseded_used": len(on_job["used"]) if on_job else 0, "unanswered": on_job["left"] if on_job else 0}


def job_whole(job: Job) -> JsonObject:
    """The whole job: its row, every step of its variant with what came back there, and what asks for a person."""
    known = {step["id"] for step in job.pack["steps"]}
    return job_row(job) | {
        "pack": job.envelopes[0]["pack"] if job.envelopes else None,
        "invented": bool(job.pack.get("invented")),
        "outcome_words": job.fold["closed"] and job.fold["closed"]["words"],
        "steps": [_step(job, number, step) for number, step in enumerate(job.pack["steps"], 1)],
        "loose_notes": [_note(job, row) for row in job.fold["notes"] if row["step"] not in known],
        "loose_replies": [_reply(job, row) for row in job.fold["replies"] if row["step"] not in known],
        "loose_photos": [_photo(job, row) for row in job.fold["photos"] if row["step"] not in known],
        "loose_readings": [_reading(job, None, row) for row in job.fold["readings"] if row["step"] not in known],
        "end_items": _end_items(job),
        "attention_items": attention_of(job),
        "bulletin": _bulletin(job),
        "erased_at": max((event.erased_at for event in job.events if event.erased_at), default=None),
        "timeline": [_line(job, event, envelope) for event, envelope in zip(job.events, job.envelopes, strict=True)],
    }


def _bulletin(job: Job) -> JsonObject | None:
    """What changed since the revision that the job follows, as far as its machine is concerned."""
    if job.bulletin is None or job.on_job is None:
        return None
    says = {step["id"]: step["say"] for step in job.pack["steps"]}
    told = {change["id"]: change for change in job.bulletin.changes}
    mine = job.on_job
    steps = [row | {"say": says.get(row["step"]) or told[row["changes"][0]]["new"] or row["step"],
                    "answer": row["answer"] and _told_by(job, row["answer"])} for row in mine["steps"]]
    return {
        "revision": job.bulletin.to_revision, "text": job.bulletin.text, "issued_at": job.bulletin.issued_at,
        "changes": [told[id] | {"used": id in mine["used"]} for id in mine["concerns"]],
        "steps": steps, "seen": mine["seen"] and _told_by(job, mine["seen"]),
    }


def _told_by(job: Job, row: JsonObject) -> JsonObject:
    return row | {"device": _label(job, row["device"])}


def variant_in_words(job: Job) -> str:
    """Model year and the options fitted, by name."""
    variant = job.fold["variant"]
    if variant is None:
        return "for any machine"
    options = (job.pack.get("model") or {}).get("options", [])
    names = {option["id"]: option["name"] for option in options}
    return ", ".join([str(variant["year"]), *(names.get(option, option) for option in variant["options"])])


def attention_of(job: Job) -> list[JsonObject]:
    """What a person must see though it may not count: code and values of each, with what it concerns."""
    found: list[JsonObject] = []
    if job.problem and job.events:
        found.append(_attention(job.id, "Job", job.problem, {}, job.events[0].received_at))
    for item in (one for one in job.quarantined if one.settled is None):
        name, kind = item.claimed_id or item.sha256, item.kind or "Entry"
        found.append(_attention(name, kind, item.reason, item.values, item.received_at, item.text))
    for event in job.events:
        if event.remark and event.remark != "event_taken_up":
            found.append(_attention(event.id, event.kind, event.remark, {}, event.received_at, event.text))
    for photo in job.photos:
        if photo.state == "needs_person":
            reason = photo.reason or "photo_file_damaged"
            found.append(_attention(photo.sha256, "Photo", "photo_needs_person", {"reason": reason}, photo.received_at))
    return found


def _attention(id: str, kind: str, reason: str, values: JsonObject, at: Any, text: str | None = None) -> JsonObject:
    return {"id": id, "kind": kind, "reason": reason, "values": values, "received_at": at, "text": text}


def _start(job: Job) -> JsonObject:
    return next((dict(event["body"]) for event in job.envelopes if event["kind"] == "JobStarted"), {})


def _last_quarantined(job: Job) -> Any:
    return max((item.received_at for item in job.quarantined), default=None)


def _outside(job: Job) -> list[JsonObject]:
    """Readings that count (the last of each check at a step) and are not within their limits."""
    last = {(row["step"], row["check"]): row for row in job.fold["readings"]}
    return [row for row in last.values() if row["verdict"] == "outside"]


def _step(job: Job, number: int, step: JsonObject) -> JsonObject:
    id, fold = step["id"], job.fold
    done, skipped = fold["done"].get(id), fold["skipped"].get(id)
    return {
        "id": id, "number": number, "section": step["section"], "say": step["say"],
        "state": "done" if done else "skipped" if skipped else "open",
        "at": (done or skipped or {}).get("wall"),
        "reason": skipped["reason"] if skipped else None,
        "seconds": fold["seconds"].get(id, 0),
        "figures": [figure_in_words(job.pack["figures"][name]) for name in _figures_at(job.pack, step)],
        "readings": [_reading(job, step, row) for row in fold["readings"] if row["step"] == id],
        "notes": [_note(job, row) for row in fold["notes"] if row["step"] == id],
        "replies": [_reply(job, row) for row in fold["replies"] if row["step"] == id],
        "photos": [_photo(job, row) for row in fold["photos"] if row["step"] == id],
    }


def _figures_at(pack: Pack, step: JsonObject) -> list[str]:
    """Figures that the step shows: its own, else those of the joints that it tightens."""
    if step["figure"]:
        named = [step["figure"]]
    else:
        tightened = [pack["joints"][act["object"]] for act in step["do"]
                     if act["verb"] == "tighten" and act["object"] in pack["joints"]]
        named = [name for joint in tightened for name in (joint["figure"], *_of_stages(joint)) if name]
    return [name for name in dict.fromkeys(named) if name in pack["figures"]]


def _of_stages(joint: JsonObject) -> list[str | None]:
    return [stage.get("figure") for stage in joint["stages"]]


def figure_in_words(figure: JsonObject) -> str:
    """The figure as published, with all that makes it one: tolerance, condition, source, revision."""
    amount = " ".join(part for part in (figure["as_published"], figure["tolerance"]) if part)
    source = ", ".join(part for part in (figure["source"], figure["revision"]) if part)
    return f"{amount}, {figure['condition']} ({source})"


def _reading(job: Job, step: JsonObject | None, row: JsonObject) -> JsonObject:
    low, high = _limits(job.pack, step, row)
    return {
        "step": row["step"], "check": row["check"], "name": name_in(job.pack, row["check"]), "value": row["value"],
        "unit": row["unit"], "as_typed": row["as_typed"], "verdict": row["verdict"], "at": row["wall"],
        "low": low, "high": high,
    }


def _limits(pack: Pack, step: JsonObject | None, row: JsonObject) -> tuple[str | None, str | None]:
    """Lowest and highest value that was in order: as published, or the ends of the range of the check's own figure."""
    if step is None:
        return None, None
    if step["limits"]:
        named = [pack["figures"].get(step["limits"][end]) for end in ("low", "high")]
        low, high = (figure and str(figure["as_published"]) for figure in named)
        return low, high
    limits = reading_limits(pack, step["id"])
    ends = (limits["low"], limits["high"]) if limits else (None, None)
    low, high = (None if end is None else f"{end:g} {row['unit']}".strip() for end in ends)
    return low, high


def _note(job: Job, row: JsonObject) -> JsonObject:
    return {"event": row["event"], "step": row["step"], "text": row["text"], "at": row["wall"], "device": _label(job, row["device"])}


def _reply(job: Job, row: JsonObject) -> JsonObject:
    seen = job.fold["replies_seen"].get(row["event"])
    return {"event": row["event"], "to": row["to"], "step": row["step"], "text": row["text"], "by": row["by"], "at": row["wall"],
            "seen": seen and {"device": _label(job, seen["device"]), "wall": seen["wall"]}}


def _photo(job: Job, row: JsonObject) -> JsonObject:
    here = next((photo for photo in job.photos if photo.sha256 == row["sha256"]), None)
    return {
        "step": row["step"], "sha256": row["sha256"], "caption": row["caption"], "at": row["wall"],
        "received": here is not None and here.state != "needs_person", "state": here.state if here else "on_phone",
        "received_at": here.received_at if here else None,
    }


def _end_items(job: Job) -> list[JsonObject]:
    accepted = {(row["code"], row["object"]): row["reason"] for row in job.fold["accepted"]}
    return [
        {"code": item["code"], "object": item["object"], "name": name_in(job.pack, item["object"]),
         "safety": item["safety"], "severity": item["severity"].lower(),
         "message": END_ITEM_MESSAGES[item["code"]], "accepted": accepted.get((item["code"], item["object"]))}
        for item in end_items(job.pack, job.fold["state"])
    ] if job.problem is None else []


def name_in(pack: Pack, id: str) -> str:
    """What the pack calls the thing; its id when it calls it nothing."""
    for table in NAMED_TABLES:
        if id in pack[table]:
            return str(pack[table][id]["name"])
    if id in pack["follow_ons"]:
        return str(pack["follow_ons"][id].get("reason") or id)
    return id


def _line(job: Job, event: Any, envelope: JsonObject) -> JsonObject:
    return {"id": event.id, "kind": event.kind, "body": envelope["body"], "wall": envelope["wall"],
            "device": _label(job, event.device), "received_at": event.received_at, "remark": event.remark}


def _label(job: Job, device: str) -> str:
    return job.devices[device].label if device in job.devices else "a phone that is not known"

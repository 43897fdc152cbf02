"""The record of one job as plain data: what was done with which figures, by whom, and by what it can be checked.

Knows the fold and the pack; how it is laid out is for whoever prints it.
"""

from benchtrail.domain.event_hash import job_digest
from benchtrail.domain.job_lists import figures_of_steps
from benchtrail.services.desk_jobs import figure_in_words, job_whole, name_in
from benchtrail.services.jobs import Job, job_of
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject


def job_report(ports: Ports, dealer: str, id: str) -> JsonObject:
    """The record of a job. Raises Refused("no_such_job")."""
    job = job_of(ports, dealer, id)
    whole = job_whole(job)
    with ports.storage.reading() as unit:
        owner = unit.dealers.get(dealer)
    steps = [step | {"by": _whose_phone(job, step["id"])} for step in whole["steps"]]
    return {
        **{name: whole[name] for name in ("job", "title", "procedure", "revision", "variant", "machine", "started_at", "closed",
                                          "outcome_words", "superseded", "superseded_used", "unanswered", "invented", "pack")},
        "dealer": owner.name if owner else dealer,
        "who": sorted({device.label for device in job.phones.values()}),
        "pack_signed": _signed(ports, job),
        "torques": _torques(job),
        "readings": [row for step in steps for row in step["readings"]] + whole["loose_readings"],
        "renewed": _renewed(job),
        "skipped": [{"say": step["say"], "reason": step["reason"]} for step in steps if step["state"] == "skipped"],
        "open": [step["say"] for step in steps if step["state"] == "open"],
        "notes": [row | {"say": step["say"]} for step in steps for row in step["notes"]]
        + [row | {"say": None} for row in whole["loose_notes"]],
        "replies": [row | {"say": step["say"]} for step in steps for row in step["replies"]]
        + [row | {"say": None} for row in whole["loose_replies"]],
        "photos": [row for step in steps for row in step["photos"]] + whole["loose_photos"],
        "steps": steps, "end_items": whole["end_items"], "attention_items": whole["attention_items"],
        "attention": whole["attention"],
        "digest": job_digest(event.id for event in job.events),
    }


def _whose_phone(job: Job, step: str) -> str | None:
    """The label of the phone on which the step was done or skipped."""
    told = job.fold["done"].get(step) or job.fold["skipped"].get(step)
    event = next((event for event in job.events if told and event.id == told["event"]), None)
    return job.devices[event.device].label if event and event.device in job.devices else None


def _signed(ports: Ports, job: Job) -> bool:
    """Whether the pack that the job follows carries its dealer's signature, checked now."""
    if job.published is None:
        return False
    content = ports.files.get(job.published.dealer, "packs", job.published.sha256)
    with ports.storage.reading() as unit:
        owner = unit.dealers.get(job.published.dealer)
    return bool(content and owner and ports.signers.verifies(owner.jwk, content, job.published.entry["signature"]))


def _torques(job: Job) -> list[JsonObject]:
    """The torque sheet of what was tightened, each with the tool that its step names."""
    found = []
    for row in figures_of_steps(job.pack) if job.pack["steps"] else []:
        if row["step"] not in job.fold["done"]:
            continue
        step = next(one for one in job.pack["steps"] if one["id"] == row["step"])
        figure = job.pack["figures"].get(row["figure"])
        tools = [name_in(job.pack, tool) for tool in [*step["tools"], *job.pack["joints"][row["joint"]]["tools"]]]
        found.append({
            "joint": name_in(job.pack, row["joint"]), "count": row["count"], "stage": row["stage"], "share": row["share"],
            "angle_deg": row["angle_deg"], "figure": figure_in_words(figure) if figure else None, "hand": row["hand"],
            "tools": list(dict.fromkeys(tools)), "at": job.fold["done"][row["step"]]["wall"],
        })
    return found


def _renewed(job: Job) -> list[JsonObject]:
    found = {}
    for step in job.pack["steps"]:
        for action in step["do"] if step["id"] in job.fold["done"] else []:
            if action["verb"] == "renew":
                thing = job.pack["parts"].get(action["object"]) or job.pack["joints"].get(action["object"]) or {}
                found[action["object"]] = {"name": thing.get("name", action["object"]), "number": thing.get("number")}
    return list(found.values())

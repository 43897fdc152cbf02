"""The service record of one job: what was done on which machine, by which revision, with what was found. For the customer's file."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from benchtrail.paper.document import Document, Size

Json = dict[str, Any]
STATES = {"done": "done", "skipped": "SKIPPED", "open": "not done"}
VERDICTS = {"within": "within limits", "outside": "OUTSIDE the limits", "unknown": "limits not known"}


def service_record(job: Json, dealer: str, digest: tuple[int, str], made_at: datetime, read_photo: Callable[[str], bytes | None],
                   size: Size = "A4") -> bytes:
    """The PDF of a job as the desk shows it (`job_whole`); `digest`: count and hash over its events (shared/README.md §9)."""
    paper = Document(size, f"Service record: {job['title']}", f"{dealer}, job {job['job']}, {digest[0]} entries, {digest[1][:16]}", made_at)
    paper.add_page()
    paper.words("Service record", "B", 17)
    paper.words(job["title"], "B", 12)
    if job["invented"]:
        paper.framed("NOTICE", "Invented machine and figures. Not for use on a real machine.")
    _facts(paper, job, dealer, digest)
    _to_look_at(paper, job)
    _readings(paper, job)
    _steps(paper, job)
    _photos(paper, job, read_photo)
    return paper.bytes()


def _facts(paper: Document, job: Json, dealer: str, digest: tuple[int, str]) -> None:
    machine = job["machine"]
    hours = "not known" if machine["hours"] is None else f"{machine['hours']:g} h"
    closed = job["closed"]
    ended = f"{closed['outcome'].replace('_', ' ')}, {closed['at']}. {job['outcome_words'] or ''}" if closed else "still open"
    facts = [("Machine", machine["name"]), ("Variant", job["variant"]), ("Serial", machine.get("serial") or "not stated"),
             ("Hours", hours), ("Dealer", dealer), ("Done on the phone of", job["device"]), ("Begun", job["started_at"] or "not known"),
             ("Ended", ended), ("Revision", f"{job['revision']}" + (", since replaced" if job["superseded"] else "")),
             ("Procedure's digest", job["pack"] or "not known"), ("Journal's digest", f"{digest[1]} over {digest[0]} entries"),
             ("Steps", f"{job['done']} of {job['total']} done, {job['skipped']} skipped")]
    paper.ln(2)
    paper.rows(("What", "As recorded"), facts, (36, 140))


def _to_look_at(paper: Document, job: Json) -> None:
    lines = [item["words"] + (f" Accepted: {item['accepted']}" if item["accepted"] else "") for item in job["end_items"]]
    lines += [item["words"] for item in job["attention_items"]]
    if lines:
        paper.heading("Not as it should be at the end")
        for line in lines:
            paper.words(f"– {line}")


def _readings(paper: Document, job: Json) -> None:
    found = [reading for step in job["steps"] for reading in step["readings"]] + job["loose_readings"]
    if found:
        paper.heading("Readings")
        lines = [[one["name"], one["as_typed"], " to ".join(str(end) for end in (one["low"], one["high"]) if end) or "not stated",
                  VERDICTS[one["verdict"]], one["at"][:16].replace("T", " ")] for one in found]
        paper.rows(("Check", "Reading", "Limits", "Verdict", "When"), lines, (50, 28, 40, 32, 30))


def _steps(paper: Document, job: Json) -> None:
    paper.heading("Steps")
    lines = []
    for step in job["steps"]:
        told = [*step["figures"], *(f"Reason: {step['reason']}" for _ in [0] if step["reason"]),
                *(f"“{note['text']}”" for note in step["notes"]), *(_answer(reply) for reply in step["replies"])]
        lines.append([str(step["number"]), step["say"], STATES[step["state"]], (step["at"] or "")[:16].replace("T", " "), "\n".join(told)])
    paper.rows(("", "Step", "State", "When", "Figures and notes"), lines, (9, 62, 18, 24, 66))
    for note in job["loose_notes"]:
        paper.words(f"Note, {note['device']}: “{note['text']}”")
    for reply in job["loose_replies"]:
        paper.words(_answer(reply))


def _answer(reply: Json) -> str:
    read = f"read {reply['seen']['wall'][:16].replace('T', ' ')}" if reply["seen"] else "not read"
    return f"Answer of {reply['by']} ({read}): “{reply['text']}”"


def _photos(paper: Document, job: Json, read_photo: Callable[[str], bytes | None]) -> None:
    photos = [photo for step in job["steps"] for photo in step["photos"]] + job["loose_photos"]
    if not photos:
        return
    paper.need(120)
    paper.heading("Photos")
    for photo in photos:
        content = read_photo(photo["sha256"]) if photo["state"] == "clean" else None
        words = f"{photo['caption'] or 'Photo without a caption'}, {photo['at'][:16].replace('T', ' ')}, {photo['sha256'][:16]}"
        if content is None:
            paper.words(f"{words}: not here as a picture")
        else:
            paper.picture(content, words, 80, 110)

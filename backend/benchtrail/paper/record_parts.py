"""What a service record says, part by part: the one text that the PDF, the page and the terminal lay out.

Knows the record (services/job_report.py) and the words of its parts; nothing of how they are drawn.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

Json = dict[str, Any]
Say = Callable[[str, Json], str]
STATES = {"done": "done", "skipped": "SKIPPED", "open": "not done"}
VERDICTS = {"within": "within limits", "outside": "OUTSIDE the limits", "unknown": "limits not known"}
INVENTED = "Invented machine and figures. Not for use on a real machine."


@dataclass(frozen=True)
class Part:
    """A heading with a table: its columns, their widths on paper in mm, its rows; `none` stands where there is no row."""

    heading: str
    columns: tuple[str, ...]
    widths: tuple[int, ...]
    rows: list[tuple[str, ...]]
    none: str = "None."


@dataclass(frozen=True)
class RecordPhoto:
    """A photo of the record: its hash, what stands below it, and whether its bytes are to be shown."""

    sha256: str
    words: str
    shown: bool


def record_parts(made: Json, say: Say) -> list[Part]:
    """Every part but the photos. `say`: the sentence of a message's code and values."""
    return [
        Part("", ("What", "As recorded"), (36, 140), list(_facts(made))),
        Part("Not as it should be at the end", ("What", "Accepted because"), (116, 60), list(_left(made, say)), "All is as it must be."),
        Part("Figures applied", ("Joint", "Figure", "Tools that the step names", "When"), (40, 70, 42, 24),
             [_torque(row) for row in made["torques"]]),
        Part("Readings", ("Check", "Reading", "Limits", "Verdict", "When"), (50, 28, 40, 34, 24),
             [_reading(row) for row in made["readings"]]),
        Part("Parts renewed", ("Part", "Number"), (116, 60), [(row["name"], row["number"] or "not stated") for row in made["renewed"]]),
        Part("Steps", ("", "Step", "State", "When, on whose phone", "Figures and notes"), (9, 58, 18, 30, 61),
             [_step(row) for row in made["steps"]]),
        Part("Notes that belong to no step", ("Note", "When, on whose phone"), (136, 40),
             list(_loose_notes(made))),
        Part("To check this record by", ("What", "As recorded"), (36, 140), list(_proof(made))),
    ]


def record_photos(made: Json) -> list[RecordPhoto]:
    """The photos with their words, in the order of the steps."""
    return [RecordPhoto(row["sha256"], f"{row['caption'] or 'Photo without a caption'}, {_when(row['at'])}, {row['sha256']}"
                        + ("" if row["state"] == "clean" else f": {row['state'].replace('_', ' ')}"), row["state"] == "clean")
            for row in made["photos"]]


def record_lines(made: Json, say: Say) -> Iterator[str]:
    """The same for a terminal."""
    yield f"Service record: {made['title']}"
    if made["invented"]:
        yield INVENTED
    for part in record_parts(made, say):
        yield from ("", part.heading) if part.heading else ("",)
        yield from ("  " + "; ".join(cell.replace("\n", "; ") for cell in row if cell) for row in part.rows)
        if not part.rows:
            yield f"  {part.none}"
    yield from ("", "Photos")
    yield from (f"  {photo.words}" for photo in record_photos(made))
    if not made["photos"]:
        yield "  None."


def _facts(made: Json) -> Iterator[tuple[str, str]]:
    machine, closed = made["machine"], made["closed"]
    yield "Machine", machine["name"]
    yield "Variant", made["variant"]
    yield "Serial", machine.get("serial") or "not stated"
    yield "Hours", "not known" if machine["hours"] is None else f"{machine['hours']:g} h"
    yield "Dealer", made["dealer"]
    yield "Done by", ", ".join(made["who"]) or "not known"
    yield "Begun", _when(made["started_at"]) if made["started_at"] else "not known"
    ended = f"{closed['outcome'].replace('_', ' ')}, {_when(closed['at'])}" if closed else "still open"
    yield "Ended", f"{ended}. {made['outcome_words']}" if made["outcome_words"] else ended
    yield "Procedure", f"{made['title']}, revision {made['revision']}" + (", since replaced" if made["superseded"] else "")
    states = [row["state"] for row in made["steps"]]
    yield "Steps", f"{states.count('done')} of {len(states)} done, {states.count('skipped')} skipped"


def _left(made: Json, say: Say) -> Iterator[tuple[str, str]]:
    for item in made["end_items"]:
        yield say(item["message"], {"name": item["name"]}), item["accepted"] or ""
    for item in made["attention_items"]:
        yield say(item["reason"], item["values"]), ""


def _torque(row: Json) -> tuple[str, ...]:
    by_hand = f"by hand: {row['hand'] or 'figure not known'}"
    how = f"{row['angle_deg']:g}° further" if row["angle_deg"] is not None else row["figure"] or by_hand
    share = f"\nstage {row['stage']}: {row['share']:g} % of it" if row["share"] not in (None, 100) else ""
    return f"{row['joint']} ({row['count']})", how + share, ", ".join(row["tools"]) or "none named", _when(row["at"])


def _reading(row: Json) -> tuple[str, ...]:
    limits = " to ".join(str(end) for end in (row["low"], row["high"]) if end) or "not stated"
    return row["name"], row["as_typed"], limits, VERDICTS[row["verdict"]], _when(row["at"])


def _step(row: Json) -> tuple[str, ...]:
    told = [*row["figures"], *([f"Reason: {row['reason']}"] if row["reason"] else []), *(f"“{note['text']}”" for note in row["notes"]),
            *(_answer(reply) for reply in row["replies"])]
    when = ", ".join(part for part in (_when(row["at"]) if row["at"] else "", row["by"] or "") if part)
    return str(row["number"]), row["say"], STATES[row["state"]], when, "\n".join(told)


def _loose_notes(made: Json) -> Iterator[tuple[str, str]]:
    for row in (row for row in made["notes"] if row["say"] is None):
        yield f"“{row['text']}”", f"{_when(row['at'])}, {row['device']}"
    for row in (row for row in made["replies"] if row["say"] is None):
        yield _answer(row), ""


def _answer(reply: Json) -> str:
    read = f"read {_when(reply['seen']['wall'])}" if reply["seen"] else "not read"
    return f"Answer of {reply['by']} ({read}): “{reply['text']}”"


def _proof(made: Json) -> Iterator[tuple[str, str]]:
    yield "Job", made["job"]
    yield "Journal's digest", f"{made['digest']['sha256']} over {made['digest']['count']} entries"
    signed = "its dealer's signature is good" if made["pack_signed"] else "its signature is NOT proven on this server"
    yield "Procedure's digest", f"{made['pack'] or 'not known'}: {signed}"
    if made["superseded"]:
        yield "Since then", (f"a newer revision is in force; {made['superseded_used']} figures used here have changed, "
                             f"{made['unanswered']} finished steps have no answer")
    yield "How", ("benchtrail job verify FILE proves that this file is as the dealer sealed it; benchtrail pack verify proves the "
                  "procedure; benchtrail job report writes the record anew from the journal")


def _when(at: str) -> str:
    return at[:16].replace("T", " ")

"""The service record of one job on paper: what was done on which machine, by which revision, with what was found."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from benchtrail.paper.document import Document, Size
from benchtrail.paper.record_parts import INVENTED, Part, Say, record_parts, record_photos

Json = dict[str, Any]


def service_record(made: Json, say: Say, made_at: datetime, read_photo: Callable[[str], bytes | None], size: Size = "A4") -> bytes:
    """The PDF of a job's record (services/job_report.py); `say`: the sentence of a message's code and values."""
    digest = made["digest"]
    foot = f"{made['dealer']}, job {made['job']}, {digest['count']} entries, {digest['sha256'][:16]}"
    paper = Document(size, f"Service record: {made['title']}", foot, made_at)
    paper.add_page()
    paper.words("Service record", "B", 17)
    paper.words(made["title"], "B", 12)
    if made["invented"]:
        paper.framed("NOTICE", INVENTED)
    *parts, proof = record_parts(made, say)
    for part in parts:
        _part(paper, part)
    _photos(paper, made, read_photo)
    _part(paper, proof)
    return paper.bytes()


def _part(paper: Document, part: Part) -> None:
    if part.heading:
        paper.heading(part.heading)
    else:
        paper.ln(2)
    if part.rows:
        paper.rows(part.columns, part.rows, part.widths)
    else:
        paper.words(part.none)


def _photos(paper: Document, made: Json, read_photo: Callable[[str], bytes | None]) -> None:
    photos = record_photos(made)
    paper.need(120 if photos else 0)
    paper.heading("Photos")
    if not photos:
        paper.words("None.")
    for photo in photos:
        content = read_photo(photo.sha256) if photo.shown else None
        if content is None:
            paper.words(f"{photo.words} (not here as a picture)")
        else:
            paper.picture(content, photo.words, 80, 110)

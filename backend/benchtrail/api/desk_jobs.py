"""The desk's jobs: the list, one in full, its photos."""

from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, kept_rows, ports
from benchtrail.api.fields import Moment
from benchtrail.domain.difference.words import change_in_words
from benchtrail.messages import difference_texts, message_for
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.inbox import by_need
from benchtrail.services.job_list import job_list
from benchtrail.services.jobs import job_of
from benchtrail.services.photos import clean_photo

blueprint = Blueprint("desk_jobs", __name__, url_prefix="/api/v1/desk", description="The desk: jobs that came back")


class JobClosedSchema(Schema):
    outcome = fields.String(required=True)
    at = fields.String(required=True)


class JobRowSchema(Schema):
    job = fields.String(required=True)
    machine = fields.Dict(required=True)
    variant = fields.String(required=True)
    procedure = fields.String(required=True)
    title = fields.String(required=True)
    revision = fields.Integer(required=True)
    superseded = fields.Boolean(required=True)
    device = fields.String(required=True)
    started_at = fields.String(required=True, allow_none=True)
    last_at = Moment(required=True)
    done = fields.Integer(required=True)
    total = fields.Integer(required=True)
    outside = fields.Integer(required=True)
    skipped = fields.Integer(required=True)
    skipped_safety = fields.Integer(required=True)
    unplaced_readings = fields.Integer(required=True)
    notes = fields.Integer(required=True)
    asked = fields.Integer(required=True)
    replies_unread = fields.Integer(required=True)
    photos = fields.Integer(required=True)
    attention = fields.Integer(required=True)
    superseded_used = fields.Integer(required=True)
    unanswered = fields.Integer(required=True)
    erased = fields.String(required=True, allow_none=True, metadata={"description": "all or some of its entries"})
    closed = fields.Nested(JobClosedSchema, required=True, allow_none=True)
    needs = fields.List(fields.String())


class JobsSchema(Schema):
    jobs = fields.List(fields.Nested(JobRowSchema), required=True)
    total = fields.Integer(required=True)
    asking = fields.Integer(required=True)


class JobsQuery(Schema):
    most = fields.Integer(load_default=None, allow_none=True, validate=validate.Range(1, 1000))
    after = fields.Integer(load_default=0, validate=validate.Range(0, 10**9))
    open = fields.Boolean(load_default=False, truthy={"true", "1"}, falsy={"false", "0"})


class JobReadingSchema(Schema):
    step = fields.String(required=True)
    check = fields.String(required=True)
    name = fields.String(required=True)
    value = fields.Raw(required=True)
    unit = fields.String(required=True)
    as_typed = fields.String(required=True)
    verdict = fields.String(required=True)
    low = fields.String(required=True, allow_none=True)
    high = fields.String(required=True, allow_none=True)
    at = fields.String(required=True)


class JobSeenSchema(Schema):
    device = fields.String(required=True)
    wall = fields.String(required=True)


class JobReplySchema(Schema):
    event = fields.String(required=True)
    to = fields.String(required=True, allow_none=True)
    step = fields.String(required=True, allow_none=True)
    text = fields.String(required=True)
    by = fields.String(required=True)
    at = fields.String(required=True)
    seen = fields.Nested(JobSeenSchema, required=True, allow_none=True)


class JobNoteSchema(Schema):
    event = fields.String(required=True)
    step = fields.String(required=True, allow_none=True)
    text = fields.String(required=True)
    at = fields.String(required=True)
    device = fields.String(required=True)


class JobPhotoSchema(Schema):
    step = fields.String(required=True, allow_none=True)
    sha256 = fields.String(required=True)
    caption = fields.String(required=True)
    at = fields.String(required=True)
    received = fields.Boolean(required=True)
    state = fields.String(required=True)
    received_at = Moment(required=True)


class JobStepSchema(Schema):
    id = fields.String(required=True)
    number = fields.Integer(required=True)
    section = fields.String(required=True)
    say = fields.String(required=True)
    state = fields.String(required=True)
    at = fields.String(required=True, allow_none=True)
    reason = fields.String(required=True, allow_none=True)
    seconds = fields.Raw(required=True)
    figures = fields.List(fields.String(), required=True)
    readings = fields.List(fields.Nested(JobReadingSchema), required=True)
    notes = fields.List(fields.Nested(JobNoteSchema), required=True)
    replies = fields.List(fields.Nested(JobReplySchema), required=True)
    photos = fields.List(fields.Nested(JobPhotoSchema), required=True)


class JobEndItemSchema(Schema):
    code = fields.String(required=True)
    object = fields.String(required=True)
    name = fields.String(required=True)
    safety = fields.String(required=True)
    severity = fields.String(required=True)
    words = fields.String(required=True)
    accepted = fields.String(required=True, allow_none=True)


class JobAttentionSchema(Schema):
    id = fields.String(required=True)
    kind = fields.String(required=True)
    reason = fields.String(required=True)
    words = fields.String(required=True)
    received_at = Moment(required=True)
    text = fields.String(required=True, allow_none=True)


class JobLineSchema(Schema):
    id = fields.String(required=True)
    kind = fields.String(required=True)
    body = fields.Dict(required=True)
    wall = fields.String(required=True)
    device = fields.String(required=True)
    received_at = Moment(required=True)
    remark = fields.String(required=True, allow_none=True)


class JobChangeSchema(Schema):
    id = fields.String(required=True)
    severity = fields.String(required=True)
    words = fields.String(required=True)
    code = fields.String(required=True)
    name = fields.String(required=True)
    old = fields.String(required=True, allow_none=True)
    new = fields.String(required=True, allow_none=True)
    used = fields.Boolean(required=True)


class JobAnswerSchema(JobSeenSchema):
    answer = fields.String(required=True)
    reason = fields.String(required=True)


class JobChangedStepSchema(Schema):
    step = fields.String(required=True)
    say = fields.String(required=True)
    added = fields.Boolean(required=True)
    changes = fields.List(fields.String(), required=True)
    answer = fields.Nested(JobAnswerSchema, required=True, allow_none=True)


class JobBulletinSchema(Schema):
    revision = fields.Integer(required=True)
    text = fields.String(required=True)
    issued_at = Moment(required=True)
    changes = fields.List(fields.Nested(JobChangeSchema), required=True)
    steps = fields.List(fields.Nested(JobChangedStepSchema), required=True)
    seen = fields.Nested(JobSeenSchema, required=True, allow_none=True)


class JobSchema(JobRowSchema):
    pack = fields.String(required=True, allow_none=True)
    invented = fields.Boolean(required=True)
    outcome_words = fields.String(required=True, allow_none=True)
    steps = fields.List(fields.Nested(JobStepSchema), required=True)
    loose_replies = fields.List(fields.Nested(JobReplySchema), required=True)
    loose_notes = fields.List(fields.Nested(JobNoteSchema), required=True)
    loose_photos = fields.List(fields.Nested(JobPhotoSchema), required=True)
    loose_readings = fields.List(fields.Nested(JobReadingSchema), required=True)
    end_items = fields.List(fields.Nested(JobEndItemSchema), required=True)
    attention_items = fields.List(fields.Nested(JobAttentionSchema), required=True)
    erased_at = Moment(required=True, allow_none=True)
    bulletin = fields.Nested(JobBulletinSchema, required=True, allow_none=True)
    timeline = fields.List(fields.Nested(JobLineSchema), required=True)


@blueprint.at("/jobs")
@blueprint.takes(JobsQuery, "query")
@blueprint.answers(200, JobsSchema)
def list_jobs(query: dict[str, Any]) -> dict[str, Any]:
    """Jobs that came back, what asks for a person first: all, or a page of them."""
    rows = by_need(job_list(ports(), kept_rows(), at_desk().dealer.slug))
    wanted = [row for row in rows if not query["open"] or (row["closed"] is None and row["erased"] != "all")]
    most = query["most"] or len(wanted)
    return {"jobs": wanted[query["after"] : query["after"] + most], "total": len(wanted), "asking": sum(bool(row["needs"]) for row in rows)}


@blueprint.at("/jobs/<job>")
@blueprint.answers(200, JobSchema)
def one_job(job: str) -> dict[str, Any]:
    """One job as it was done, with what asks for a person."""
    return with_words(job_whole(job_of(ports(), at_desk().dealer.slug, job)))


def with_words(whole: dict[str, Any]) -> dict[str, Any]:
    """The job with the sentences of what asks for a person."""
    for item in whole["end_items"]:
        item["words"] = message_for(item["message"], {"name": item["name"]}).happened
    for change in (whole["bulletin"] or {"changes": []})["changes"]:
        change["words"] = change_in_words(difference_texts(), change)
    for item in whole["attention_items"]:
        item["words"] = str(message_for(item["reason"], item["values"]))
    return whole


@blueprint.at("/photos/<sha256>")
@blueprint.answers(200)
def photo(sha256: str) -> Response:
    """The clean picture, never what could not be looked into."""
    content, mime = clean_photo(ports(), at_desk().dealer.slug, sha256)
    response = Response(content, mimetype=mime)
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response.headers["Content-Disposition"] = f'inline; filename="{sha256[:16]}.{mime.removeprefix("image/")}"'
    return response

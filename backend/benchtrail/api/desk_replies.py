"""Answers of the desk to what came back in a job."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.desk_jobs import JobSchema, with_words
from benchtrail.services.desk_jobs import job_whole
from benchtrail.services.jobs import job_of
from benchtrail.services.replies import write_reply

blueprint = Blueprint("desk_replies", __name__, url_prefix="/api/v1/desk", description="The desk: answers to notes")


class ReplySchema(Schema):
    """`to`: the entry that is answered; without one the step, without either the whole job."""

    to = fields.String(load_default=None, allow_none=True, validate=validate.Length(1, 64))
    step = fields.String(load_default=None, allow_none=True, validate=validate.Length(1, 120))
    text = fields.String(required=True, validate=validate.Length(max=20_000))


@blueprint.at("/jobs/<job>/replies", "POST")
@blueprint.takes(ReplySchema)
@blueprint.answers(201, JobSchema)
def reply(body: dict[str, Any], job: str) -> dict[str, Any]:
    """Answers an entry of the job; the answer reaches the job's phones with their next sync. The job as it is then."""
    who = at_desk()
    write_reply(ports(), who.dealer.slug, job, body["to"], body["step"], body["text"], who.account.name)
    return with_words(job_whole(job_of(ports(), who.dealer.slug, job)))

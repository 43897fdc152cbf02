"""The desk: entries kept apart, jobs as files, and erasing what a job holds."""

from typing import Any

from flask import Response, request
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.fields import Moment
from benchtrail.messages import message_for
from benchtrail.services.erasure import erase_job
from benchtrail.services.job_file import file_bytes, job_as_file, take_in_job
from benchtrail.services.quarantine import quarantined_of, settle

blueprint = Blueprint("desk_apart", __name__, url_prefix="/api/v1/desk", description="The desk: entries kept apart, job files, erasing")


class ApartSchema(Schema):
    device = fields.String(required=True)
    label = fields.String(required=True)
    sha256 = fields.String(required=True)
    job = fields.String(required=True, allow_none=True)
    kind = fields.String(required=True, allow_none=True)
    reason = fields.String(required=True)
    words = fields.String(required=True)
    text = fields.String(required=True)
    received_at = Moment(required=True)
    settled = fields.String(required=True, allow_none=True)
    settled_by = fields.String(required=True, allow_none=True)
    settled_at = Moment(required=True, allow_none=True)
    settled_reason = fields.String(required=True, allow_none=True)


class ApartListSchema(Schema):
    entries = fields.List(fields.Nested(ApartSchema), required=True)


class SettleSchema(Schema):
    how = fields.String(required=True, validate=validate.OneOf(["taken_up", "dismissed"]))
    reason = fields.String(required=True, validate=validate.Length(max=500))


class SettledSchema(Schema):
    settled = fields.String(required=True)


class ErasedSchema(Schema):
    events = fields.Integer(required=True)
    photos = fields.Integer(required=True)
    others = fields.Integer(required=True)


class TakenInSchema(Schema):
    job = fields.String(required=True)
    stored = fields.Integer(required=True)
    known = fields.Integer(required=True)
    quarantined = fields.Integer(required=True)
    photos = fields.Integer(required=True)
    photos_known = fields.Integer(required=True)
    photos_missing = fields.Integer(required=True)
    equal = fields.Boolean(required=True)
    pack_known = fields.Boolean(required=True)


@blueprint.at("/apart")
@blueprint.answers(200, ApartListSchema)
def list_apart() -> dict[str, Any]:
    """Entries that phones sent and that cannot count as they came, each with the reason; unsettled ones first."""
    found = quarantined_of(ports(), at_desk().dealer.slug)
    return {"entries": [vars(item) | {"label": label, "words": str(message_for(item.reason, item.values))} for item, label in found]}


@blueprint.at("/apart/<device>/<sha256>", "POST")
@blueprint.takes(SettleSchema)
@blueprint.answers(200, SettledSchema)
def settle_apart(body: dict[str, str], device: str, sha256: str) -> Any:
    """Takes an entry up into its job, or dismisses it with a reason."""
    who = at_desk("author")
    how: Any = body["how"]
    return settle(ports(), who.dealer.slug, device, sha256, how, body["reason"], who.account.name)


@blueprint.at("/jobs/<job>", "DELETE")
@blueprint.answers(200, ErasedSchema)
def erase(job: str) -> Any:
    """Erases what a job holds: bodies and photos; ids, numbers and hashes stay."""
    who = at_desk("author")
    return erase_job(ports(), who.dealer.slug, job, who.account.name)


@blueprint.at("/jobs/<job>/file")
@blueprint.answers(200)
def job_file(job: str) -> Response:
    """The whole job as one file."""
    content = file_bytes(job_as_file(ports(), at_desk().dealer.slug, job))
    response = Response(content, mimetype="application/json")
    response.headers["Content-Disposition"] = f'attachment; filename="{job[:8]}.benchtrail-job.json"'
    return response


@blueprint.at("/job-files", "POST")
@blueprint.answers(200, TakenInSchema)
@blueprint.describes(requestBody={"content": {"application/json": {"schema": {"type": "object"}}}, "required": True})
def take_in() -> Any:
    """Takes in a job that a phone wrote to a file; the same file again changes nothing."""
    who = at_desk("author")
    return take_in_job(ports(), who.dealer.slug, request.get_data(), who.account.name)

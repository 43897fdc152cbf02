"""The desk: how long the contents of closed jobs are kept; an owner's to set."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.fields import Moment
from benchtrail.services.erasure import LONGEST_DAYS
from benchtrail.services.retention import Retention, change_retention, retention_if, retention_of

blueprint = Blueprint("desk_retention", __name__, url_prefix="/api/v1/desk", description="The desk: how long jobs are kept")


class RetentionQuery(Schema):
    days = fields.Integer(load_default=None, validate=validate.Range(1, LONGEST_DAYS))


class RetentionChangeSchema(Schema):
    days = fields.Integer(required=True, allow_none=True, strict=True)
    jobs_now = fields.Integer(required=True, strict=True, validate=validate.Range(0, 10**9))


class JobToEraseSchema(Schema):
    job = fields.String(required=True)
    title = fields.String(required=True)
    last_at = Moment(required=True)
    erased_at = Moment(required=True)


class RetentionSchema(Schema):
    days = fields.Integer(required=True, allow_none=True)
    now = fields.List(fields.Nested(JobToEraseSchema), required=True)
    next = fields.Nested(JobToEraseSchema, required=True, allow_none=True)
    later = fields.Integer(required=True)


@blueprint.at("/retention")
@blueprint.takes(RetentionQuery, "query")
@blueprint.answers(200, RetentionSchema)
def retention(query: dict[str, Any]) -> dict[str, Any]:
    """What is set and what it will erase when; with `days`, what that would erase."""
    dealer = at_desk("owner").dealer.slug
    return _shown(retention_of(ports(), dealer) if query["days"] is None else retention_if(ports(), dealer, query["days"]))


@blueprint.at("/retention", "PATCH")
@blueprint.takes(RetentionChangeSchema)
@blueprint.answers(200, RetentionSchema)
def new_retention(body: dict[str, Any]) -> dict[str, Any]:
    """Sets it (`days` null: for good) and erases at once what is over, if that is as many jobs as the person was told."""
    who = at_desk("owner")
    return _shown(change_retention(ports(), who.dealer.slug, body["days"], body["jobs_now"], who.account.name))


def _shown(found: Retention) -> dict[str, Any]:
    return vars(found)

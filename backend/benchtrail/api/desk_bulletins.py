"""The desk's bulletins: what changed between revisions, and which jobs went by what was replaced."""

from typing import Any

from marshmallow import Schema, fields

from benchtrail.api.context import Blueprint, at_desk, kept_rows, ports
from benchtrail.api.fields import Moment
from benchtrail.domain.difference.words import change_in_words
from benchtrail.messages import difference_texts
from benchtrail.services.desk_bulletins import bulletins_of

blueprint = Blueprint("desk_bulletins", __name__, url_prefix="/api/v1/desk/bulletins", description="The desk: bulletins")


class BulletinChangeSchema(Schema):
    severity = fields.String(required=True)
    code = fields.String(required=True)
    words = fields.String(required=True)
    name = fields.String(required=True)
    old = fields.String(required=True, allow_none=True)
    new = fields.String(required=True, allow_none=True)
    steps = fields.List(fields.String(), required=True)
    redo = fields.Boolean(required=True)


class BulletinSeenSchema(Schema):
    device = fields.String(required=True)
    wall = fields.String(required=True)


class BulletinJobSchema(Schema):
    job = fields.String(required=True)
    title = fields.String(required=True)
    machine = fields.Dict(required=True)
    device = fields.String(required=True)
    revision = fields.Integer(required=True)
    closed = fields.Dict(required=True, allow_none=True)
    last_at = Moment(required=True)
    used = fields.Integer(required=True)
    to_see = fields.Integer(required=True)
    left = fields.Integer(required=True)
    seen = fields.Nested(BulletinSeenSchema, required=True, allow_none=True)


class BulletinSchema(Schema):
    kind = fields.String(required=True)
    id = fields.String(required=True)
    title = fields.String(required=True)
    revision = fields.Integer(required=True)
    replaces = fields.Integer(required=True)
    issued_at = Moment(required=True)
    issued_by = fields.String(required=True)
    text = fields.String(required=True)
    safety = fields.Integer(required=True)
    work = fields.Integer(required=True)
    words = fields.Integer(required=True)
    changes = fields.List(fields.Nested(BulletinChangeSchema), required=True)
    jobs = fields.List(fields.Nested(BulletinJobSchema), required=True)


class BulletinsSchema(Schema):
    bulletins = fields.List(fields.Nested(BulletinSchema), required=True)


@blueprint.at("")
@blueprint.answers(200, BulletinsSchema)
def list_bulletins() -> dict[str, Any]:
    """Every bulletin, newest first, with the jobs on replaced revisions: what they used, who has read and answered it."""
    found = bulletins_of(ports(), kept_rows(), at_desk().dealer.slug)
    texts = difference_texts()
    for bulletin in found:
        bulletin["changes"] = [change | {"words": change_in_words(texts, change)} for change in bulletin["changes"]]
    return {"bulletins": found}

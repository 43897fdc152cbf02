"""The desk's drafts: a procedure written from goals over the model's map."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.desk_library import LibraryFindingSchema, shown
from benchtrail.api.desk_plan import PlanWantedSchema
from benchtrail.services.desk_draft import draft_at_desk, redraft_at_desk

blueprint = Blueprint("desk_draft", __name__, url_prefix="/api/v1/desk", description="The desk: drafts of procedures")


class DraftSchema(Schema):
    procedure = fields.String(required=True)
    path = fields.String(required=True)
    text = fields.String(required=True)
    findings = fields.List(fields.Nested(LibraryFindingSchema), required=True)


class RedraftWantedSchema(Schema):
    path = fields.String(required=True, validate=validate.Length(1, 400))
    text = fields.String(required=True)


class RedraftDifferenceSchema(Schema):
    kind = fields.String(required=True)
    step = fields.String(required=True)
    field = fields.String(required=True)
    yours = fields.String(required=True, allow_none=True)
    drafted = fields.String(required=True, allow_none=True)


class RedraftSchema(Schema):
    text = fields.String(required=True)
    differences = fields.List(fields.Nested(RedraftDifferenceSchema), required=True)
    findings = fields.List(fields.Nested(LibraryFindingSchema), required=True)


@blueprint.at("/draft", "POST")
@blueprint.takes(PlanWantedSchema)
@blueprint.answers(200, DraftSchema)
def draft(body: dict[str, Any]) -> dict[str, Any]:
    """A procedure for the goals, in every variant that has them or in one, with what the map leaves open."""
    who, variant = at_desk("author"), body["variant"]
    if variant is not None:
        variant = {"year": variant["year"], "options": sorted(set(variant["options"]))}
    made = draft_at_desk(ports(), who.dealer.slug, who.account.name, body["model"], list(dict.fromkeys(body["goals"])), variant)
    return {"procedure": made.procedure, "path": made.path, "text": made.text,
            "findings": [shown(one) for one in made.findings]}


@blueprint.at("/redraft", "POST")
@blueprint.takes(RedraftWantedSchema)
@blueprint.answers(200, RedraftSchema)
def redraft(body: dict[str, Any]) -> dict[str, Any]:
    """A drafted text put together with the draft of today: edits stay; every difference is named. Nothing is saved."""
    who = at_desk("author")
    made = redraft_at_desk(ports(), who.dealer.slug, body["path"], body["text"])
    return {"text": made.text, "differences": list(made.differences), "findings": [shown(one) for one in made.findings]}

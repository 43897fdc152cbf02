"""The desk's drafts: a procedure written from goals over the model's map."""

from typing import Any

from marshmallow import Schema, fields

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.desk_library import LibraryFindingSchema, shown
from benchtrail.api.desk_plan import PlanWantedSchema
from benchtrail.services.desk_draft import draft_at_desk

blueprint = Blueprint("desk_draft", __name__, url_prefix="/api/v1/desk", description="The desk: drafts of procedures")


class DraftSchema(Schema):
    procedure = fields.String(required=True)
    path = fields.String(required=True)
    text = fields.String(required=True)
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

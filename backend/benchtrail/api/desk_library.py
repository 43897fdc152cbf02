"""The desk's library: what is published, and checking and publishing texts."""

import re
from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.fields import Moment
from benchtrail.domain.findings import Finding
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.desk_library import library_of
from benchtrail.services.proposals import ProposalHasErrors, propose_files, publish_proposal, review
from benchtrail.services.publish_library import published_pictures, with_published_maps

blueprint = Blueprint("desk_library", __name__, url_prefix="/api/v1/desk/library", description="The desk: the library")
ONE_STEP = "Published in one step by its writer; nobody else looked at it."
PATH = re.compile(r"(?:[^/\\\x00-\x1f:]{1,100}/){0,6}[^/\\\x00-\x1f:]{1,100}\.ya?ml")


class LibraryWithdrawnSchema(Schema):
    by = fields.String(required=True)
    at = Moment(required=True)
    reason = fields.String(required=True)


class LibraryRevisionSchema(Schema):
    revision = fields.Integer(required=True)
    sha256 = fields.String(required=True)
    issued = fields.String(required=True)
    published_at = Moment(required=True)
    published_by = fields.String(required=True)
    change_note = fields.String(required=True)
    current = fields.Boolean(required=True)
    reviewed_by = fields.String(required=True, allow_none=True)
    own_review = fields.String(required=True, allow_none=True)
    withdrawn = fields.Nested(LibraryWithdrawnSchema, required=True, allow_none=True)


class LibrarySubjectSchema(Schema):
    id = fields.String(required=True)
    kind = fields.String(required=True)
    title = fields.String(required=True)
    model = fields.String(required=True, allow_none=True)
    safety = fields.List(fields.String(), required=True)
    revisions = fields.List(fields.Nested(LibraryRevisionSchema), required=True)


class LibrarySchema(Schema):
    procedures = fields.List(fields.Nested(LibrarySubjectSchema), required=True)


class LibraryFileSchema(Schema):
    path = fields.String(required=True, validate=validate.Length(1, 400))
    text = fields.String(required=True)


class LibraryCheckSchema(Schema):
    files = fields.List(fields.Nested(LibraryFileSchema), required=True, validate=validate.Length(1, 60))


class LibraryPublishSchema(LibraryCheckSchema):
    change_note = fields.String(required=True, validate=validate.Length(max=300))


class LibraryMessageSchema(Schema):
    happened = fields.String(required=True)
    means = fields.String(required=True)
    do = fields.String(required=True)


class LibraryFindingSchema(Schema):
    file = fields.String(required=True)
    line = fields.Integer(required=True)
    severity = fields.String(required=True)
    check = fields.String(required=True)
    code = fields.String(required=True)
    step = fields.String(required=True, allow_none=True)
    variants = fields.String(required=True, allow_none=True)
    reason = fields.String(required=True, allow_none=True)
    message = fields.Nested(LibraryMessageSchema, required=True)


class LibraryPublishedSchema(Schema):
    id = fields.String(required=True)
    kind = fields.String(required=True)
    revision = fields.Integer(required=True)
    sha256 = fields.String(required=True)
    new = fields.Boolean(required=True)


class LibraryOutcomeSchema(Schema):
    findings = fields.List(fields.Nested(LibraryFindingSchema), required=True)
    published = fields.List(fields.Nested(LibraryPublishedSchema), required=True)
    language = fields.Dict(keys=fields.String(), values=fields.Boolean(), required=True)


@blueprint.at("")
@blueprint.answers(200, LibrarySchema)
def library() -> dict[str, Any]:
    """Every procedure and map with all its revisions."""
    return {"procedures": library_of(ports(), at_desk().dealer.slug)}


@blueprint.at("/check", "POST")
@blueprint.takes(LibraryCheckSchema)
@blueprint.answers(200, LibraryOutcomeSchema)
def check(body: dict[str, Any]) -> dict[str, Any]:
    """What is found in the texts; nothing is published."""
    dealer = at_desk("author").dealer.slug
    files = with_published_maps(ports(), dealer, files_of(body))
    checked = check_library(files, published_pictures(ports(), dealer, files), dealer)
    return {"findings": [shown(one) for one in checked.findings], "published": [],
            "language": passing(checked.language)}


@blueprint.at("/publish", "POST")
@blueprint.takes(LibraryPublishSchema)
@blueprint.answers(200, LibraryOutcomeSchema)
def publish(body: dict[str, Any]) -> dict[str, Any]:
    """Publishes the texts in one step, recorded as a review of one's own; 422 with what stands in the way."""
    who = at_desk("author")
    dealer, by, note = who.dealer.slug, who.account.name, body["change_note"].strip() or "Not said."
    try:
        proposal = propose_files(ports(), dealer, by, files_of(body), note).id
    except ProposalHasErrors as refusal:
        raise not_publishable(refusal.findings) from None
    review(ports(), dealer, proposal, by, "accepted", ONE_STEP, may_own=True)
    outcome = publish_proposal(ports(), dealer, proposal, by)
    if outcome.refused:
        raise not_publishable(outcome.findings)
    return {"findings": [shown(one) for one in outcome.findings], "published": [one for one in outcome.published if one.new],
            "language": passing(outcome.language)}


def passing(language: dict[str, int]) -> dict[str, bool]:
    """For each text whether it passes the controlled language."""
    return {file: broken == 0 for file, broken in language.items()}


def not_publishable(found: list[Finding]) -> Refused:
    """The refusal that carries what stands in the way."""
    findings = [shown(one) for one in found]
    blocking = sum(one["severity"] in ("block", "error") for one in findings)
    return Refused("library_not_publishable", count=blocking, findings=findings)


def shown(finding: Finding) -> dict[str, Any]:
    """The finding with its three sentences."""
    where = finding.where
    return {
        "file": where.file, "line": where.line, "step": where.step, "severity": finding.severity.name.lower(),
        "check": finding.check, "code": finding.code, "variants": finding.variants,
        "reason": finding.reason,
        "message": message_for(finding.code, finding.values).as_dict(),
    }


def files_of(body: dict[str, Any]) -> list[LibraryFile]:
    """The texts of a body, at places inside the library. Raises Refused("library_files_form")."""
    for file in body["files"]:
        if not PATH.fullmatch(file["path"]) or ".." in file["path"].split("/"):
            raise Refused("library_files_form", path=file["path"][:120])
    return [LibraryFile(file["path"], file["text"].encode("utf-8", "surrogatepass")) for file in body["files"]]

"""The desk: proposals, their reviews, publishing what was accepted, withdrawing."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import MAY, Blueprint, at_desk, kept_rows, ports
from benchtrail.api.desk_library import (
    LibraryFileSchema,
    LibraryFindingSchema,
    LibraryOutcomeSchema,
    files_of,
    not_publishable,
    passing,
    shown,
)
from benchtrail.api.fields import Moment
from benchtrail.domain.difference.change import Change
from benchtrail.domain.difference.words import change_in_words
from benchtrail.domain.refused import Refused
from benchtrail.messages import difference_texts
from benchtrail.services.impact import Impact, before_review, impact_of
from benchtrail.services.proposals import (
    ProposalHasErrors,
    Reviewed,
    checked,
    left_out,
    packs_of,
    proposal_of,
    proposals_of,
    propose_files,
    propose_workfile,
    publish_proposal,
    review,
    take_back,
)
from benchtrail.services.touched import Touched
from benchtrail.services.withdraw import withdraw
from benchtrail.services.workfiles import open_workfile

blueprint = Blueprint("desk_review", __name__, url_prefix="/api/v1/desk", description="The desk: review and publishing")


class ReviewSchema(Schema):
    number = fields.Integer(required=True)
    by = fields.String(required=True)
    at = Moment(required=True)
    verdict = fields.String(required=True)
    words = fields.String(required=True)
    own = fields.Boolean(required=True)


class ProposalSchema(Schema):
    id = fields.String(required=True)
    title = fields.String(required=True)
    change_note = fields.String(required=True)
    bulletin = fields.String(required=True)
    workfile = fields.String(required=True, allow_none=True)
    version = fields.Integer(required=True, allow_none=True)
    made_by = fields.String(required=True)
    made_at = Moment(required=True)
    state = fields.String(required=True)
    published = fields.List(fields.String(), required=True)
    published_by = fields.String(required=True, allow_none=True)
    published_at = Moment(required=True)
    reviews = fields.List(fields.Nested(ReviewSchema), required=True)


class ProposalsSchema(Schema):
    proposals = fields.List(fields.Nested(ProposalSchema), required=True)


class ImpactChangeSchema(Schema):
    severity = fields.String(required=True)
    words = fields.String(required=True)
    redo = fields.Boolean(required=True)


class ImpactJobSchema(Schema):
    job = fields.String(required=True)
    machine = fields.String(required=True)
    device = fields.String(required=True)
    revision = fields.Integer(required=True)
    closed = fields.Boolean(required=True)
    used = fields.Integer(required=True)
    redo = fields.Integer(required=True)


class HeldRevisionSchema(Schema):
    revision = fields.Integer(required=True)
    phones = fields.Integer(required=True)


class ImpactSchema(Schema):
    kind = fields.String(required=True)
    id = fields.String(required=True)
    title = fields.String(required=True)
    revision = fields.Integer(required=True)
    before = fields.Integer(required=True, allow_none=True)
    changes = fields.List(fields.Nested(ImpactChangeSchema), required=True)
    draft = fields.String(required=True)
    phones = fields.Integer(required=True)
    held = fields.List(fields.Nested(HeldRevisionSchema), required=True)
    untold = fields.Integer(required=True)
    jobs = fields.List(fields.Nested(ImpactJobSchema), required=True)


class ProposalWholeSchema(ProposalSchema):
    files = fields.List(fields.Nested(LibraryFileSchema), required=True)
    findings = fields.List(fields.Nested(LibraryFindingSchema), required=True)
    impact = fields.List(fields.Nested(ImpactSchema), required=True)
    left_out = fields.List(fields.Nested(lambda: TouchedSchema()), required=True)


class ProposeSchema(Schema):
    files = fields.List(fields.Nested(LibraryFileSchema), load_default=list, validate=validate.Length(max=60))
    workfile = fields.String(load_default=None, allow_none=True, validate=validate.Length(1, 60))
    version = fields.Integer(load_default=None, allow_none=True, strict=True, validate=validate.Range(1, 2**31 - 1))
    touched = fields.List(fields.String(validate=validate.Length(1, 120)), load_default=list, validate=validate.Length(max=500))
    change_note = fields.String(required=True, validate=validate.Length(max=300))
    bulletin = fields.String(load_default="", validate=validate.Length(max=4000))


class BeforeReviewSchema(Schema):
    text = fields.String(required=True)


class TouchedSchema(Schema):
    procedure = fields.String(required=True)
    title = fields.String(required=True)
    revision = fields.Integer(required=True)
    changes = fields.List(fields.Nested(ImpactChangeSchema), required=True)
    findings = fields.List(fields.Nested(LibraryFindingSchema), required=True)
    workfile = fields.String(required=True, allow_none=True)


class WouldMeetSchema(Schema):
    revision = fields.Integer(required=True, allow_none=True)
    in_force = fields.Integer(required=True, allow_none=True)
    same = fields.Boolean(required=True)
    changes = fields.List(fields.Nested(ImpactChangeSchema), required=True)
    touched = fields.List(fields.Nested(TouchedSchema), required=True)


class VerdictSchema(Schema):
    verdict = fields.String(required=True, validate=validate.OneOf(("accepted", "sent_back")))
    words = fields.String(load_default="", validate=validate.Length(max=2000))


class PublishProposalSchema(Schema):
    bulletin = fields.String(load_default=None, allow_none=True, validate=validate.Length(max=4000))


class WithdrawSchema(Schema):
    procedure = fields.String(required=True, validate=validate.Length(1, 120))
    reason = fields.String(required=True, validate=validate.Length(max=500))


class WithdrawalSchema(Schema):
    subject = fields.String(required=True)
    revision = fields.Integer(required=True)
    by = fields.String(required=True)
    at = Moment(required=True)
    reason = fields.String(required=True)


@blueprint.at("/proposals")
@blueprint.answers(200, ProposalsSchema)
def list_proposals() -> dict[str, Any]:
    """Everything that was proposed, newest first."""
    return {"proposals": [_row(one) for one in proposals_of(ports(), at_desk().dealer.slug)]}


@blueprint.at("/proposals", "POST")
@blueprint.takes(ProposeSchema)
@blueprint.answers(201, ProposalSchema)
def propose(body: dict[str, Any]) -> dict[str, Any]:
    """Proposes files, or a saved version of a workfile; 422 with the findings when they have errors."""
    who = at_desk("author")
    dealer, by, note, words = who.dealer.slug, who.account.name, body["change_note"], body["bulletin"]
    if bool(body["files"]) == bool(body["workfile"]):
        raise Refused("proposal_of_what")
    try:
        if body["workfile"]:
            made = propose_workfile(ports(), dealer, by, body["workfile"], body["version"], note, words, body["touched"])
        else:
            made = propose_files(ports(), dealer, by, files_of(body), note, words)
    except ProposalHasErrors as refusal:
        raise not_publishable(refusal.findings) from None
    return _row(Reviewed(made, []))


@blueprint.at("/workfiles/<workfile>/before-review", "POST")
@blueprint.takes(BeforeReviewSchema)
@blueprint.answers(200, WouldMeetSchema)
def before(body: dict[str, Any], workfile: str) -> dict[str, Any]:
    """What a text, saved or not, changes against what is in force, and the published procedures that its map touches."""
    dealer = at_desk("author").dealer.slug
    found = before_review(ports(), dealer, open_workfile(ports(), dealer, workfile)[0], body["text"])
    return {"revision": found.revision, "in_force": found.in_force, "same": found.same, "changes": _changes(found.changes),
            "touched": [_touched(one) for one in found.touched]}


@blueprint.at("/proposals/<proposal>")
@blueprint.answers(200, ProposalWholeSchema)
def one_proposal(proposal: str) -> dict[str, Any]:
    """The proposal with its texts, findings, and what publishing it would mean now."""
    dealer = at_desk().dealer.slug
    found = proposal_of(ports(), dealer, proposal)
    library = checked(ports(), found.proposal)
    impacts = [impact_of(ports(), kept_rows(), dealer, pack) for pack in packs_of(library)]
    return _row(found) | {"files": found.proposal.files, "findings": [shown(one) for one in library.findings],
                          "impact": [_impact(one) for one in impacts],
                          "left_out": [_touched(one) for one in left_out(ports(), dealer, found.proposal)]}


@blueprint.at("/proposals/<proposal>/reviews", "POST")
@blueprint.takes(VerdictSchema)
@blueprint.answers(201, ProposalSchema)
def add_review(body: dict[str, Any], proposal: str) -> dict[str, Any]:
    """Accepts it or sends it back; its writer may accept it with a reason."""
    who = at_desk("reviewer")
    may_own = who.account.role in MAY["author"]
    return _row(review(ports(), who.dealer.slug, proposal, who.account.name, body["verdict"], body["words"], may_own))


@blueprint.at("/proposals/<proposal>/publish", "POST")
@blueprint.takes(PublishProposalSchema)
@blueprint.answers(200, LibraryOutcomeSchema)
def publish(body: dict[str, Any], proposal: str) -> dict[str, Any]:
    """Publishes what was accepted, as it was reviewed."""
    who = at_desk("author")
    outcome = publish_proposal(ports(), who.dealer.slug, proposal, who.account.name, body["bulletin"])
    if outcome.refused:
        raise not_publishable(outcome.findings)
    return {"findings": [shown(one) for one in outcome.findings], "published": [one for one in outcome.published if one.new],
            "language": passing(outcome.language)}


@blueprint.at("/proposals/<proposal>/take-back", "POST")
@blueprint.answers(200, ProposalSchema)
def end_proposal(proposal: str) -> dict[str, Any]:
    """Ends it without publishing."""
    who = at_desk("author")
    take_back(ports(), who.dealer.slug, proposal, who.account.name)
    return _row(proposal_of(ports(), who.dealer.slug, proposal))


@blueprint.at("/library/withdraw", "POST")
@blueprint.takes(WithdrawSchema)
@blueprint.answers(200, WithdrawalSchema)
def withdraw_procedure(body: dict[str, str]) -> Any:
    """Takes a procedure out of what is current; its revisions stay."""
    who = at_desk("author")
    return withdraw(ports(), who.dealer.slug, body["procedure"], who.account.name, body["reason"])


def _row(found: Reviewed) -> dict[str, Any]:
    return {name: getattr(found.proposal, name) for name in ProposalSchema().fields if name != "reviews"} | {
        "reviews": found.reviews}


def _touched(one: Touched) -> dict[str, Any]:
    return vars(one) | {"changes": _changes(one.changes), "findings": [shown(each) for each in one.findings]}


def _changes(changes: list[Change]) -> list[dict[str, Any]]:
    texts = difference_texts()
    return [dict(change) | {"words": change_in_words(texts, change)} for change in changes]


def _impact(one: Impact) -> dict[str, Any]:
    return {
        "kind": one.kind, "id": one.subject, "title": one.title, "revision": one.revision, "before": one.before,
        "changes": _changes(one.changes),
        "draft": one.draft, "phones": one.holders.phones, "untold": one.holders.untold,
        "held": [{"revision": revision, "phones": phones} for revision, phones in one.holders.revisions],
        "jobs": [{"job": job["row"]["job"], "machine": job["row"]["machine"]["name"], "device": job["row"]["device"],
                  "revision": job["row"]["revision"], "closed": job["row"]["closed"] is not None, "used": job["used"],
                  "redo": job["redo"]} for job in one.jobs],
    }

"""The desk's phones: codes that enrol them, links for customers, the list, shutting out."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, base_url, ports
from benchtrail.api.fields import Moment
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.devices import devices_of, make_code, revoke
from benchtrail.services.links import enrolment_link, procedure_link, qr_svg

blueprint = Blueprint("desk_phones", __name__, url_prefix="/api/v1/desk", description="The desk: phones and links")


class LabelSchema(Schema):
    label = fields.String(required=True, validate=validate.Length(max=200))


class CodeSchema(Schema):
    code = fields.String(required=True)
    link = fields.String(required=True)
    qr_svg = fields.String(required=True)
    expires_at = Moment(required=True)


class LinkQuerySchema(Schema):
    procedure = fields.String(required=True, validate=validate.Length(1, 120))


class LinkSchema(Schema):
    link = fields.String(required=True)
    qr_svg = fields.String(required=True)


class PhoneSchema(Schema):
    device = fields.String(required=True)
    label = fields.String(required=True)
    enrolled_at = Moment(required=True)
    last_seen_at = Moment(required=True)
    waiting = fields.Integer(required=True, allow_none=True)
    revoked_at = Moment(required=True)


class PhonesSchema(Schema):
    devices = fields.List(fields.Nested(PhoneSchema), required=True)


@blueprint.at("/enrolment-codes", "POST")
@blueprint.takes(LabelSchema)
@blueprint.answers(201, CodeSchema)
def new_code(body: dict[str, str]) -> dict[str, Any]:
    """A code for one phone, good for ten minutes."""
    who = at_desk("author")
    code, kept = make_code(ports(), who.dealer.slug, body["label"], who.account.name)
    link = enrolment_link(base_url(), code)
    return {"code": code, "link": link, "qr_svg": qr_svg(link), "expires_at": kept.expires_at}


@blueprint.at("/links", "POST")
@blueprint.takes(LinkQuerySchema)
@blueprint.answers(200, LinkSchema)
def new_link(body: dict[str, str]) -> dict[str, str]:
    """The address of a procedure for a customer."""
    who = at_desk("author")
    pack = current_procedure(ports(), who.dealer.slug, body["procedure"])
    link = procedure_link(base_url(), pack.subject)
    return {"link": link, "qr_svg": qr_svg(link)}


@blueprint.at("/devices")
@blueprint.answers(200, PhonesSchema)
def phones() -> dict[str, Any]:
    """The dealer's phones, shut out ones too."""
    return {"devices": devices_of(ports(), at_desk().dealer.slug)}


@blueprint.at("/devices/<device>", "DELETE")
@blueprint.answers(200, PhoneSchema)
def shut_out(device: str) -> Any:
    """Takes nothing more from the phone; what came from it stays."""
    who = at_desk("author")
    return revoke(ports(), who.dealer.slug, device, who.account.name)

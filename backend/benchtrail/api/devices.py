"""Enrolling a phone, and which phone it is."""

from typing import Any

from flask import Response, jsonify
from marshmallow import Schema, fields, validate

from benchtrail.api.context import DEVICE_COOKIE, Blueprint, address, ports, read_cookie, set_cookie, this_device
from benchtrail.api.fields import Moment
from benchtrail.services.devices import enrol
from benchtrail.services.held_packs import tell_held
from benchtrail.services.records import Dealer, Device

blueprint = Blueprint("devices", __name__, url_prefix="/api/v1/devices", description="Phones")
COOKIE_S = 400 * 24 * 3600  # the longest that browsers keep a cookie (RFC 6265bis, section 5.5)


class EnrolSchema(Schema):
    code = fields.String(required=True, validate=validate.Length(1, 40))
    device = fields.String(required=True)
    label = fields.String(load_default="", validate=validate.Length(max=200))


class DeviceSchema(Schema):
    device = fields.String(required=True)
    dealer = fields.String(required=True)
    label = fields.String(required=True)
    enrolled_at = Moment(required=True)


@blueprint.at("/enrol", "POST")
@blueprint.takes(EnrolSchema)
@blueprint.answers(201, DeviceSchema)
def enrol_phone(body: dict[str, str]) -> Response:
    """Makes the phone known with a one-time code; the answer sets its cookie."""
    credential, device, dealer = enrol(ports(), body["code"], body["device"], body["label"], address())
    response = jsonify(_shown(device, dealer))
    response.status_code = 201
    set_cookie(response, DEVICE_COOKIE, credential, COOKIE_S)
    return response


@blueprint.at("/me")
@blueprint.answers(200, DeviceSchema)
def me() -> Response:
    """Which phone this is; renews its cookie, so that a phone in use never loses it."""
    response = jsonify(_shown(*this_device()))
    set_cookie(response, DEVICE_COOKIE, read_cookie(DEVICE_COOKIE) or "", COOKIE_S)
    return response


class KeptPacksSchema(Schema):
    packs = fields.List(fields.String(validate=validate.Regexp(r"[0-9a-f]{64}\Z")), required=True, validate=validate.Length(max=2000))


class KnownPacksSchema(Schema):
    known = fields.Integer(required=True)


@blueprint.at("/me/packs", "POST")
@blueprint.takes(KeptPacksSchema)
@blueprint.answers(200, KnownPacksSchema)
def keeps(body: dict[str, list[str]]) -> dict[str, int]:
    """What this phone keeps of its dealer's packs, in place of what it said before."""
    return {"known": tell_held(ports(), this_device()[0], body["packs"])}


def _shown(device: Device, dealer: Dealer) -> Any:
    return DeviceSchema().dump({"device": device.device, "dealer": dealer.slug, "label": device.label,
                                "enrolled_at": device.enrolled_at})

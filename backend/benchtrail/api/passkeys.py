"""Passkeys: added, named, listed and removed at the desk; signing in with one."""

from typing import Any

from flask import Response, jsonify, request
from marshmallow import Schema, fields, validate

from benchtrail.api.context import DESK_COOKIE, Blueprint, address, at_desk, drop_cookie, ports, read_cookie, set_cookie
from benchtrail.api.fields import Moment
from benchtrail.api.session import SessionSchema, shown_session
from benchtrail.services.accounts import SESSION_LENGTH
from benchtrail.services.passkeys import (
    LIFE,
    Site,
    add_passkey,
    begin_adding,
    begin_sign_in,
    passkeys_of,
    remove_passkey,
    rename_passkey,
    sign_in_with_passkey,
)

blueprint = Blueprint("desk_passkeys", __name__, url_prefix="/api/v1/desk/passkeys", description="The desk: passkeys")
way_in = Blueprint("passkeys", __name__, url_prefix="/api/v1/passkeys", description="Signing in with a passkey")
CHALLENGE_COOKIE = "benchtrail_passkey"


class OwnPasswordToldSchema(Schema):
    password = fields.String(required=True, validate=validate.Length(max=400))


class PasskeyOptionsSchema(Schema):
    options = fields.Dict(required=True)


class NewPasskeySchema(Schema):
    label = fields.String(required=True, validate=validate.Length(max=300))
    credential = fields.Dict(required=True)


class PasskeyLabelSchema(Schema):
    label = fields.String(required=True, validate=validate.Length(max=300))


class PasskeySignInSchema(Schema):
    credential = fields.Dict(required=True)


class PasskeySchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    label = fields.String(required=True)
    site = fields.String(required=True)
    made_at = Moment(required=True)
    used_at = Moment(required=True, allow_none=True)


class PasskeysSchema(Schema):
    passkeys = fields.List(fields.Nested(PasskeySchema), required=True)


@blueprint.at("")
@blueprint.answers(200, PasskeysSchema)
def passkeys() -> dict[str, Any]:
    """One's own; to an owner everyone's."""
    who = at_desk()
    return {"passkeys": passkeys_of(ports(), who.dealer.slug, None if who.account.role == "owner" else who.account.name)}


@blueprint.at("/begin", "POST")
@blueprint.takes(OwnPasswordToldSchema)
@blueprint.answers(200, PasskeyOptionsSchema)
def begin(body: dict[str, str]) -> Response:
    """What the browser asks its authenticator to make; needs the password."""
    return _challenged(*begin_adding(ports(), at_desk().account, body["password"], _site(), address()))


@blueprint.at("", "POST")
@blueprint.takes(NewPasskeySchema)
@blueprint.answers(201, PasskeySchema)
def add(body: dict[str, Any]) -> Any:
    """Keeps what the authenticator made."""
    return add_passkey(ports(), at_desk().account, body["label"], body["credential"], read_cookie(CHALLENGE_COOKIE), _site())


@blueprint.at("/<passkey>", "PATCH")
@blueprint.takes(PasskeyLabelSchema)
@blueprint.answers(200, PasskeySchema)
def rename(body: dict[str, str], passkey: str) -> Any:
    """Another word for one's own passkey."""
    return rename_passkey(ports(), at_desk().account, passkey, body["label"])


@blueprint.at("/<passkey>", "DELETE")
@blueprint.answers(204)
def remove(passkey: str) -> None:
    """Ends a passkey: one's own, or as an owner anybody's."""
    remove_passkey(ports(), at_desk().account, passkey)


@way_in.at("/begin", "POST")
@way_in.answers(200, PasskeyOptionsSchema)
def ask() -> Response:
    """What the browser asks its authenticator to sign; the same for everyone."""
    return _challenged(*begin_sign_in(ports(), _site()))


@way_in.at("/session", "POST")
@way_in.takes(PasskeySignInSchema)
@way_in.answers(200, SessionSchema)
def sign_in(body: dict[str, Any]) -> Response:
    """Signs in; the answer sets the session's cookie."""
    token, who = sign_in_with_passkey(ports(), body["credential"], read_cookie(CHALLENGE_COOKIE), _site(), address(),
                                      request.user_agent.string)
    response = jsonify(shown_session(who))
    set_cookie(response, DESK_COOKIE, token, int(SESSION_LENGTH.total_seconds()))
    drop_cookie(response, CHALLENGE_COOKIE)
    return response


def _challenged(options: dict[str, Any], kept: str) -> Response:
    response = jsonify({"options": options})
    set_cookie(response, CHALLENGE_COOKIE, kept, int(LIFE.total_seconds()))
    return response


def _site() -> Site:
    """The name and origin under which the browser reached this server."""
    origin = request.host_url.rstrip("/")
    name = request.host if request.host.endswith("]") else request.host.rpartition(":")[0] or request.host
    return Site(name.lower(), origin)

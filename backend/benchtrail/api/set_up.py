"""Setting up a new server in the browser; setting a password with a code."""

from flask import Response, jsonify, request
from marshmallow import Schema, fields, validate

from benchtrail.api.context import DESK_COOKIE, Blueprint, address, at_desk, drop_cookie, ports, set_cookie
from benchtrail.api.session import SessionSchema, shown_session
from benchtrail.services.accounts import SESSION_LENGTH, sign_in
from benchtrail.services.people import change_own_password, set_password_with_code
from benchtrail.services.set_up import set_up, set_up_needed

blueprint = Blueprint("set_up", __name__, url_prefix="/api/v1", description="The first account, and passwords")


class SetUpNeededSchema(Schema):
    needed = fields.Boolean(required=True)


class SetUpSchema(Schema):
    code = fields.String(required=True, validate=validate.Length(1, 40))
    dealer_name = fields.String(required=True, validate=validate.Length(max=200))
    name = fields.String(required=True, validate=validate.Length(max=200))
    password = fields.String(required=True)


class CodedPasswordSchema(Schema):
    code = fields.String(required=True, validate=validate.Length(1, 40))
    password = fields.String(required=True)


class OwnPasswordSchema(Schema):
    old = fields.String(required=True)
    new = fields.String(required=True)


class NameSchema(Schema):
    name = fields.String(required=True)


@blueprint.at("/set-up")
@blueprint.answers(200, SetUpNeededSchema)
def needed() -> dict[str, bool]:
    """Whether this server still waits for its first account."""
    return {"needed": set_up_needed(ports())}


@blueprint.at("/set-up", "POST")
@blueprint.takes(SetUpSchema)
@blueprint.answers(201, SessionSchema)
def first_owner(body: dict[str, str]) -> Response:
    """Makes the dealership and its owner, and signs in."""
    set_up(ports(), body["code"], body["dealer_name"], body["name"], body["password"], address())
    token, who = sign_in(ports(), body["name"], body["password"], address(), request.user_agent.string)
    response = jsonify(shown_session(who))
    response.status_code = 201
    set_cookie(response, DESK_COOKIE, token, int(SESSION_LENGTH.total_seconds()))
    return response


@blueprint.at("/password", "POST")
@blueprint.takes(CodedPasswordSchema)
@blueprint.answers(200, NameSchema)
def coded_password(body: dict[str, str]) -> dict[str, str]:
    """Sets a password with a one-time code; every session of the account ends."""
    return {"name": set_password_with_code(ports(), body["code"], body["password"], address())}


@blueprint.at("/desk/own-password", "POST")
@blueprint.takes(OwnPasswordSchema)
@blueprint.answers(204)
def own_password(body: dict[str, str]) -> Response:
    """Sets one's own password; every session of the account ends, this one too."""
    change_own_password(ports(), at_desk().account.name, body["old"], body["new"], address())
    response = Response(status=204)
    drop_cookie(response, DESK_COOKIE)
    return response

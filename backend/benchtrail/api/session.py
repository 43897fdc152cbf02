"""Signing in and out at the desk."""

from typing import Any

from flask import Response, jsonify, request
from marshmallow import Schema, fields

from benchtrail.api.context import DESK_COOKIE, Blueprint, address, at_desk, drop_cookie, ports, read_cookie, set_cookie
from benchtrail.services.accounts import SESSION_LENGTH, SignedIn, sign_in, sign_out

blueprint = Blueprint("session", __name__, url_prefix="/api/v1", description="Who sits at the desk")


class SignInSchema(Schema):
    name = fields.String(required=True)
    password = fields.String(required=True)


class UserSchema(Schema):
    name = fields.String(required=True)
    role = fields.String(required=True)


class DeskDealerSchema(Schema):
    slug = fields.String(required=True)
    name = fields.String(required=True)
    invented = fields.Boolean(required=True)


class SessionSchema(Schema):
    user = fields.Nested(UserSchema, required=True)
    dealer = fields.Nested(DeskDealerSchema, required=True)


def shown_session(who: SignedIn) -> Any:
    """Who is signed in, as the desk reads it."""
    return SessionSchema().dump({"user": who.account, "dealer": who.dealer})


@blueprint.at("/session", "POST")
@blueprint.takes(SignInSchema)
@blueprint.answers(200, SessionSchema)
def begin(body: dict[str, str]) -> Response:
    """Signs in; the answer sets the session's cookie."""
    token, who = sign_in(ports(), body["name"], body["password"], address(), request.user_agent.string)
    response = jsonify(shown_session(who))
    set_cookie(response, DESK_COOKIE, token, int(SESSION_LENGTH.total_seconds()))
    return response


@blueprint.at("/session")
@blueprint.answers(200, SessionSchema)
def current() -> Any:
    """Who is signed in."""
    return shown_session(at_desk())


@blueprint.at("/session", "DELETE")
@blueprint.answers(204)
def end() -> Response:
    """Signs out, on the server too."""
    sign_out(ports(), read_cookie(DESK_COOKIE))
    response = Response(status=204)
    drop_cookie(response, DESK_COOKIE)
    return response

"""The desk: who may do what, signed-in browsers, the audit log."""

import csv
import io
import json
from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import DESK_COOKIE, Blueprint, at_desk, base_url, ports, read_cookie
from benchtrail.api.fields import Moment
from benchtrail.clock import as_text
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import audit_all, audit_page
from benchtrail.services.links import password_link, qr_svg
from benchtrail.services.people import (
    Person,
    change_role,
    close_account,
    end_one_session,
    invite,
    make_password_code,
    people_of,
    reopen_account,
    sessions_of,
    this_session,
)
from benchtrail.services.records import PasswordCode

blueprint = Blueprint("desk_people", __name__, url_prefix="/api/v1/desk", description="The desk: people and rights")
ROLES = ("owner", "author", "reviewer", "reader")


class PersonSchema(Schema):
    name = fields.String(required=True)
    role = fields.String(required=True)
    state = fields.String(required=True, metadata={"description": "open, waiting (no password yet) or closed"})
    made_at = Moment(required=True)
    sessions = fields.Integer(required=True)


class PeopleSchema(Schema):
    people = fields.List(fields.Nested(PersonSchema), required=True)


class InvitationSchema(Schema):
    name = fields.String(required=True, validate=validate.Length(1, 60))
    role = fields.String(required=True, validate=validate.OneOf(ROLES))


class PersonChangeSchema(Schema):
    role = fields.String(validate=validate.OneOf(ROLES))
    closed = fields.Boolean(truthy={True}, falsy={False})


class PasswordCodeSchema(Schema):
    name = fields.String(required=True)
    code = fields.String(required=True)
    link = fields.String(required=True)
    qr_svg = fields.String(required=True)
    expires_at = Moment(required=True)


class BrowserSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    browser = fields.String(required=True)
    since = Moment(required=True)
    until = Moment(required=True)
    this = fields.Boolean(required=True)


class BrowsersSchema(Schema):
    browsers = fields.List(fields.Nested(BrowserSchema), required=True)


class AuditQuery(Schema):
    before = fields.Integer(load_default=None, validate=validate.Range(1, 2**53))


class AuditLineSchema(Schema):
    number = fields.Integer(required=True)
    at = Moment(required=True)
    by = fields.String(required=True)
    act = fields.String(required=True)
    subject = fields.String(required=True)
    values = fields.Dict(required=True)
    sha256 = fields.String(required=True)


class AuditSchema(Schema):
    lines = fields.List(fields.Nested(AuditLineSchema), required=True)
    more = fields.Boolean(required=True)


@blueprint.at("/people")
@blueprint.answers(200, PeopleSchema)
def people() -> dict[str, Any]:
    """Every account of the dealer."""
    return {"people": [_shown(one) for one in people_of(ports(), at_desk("owner").dealer.slug)]}


@blueprint.at("/people", "POST")
@blueprint.takes(InvitationSchema)
@blueprint.answers(201, PasswordCodeSchema)
def new_person(body: dict[str, Any]) -> dict[str, Any]:
    """An account, and the code with which its person sets the password; good for a day."""
    who = at_desk("owner")
    return shown_code(*invite(ports(), who.dealer.slug, body["name"], body["role"], who.account.name)[1:])


@blueprint.at("/people/<name>", "PATCH")
@blueprint.takes(PersonChangeSchema)
@blueprint.answers(200, PersonSchema)
def change_person(body: dict[str, Any], name: str) -> dict[str, Any]:
    """Another role, closing, opening again."""
    who = at_desk("owner")
    dealer, by = who.dealer.slug, who.account.name
    if body.get("closed") is False:
        reopen_account(ports(), dealer, name, by)
    if "role" in body:
        change_role(ports(), dealer, name, body["role"], by)
    if body.get("closed"):
        close_account(ports(), dealer, name, by)
    return next((_shown(one) for one in people_of(ports(), dealer) if one.account.name == name), None) or _nobody(name)


@blueprint.at("/people/<name>/password-code", "POST")
@blueprint.answers(201, PasswordCodeSchema)
def new_password_code(name: str) -> dict[str, Any]:
    """A code with which the person sets a new password; until then the old one holds."""
    who = at_desk("owner")
    return shown_code(*make_password_code(ports(), who.dealer.slug, name, who.account.name))


@blueprint.at("/browsers")
@blueprint.answers(200, BrowsersSchema)
def browsers() -> dict[str, Any]:
    """Signed-in browsers: one's own; to an owner everyone's."""
    who = at_desk()
    own_only = None if who.account.role == "owner" else who.account.name
    this = this_session(ports(), read_cookie(DESK_COOKIE))
    return {"browsers": [
        {"id": one.id, "name": one.name, "browser": one.browser, "since": one.created_at, "until": one.expires_at,
         "this": one.id == this} for one in sessions_of(ports(), who.dealer.slug, own_only)]}


@blueprint.at("/browsers/<id>", "DELETE")
@blueprint.answers(204)
def end_browser(id: str) -> None:
    """Signs that browser out."""
    who = at_desk()
    end_one_session(ports(), who.dealer.slug, id, who.account.name, who.account.role != "owner")


@blueprint.at("/audit")
@blueprint.takes(AuditQuery, "query")
@blueprint.answers(200, AuditSchema)
def audit(query: dict[str, Any]) -> dict[str, Any]:
    """Who did what, newest first, a hundred lines a page."""
    lines, more = audit_page(ports(), at_desk("owner").dealer.slug, query["before"])
    return {"lines": lines, "more": more}


@blueprint.at("/audit.csv")
@blueprint.answers(200)
def audit_csv() -> Response:
    """The whole audit log as a table (RFC 4180)."""
    out = io.StringIO()
    table = csv.writer(out)
    table.writerow(("number", "at", "by", "act", "subject", "values", "prev", "sha256"))
    for line in audit_all(ports(), at_desk("owner").dealer.slug):
        values = json.dumps(line.values, ensure_ascii=False, sort_keys=True)
        table.writerow((line.number, as_text(line.at), line.by, line.act, line.subject, values, line.prev, line.sha256))
    response = Response(out.getvalue(), mimetype="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="audit-log.csv"'
    return response


def _shown(person: Person) -> dict[str, Any]:
    account = person.account
    return {"name": account.name, "role": account.role, "state": person.state, "made_at": account.created_at,
            "sessions": person.sessions}


def shown_code(code: str, kept: PasswordCode) -> dict[str, Any]:
    """A password code as an owner sees it, once."""
    link = password_link(base_url(), code)
    return {"name": kept.name, "code": code, "link": link, "qr_svg": qr_svg(link), "expires_at": kept.expires_at}


def _nobody(name: str) -> dict[str, Any]:
    raise Refused("account_unknown", name=name[:60])

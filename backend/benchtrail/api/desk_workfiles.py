"""The desk's workfiles: texts of maps and procedures that are being written, saved, checked, and taken out as YAML."""

import binascii
from base64 import b64decode
from posixpath import basename
from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, ports
from benchtrail.api.desk_library import LibraryFindingSchema, shown
from benchtrail.api.fields import Moment
from benchtrail.domain.pictures import picture_kind
from benchtrail.domain.refused import Refused
from benchtrail.services.records import Workfile
from benchtrail.services.work_pictures import add_work_picture, work_pictures
from benchtrail.services.workfile_check import check_workfile, map_pack_of, picture_reader_of
from benchtrail.services.workfile_starts import first_text, published_text
from benchtrail.services.workfiles import (
    open_workfile,
    path_of,
    put_away,
    save_workfile,
    start_workfile,
    versions_of,
    workfiles_of,
)

blueprint = Blueprint("desk_workfiles", __name__, url_prefix="/api/v1/desk/workfiles",
                      description="The desk: maps and procedures that are being written")


class WorkfileSchema(Schema):
    id = fields.String(required=True)
    path = fields.String(required=True)
    kind = fields.String(required=True)
    title = fields.String(required=True)
    model = fields.String(required=True, allow_none=True)
    version = fields.Integer(required=True)
    started_at = Moment(required=True)
    started_by = fields.String(required=True)
    saved_at = Moment(required=True)
    saved_by = fields.String(required=True)
    put_away = fields.Boolean(required=True)


class WorkfileTextSchema(WorkfileSchema):
    text = fields.String(required=True)
    newest = fields.Integer(required=True)


class WorkfileListSchema(Schema):
    workfiles = fields.List(fields.Nested(WorkfileSchema), required=True)


class WorkfileStartSchema(Schema):
    kind = fields.String(required=True, validate=validate.OneOf(("map", "procedure")))
    id = fields.String(required=True, validate=validate.Length(1, 100))
    title = fields.String(load_default="", validate=validate.Length(max=300))
    model = fields.String(load_default=None, allow_none=True, validate=validate.Length(1, 100))
    published = fields.Boolean(load_default=False)
    text = fields.String(load_default=None, allow_none=True)


class WorkfileSaveSchema(Schema):
    base = fields.Integer(required=True, strict=True, validate=validate.Range(1, 2**31 - 1))
    text = fields.String(required=True)


class WorkfileAwaySchema(Schema):
    away = fields.Boolean(required=True)


class WorkfileVersionSchema(Schema):
    version = fields.Integer(required=True)
    saved_at = Moment(required=True)
    saved_by = fields.String(required=True)


class WorkfileVersionsSchema(Schema):
    versions = fields.List(fields.Nested(WorkfileVersionSchema), required=True)


class WorkfileCheckSchema(Schema):
    text = fields.String(required=True)
    pack = fields.Boolean(load_default=False)


class WorkfileFindingSchema(LibraryFindingSchema):
    values = fields.Dict(required=True)


class WorkfileCheckedSchema(Schema):
    findings = fields.List(fields.Nested(WorkfileFindingSchema), required=True)
    pack = fields.Dict(required=True, allow_none=True)
    map_used = fields.Dict(required=True)


class WorkfileMapSchema(Schema):
    map = fields.Dict(required=True, allow_none=True)


class WorkPictureSchema(Schema):
    name = fields.String(required=True)
    sha256 = fields.String(required=True)
    mime = fields.String(required=True)
    bytes = fields.Integer(required=True)
    added_at = Moment(required=True)
    added_by = fields.String(required=True)


class WorkPicturesSchema(Schema):
    pictures = fields.List(fields.Nested(WorkPictureSchema), required=True)


class WorkPictureNewSchema(Schema):
    name = fields.String(required=True, validate=validate.Length(1, 200))
    base64 = fields.String(required=True)


@blueprint.at("")
@blueprint.answers(200, WorkfileListSchema)
def workfiles() -> dict[str, Any]:
    """Everything that is being written, the one saved last first."""
    return {"workfiles": workfiles_of(ports(), at_desk().dealer.slug)}


@blueprint.at("", "POST")
@blueprint.takes(WorkfileStartSchema)
@blueprint.answers(201, WorkfileTextSchema)
def start(body: dict[str, Any]) -> dict[str, Any]:
    """Begins a workfile: from a text given, from the published revision, or from a form with its head filled in."""
    who = at_desk("author")
    dealer, kind, id, model = who.dealer.slug, body["kind"], body["id"], body["model"]
    path = path_of(kind, id, model)
    if body["text"] is not None:
        text = body["text"]
    elif body["published"]:
        text = published_text(ports(), dealer, kind, id)
    else:
        author = f"{who.account.name}, {who.dealer.name}"
        text = first_text(kind, id, body["title"] or id, model, author, ports().clock.now().date(), who.dealer.invented)
    made, text = start_workfile(ports(), dealer, who.account.name, kind, path, text)
    return _whole(made, made.version, text)


@blueprint.at("/<workfile>")
@blueprint.answers(200, WorkfileTextSchema)
def opened(workfile: str) -> dict[str, Any]:
    """The workfile with its newest text."""
    found, version = open_workfile(ports(), at_desk().dealer.slug, workfile)
    return _whole(found, version.version, version.text)


@blueprint.at("/<workfile>/save", "POST")
@blueprint.takes(WorkfileSaveSchema)
@blueprint.answers(200, WorkfileSchema)
def save(body: dict[str, Any], workfile: str) -> Workfile:
    """Saves the text as the next version; 409 with both texts and their merge when someone else saved meanwhile."""
    who = at_desk("author")
    return save_workfile(ports(), who.dealer.slug, who.account.name, workfile, body["base"], body["text"])


@blueprint.at("/<workfile>/put-away", "POST")
@blueprint.takes(WorkfileAwaySchema)
@blueprint.answers(200, WorkfileSchema)
def away(body: dict[str, Any], workfile: str) -> Workfile:
    """Takes the workfile off the list, or puts it back; nothing is deleted."""
    return put_away(ports(), at_desk("author").dealer.slug, workfile, body["away"])


@blueprint.at("/<workfile>/versions")
@blueprint.answers(200, WorkfileVersionsSchema)
def versions(workfile: str) -> dict[str, Any]:
    """Every version saved, newest first."""
    return {"versions": versions_of(ports(), at_desk().dealer.slug, workfile)}


@blueprint.at("/<workfile>/versions/<version>")
@blueprint.answers(200, WorkfileTextSchema)
def version_text(workfile: str, version: str) -> dict[str, Any]:
    """The text as it was saved then."""
    number = int(version) if version.isascii() and version.isdigit() and len(version) < 10 else 0
    found, kept = open_workfile(ports(), at_desk().dealer.slug, workfile, number)
    return _whole(found, kept.version, kept.text)


@blueprint.at("/<workfile>/yaml")
@blueprint.describes(responses={200: {"description": "The text, byte for byte", "content": {"application/yaml": {}}}})
def as_yaml(workfile: str) -> Response:
    """The newest text as a file."""
    found, version = open_workfile(ports(), at_desk().dealer.slug, workfile)
    answer = Response(version.text.encode("utf-8"), mimetype="application/yaml")
    answer.headers.set("Content-Disposition", "attachment", filename=basename(found.path))
    return answer


@blueprint.at("/<workfile>/check", "POST")
@blueprint.takes(WorkfileCheckSchema)
@blueprint.answers(200, WorkfileCheckedSchema)
def check(body: dict[str, Any], workfile: str) -> dict[str, Any]:
    """What the checks find in a text that need not be saved; the compiled pack too when it is asked for."""
    dealer = at_desk("author").dealer.slug
    found, _ = open_workfile(ports(), dealer, workfile)
    checked = check_workfile(ports(), dealer, found, body["text"])
    findings = [shown(one) | {"values": {key: _plain(value) for key, value in one.values.items()}} for one in checked.findings]
    return {"findings": findings, "pack": checked.pack if body["pack"] else None, "map_used": checked.map_used}


@blueprint.at("/<workfile>/map")
@blueprint.answers(200, WorkfileMapSchema)
def its_map(workfile: str) -> dict[str, Any]:
    """The compiled map that a procedure is checked against."""
    dealer = at_desk().dealer.slug
    found, version = open_workfile(ports(), dealer, workfile)
    return {"map": map_pack_of(ports(), dealer, found, version.text)}


@blueprint.at("/<workfile>/pictures")
@blueprint.answers(200, WorkPicturesSchema)
def pictures(workfile: str) -> dict[str, Any]:
    """The pictures of the workfile's folder that were added at the desk."""
    return {"pictures": work_pictures(ports(), at_desk().dealer.slug, workfile)}


@blueprint.at("/<workfile>/pictures", "POST")
@blueprint.takes(WorkPictureNewSchema)
@blueprint.answers(201, WorkPictureSchema)
def add_picture(body: dict[str, Any], workfile: str) -> Any:
    """Keeps a picture, free of metadata, under a name that nothing has yet."""
    who = at_desk("author")
    try:
        content = b64decode(body["base64"], validate=True)
    except (binascii.Error, ValueError):
        raise Refused("work_picture_unreadable") from None
    return add_work_picture(ports(), who.dealer.slug, who.account.name, workfile, body["name"], content)


@blueprint.at("/<workfile>/pictures/<picture>")
@blueprint.describes(responses={200: {"description": "The picture's bytes", "content": {"image/*": {}}}})
def picture(workfile: str, picture: str) -> Response:
    """A picture as the text names it: one added at the desk, or of a published revision."""
    dealer = at_desk().dealer.slug
    found, _ = open_workfile(ports(), dealer, workfile)
    content = picture_reader_of(ports(), dealer, found)(f"{found.path.rpartition('/')[0]}/pictures/{picture}")
    if content is None:
        raise Refused("no_such_picture")
    return Response(content, mimetype=picture_kind(content))


def _whole(workfile: Workfile, version: int, text: str) -> dict[str, Any]:
    shown_fields = {name: getattr(workfile, name) for name in WorkfileSchema().fields}
    return shown_fields | {"version": version, "newest": workfile.version, "text": text}


def _plain(value: object) -> Any:
    return value if isinstance(value, str | int | float | bool) or value is None else str(value)

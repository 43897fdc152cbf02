"""A dealership as one file: out of the desk, and into a new server. Services do the work."""

import tempfile
from collections.abc import Iterator
from dataclasses import asdict
from typing import IO, Any

from flask import Response, request
from marshmallow import Schema, fields

from benchtrail.api.context import Blueprint, address, at_desk, ports
from benchtrail.api.desk_people import PasswordCodeSchema, shown_code
from benchtrail.api.guard import ZIP_TYPE
from benchtrail.domain.refused import Refused
from benchtrail.messages import dealer_file_texts, dealer_plan_words
from benchtrail.services.dealer_export import export_dealer
from benchtrail.services.dealer_import import Plan, import_dealer, plan_import
from benchtrail.services.set_up import check_set_up_code

out = Blueprint("dealer_file_out", __name__, url_prefix="/api/v1/desk", description="The desk: everything in one file")
into = Blueprint("dealer_file_into", __name__, url_prefix="/api/v1", description="A dealership from a file, on a new server")
CODE_HEADER = "X-Benchtrail-Code"
CODE = {"in": "header", "name": CODE_HEADER, "required": True, "schema": {"type": "string"},
        "description": "the code that the server printed"}
PIECE = 1024 * 1024
ZIP = {"content": {ZIP_TYPE: {"schema": {"type": "string", "format": "binary"}}}}


class DealerFileQuery(Schema):
    dry_run = fields.Boolean(load_default=True, metadata={"description": "prove the file and say what would be done; change nothing"})
    new_key = fields.Boolean(load_default=False, metadata={"description": "make a new signing key when the old one is not here"})


class DealerFileCountSchema(Schema):
    what = fields.String(required=True)
    count = fields.Integer(required=True)


class DealerFileSchema(Schema):
    slug = fields.String(required=True)
    name = fields.String(required=True)
    kid = fields.String(required=True)
    made_at = fields.String(required=True)
    made_by = fields.String(required=True)
    key = fields.String(required=True, metadata={"description": "same, new or missing"})
    counts = fields.List(fields.Nested(DealerFileCountSchema), required=True)
    told = fields.List(fields.String(), required=True)
    done = fields.Boolean(required=True)
    codes = fields.List(fields.Nested(PasswordCodeSchema), required=True)


@out.at("/dealer-file")
@out.describes(responses={200: {"description": "The file", **ZIP}})
def dealer_file() -> Response:
    """Everything of the dealer as one file; an owner's. The audit log says that it was taken out."""
    who = at_desk("owner")
    if request.headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin"):
        raise Refused("foreign_site")
    passing: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed once it is sent
    export_dealer(ports(), who.dealer.slug, who.account.name, passing)
    response = Response(_sent_whole(passing), mimetype=ZIP_TYPE)
    response.content_length = passing.seek(0, 2)
    response.headers.set("Content-Disposition", "attachment", filename=f"{who.dealer.slug}-{ports().clock.now():%Y-%m-%d}.zip")
    return response


def _sent_whole(file: IO[bytes]) -> Iterator[bytes]:
    """The file piece by piece, closed behind the last one."""
    with file:
        file.seek(0)
        while piece := file.read(PIECE):
            yield piece


@into.at("/set-up/dealer-file", "POST")
@into.takes(DealerFileQuery, "query")
@into.answers(200, DealerFileSchema)
@into.describes(requestBody={"required": True, **ZIP}, parameters=[CODE])
def take_in(query: dict[str, bool]) -> dict[str, Any]:
    """A dealership from its file, on a server where nobody has an account yet. Everything in it is proven first."""
    check_set_up_code(ports(), request.headers.get(CODE_HEADER, ""), address())
    with tempfile.TemporaryFile() as passing:
        while piece := request.stream.read(PIECE):
            passing.write(piece)
        passing.seek(0)
        if query["dry_run"]:
            return _shown(plan_import(ports(), passing, query["new_key"]), False, [])
        plan, codes = import_dealer(ports(), passing, "set-up", query["new_key"])
    return _shown(plan, True, [shown_code(code, kept) for code, kept in codes])


def _shown(plan: Plan, done: bool, codes: list[dict[str, Any]]) -> dict[str, Any]:
    tables = dealer_file_texts()["tables"]
    counts = [{"what": tables[name], "count": count} for name, count in plan.rows.items() if name in tables]
    return {**asdict(plan), "counts": counts, "told": dealer_plan_words(asdict(plan)), "done": done, "codes": codes}


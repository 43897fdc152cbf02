"""Events of journals: taken in, handed out, compared."""

import json
from typing import Any

from flask import Response, jsonify, request
from marshmallow import Schema, fields, validate
from marshmallow.exceptions import ValidationError

from benchtrail.api.context import DEVICE_COOKIE, Blueprint, ports, read_cookie, set_cookie, this_device
from benchtrail.api.devices import COOKIE_S
from benchtrail.api.fields import Moment
from benchtrail.domain.refused import Refused
from benchtrail.services.erasure import erase_own
from benchtrail.services.pull_events import digest_of, pull_events
from benchtrail.services.receive_events import MOST_EVENTS, receive_events

blueprint = Blueprint("events", __name__, url_prefix="/api/v1", description="Journals")


class PushSchema(Schema):
    """The envelope of a push. What is in an event is not judged here: what is odd is kept in quarantine."""

    events = fields.List(fields.Raw(allow_none=True), required=True, validate=validate.Length(max=MOST_EVENTS))
    waiting = fields.Integer(strict=True, load_default=None, allow_none=True, validate=validate.Range(0, 10**9))


class ResultSchema(Schema):
    id = fields.String(required=True)
    status = fields.String(required=True)
    sha256 = fields.String(required=True)
    received_at = Moment(required=True)
    reason = fields.String(required=True, allow_none=True)


class PushedSchema(Schema):
    results = fields.List(fields.Nested(ResultSchema), required=True)
    high = fields.Integer(required=True)


class PullQuery(Schema):
    after = fields.String(load_default=None)


class PulledSchema(Schema):
    events = fields.List(fields.Dict(), required=True)
    cursor = fields.String(required=True)
    epoch = fields.String(required=True)
    more = fields.Boolean(required=True)


class DigestSchema(Schema):
    count = fields.Integer(required=True)
    sha256 = fields.String(required=True)


@blueprint.at("/events", "POST")
@blueprint.answers(200, PushedSchema)
@blueprint.describes(requestBody={"content": {"application/json": {"schema": PushSchema}}, "required": True})
def push() -> Response:
    """Takes events in; answers after they are on disk, with a result for each."""
    device, _ = this_device()
    body = _push_body()
    results, high = receive_events(ports(), device, body["events"], body["waiting"])
    response = jsonify(PushedSchema().dump({"results": results, "high": high}))
    set_cookie(response, DEVICE_COOKIE, read_cookie(DEVICE_COOKIE) or "", COOKIE_S)
    return response


@blueprint.at("/events")
@blueprint.takes(PullQuery, "query")
@blueprint.answers(200, PulledSchema)
def pull(query: dict[str, str | None]) -> Any:
    """Events of the jobs that this phone takes part in, since a cursor."""
    return pull_events(ports(), *this_device(), query["after"])


class ErasedOwnSchema(Schema):
    events = fields.Integer(required=True)
    photos = fields.Integer(required=True)
    others = fields.Integer(required=True)


@blueprint.at("/jobs/<job>", "DELETE")
@blueprint.answers(200, ErasedOwnSchema)
def erase(job: str) -> Any:
    """Erases what this phone sent of a job; ids, numbers and hashes stay, so that digests still agree."""
    return erase_own(ports(), this_device()[0], job)


@blueprint.at("/jobs/<job>/digest")
@blueprint.answers(200, DigestSchema)
def digest(job: str) -> dict[str, object]:
    """Count and hash over the ids of the job's events, to compare with the phone's own."""
    count, sha256 = digest_of(ports(), this_device()[0], job)
    return {"count": count, "sha256": sha256}


def _push_body() -> dict[str, Any]:
    try:
        content = json.loads(request.get_data(), parse_constant=_refuse_constant, object_pairs_hook=_once_each)
        return dict(PushSchema().load(content))
    except ValidationError as error:
        raise Refused("input_not_as_described", fields=error.messages) from error
    except (ValueError, RecursionError) as error:
        raise Refused("json_unreadable") from error


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word} is not a number of JSON")


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a name stands twice in one object")
    return made

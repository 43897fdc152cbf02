"""Photos coming in, in the wire form of tus 1.0.0: core, creation, creation with upload, checksum, termination.

Source: tus resumable upload protocol 1.0.0 (https://tus.io/protocols/resumable-upload). Knows headers only.
"""

import base64
import json
from typing import Any

from flask import Response, request
from marshmallow import Schema, fields

from benchtrail.api.context import Blueprint, ports, this_device
from benchtrail.api.fields import Moment
from benchtrail.domain.refused import Refused
from benchtrail.services.uploads import (
    MOST_BYTES,
    Progress,
    add_piece,
    begin_upload,
    end_upload,
    receipt_of,
    upload_progress,
)

blueprint = Blueprint("photos", __name__, url_prefix="/api/v1/photos", description="Photos coming in (tus 1.0.0)")
VERSION = "1.0.0"
EXTENSIONS = "creation,creation-with-upload,checksum,termination"
PIECE = "application/offset+octet-stream"
RECEIPT = "Benchtrail-Receipt"
LARGEST_NUMBER = 2**53


class ReceiptSchema(Schema):
    sha256 = fields.String(required=True)
    bytes = fields.Integer(required=True)
    received_at = Moment(required=True)


def check_version() -> None:
    """Raises Refused("tus_version") unless the client speaks this version. OPTIONS and receipts need no version."""
    if request.method in ("POST", "HEAD", "PATCH", "DELETE") and request.headers.get("Tus-Resumable") != VERSION:
        raise Refused("tus_version", version=VERSION)


def say_version(response: Response) -> Response:
    """Names this server's version in every answer, as the protocol asks."""
    response.headers["Tus-Resumable"] = VERSION
    if response.status_code == 412:
        response.headers["Tus-Version"] = VERSION
    return response


blueprint.before_request(check_version)
blueprint.after_request(say_version)


@blueprint.at("", "OPTIONS", provide_automatic_options=False)
@blueprint.answers(204)
def options() -> Response:
    """What this server speaks."""
    response = Response(status=204)
    response.headers.update({
        "Tus-Version": VERSION, "Tus-Extension": EXTENSIONS, "Tus-Max-Size": str(MOST_BYTES),
        "Tus-Checksum-Algorithm": "sha256",
    })
    return response


@blueprint.at("", "POST")
@blueprint.answers(201)
def create() -> Response:
    """Opens an upload, and takes the first piece when it comes along; the address is in Location.

    An upload that goes on from earlier, or a photo that is here, keeps its offset: the piece is left aside.
    """
    device, _ = this_device()
    piece = request.get_data(cache=False)
    if piece and request.mimetype != PIECE:
        raise Refused("upload_body_unexpected")
    facts = _metadata(request.headers.get("Upload-Metadata", ""))
    progress = begin_upload(ports(), device, facts.get("sha256", ""), facts.get("mime", ""), facts.get("job", ""),
                            _number("Upload-Length"))
    if piece and progress.offset == 0:
        progress = add_piece(ports(), device, progress.id, 0, piece, _checksum(request.headers.get("Upload-Checksum")))
    response = _answer(progress, 201)
    response.headers["Location"] = f"/api/v1/photos/{progress.id}"
    return response


@blueprint.at("/<upload>", "HEAD", provide_automatic_options=False)
@blueprint.answers(200)
def progress_of(upload: str) -> Response:
    """How much of the upload is here."""
    progress = upload_progress(ports(), this_device()[0], upload)
    response = _answer(progress, 200)
    response.headers["Upload-Length"] = str(progress.bytes)
    return response


@blueprint.at("/<upload>", "PATCH", provide_automatic_options=False)
@blueprint.answers(204)
def patch(upload: str) -> Response:
    """Adds a piece of at most 256 KiB; answers when it is on disk."""
    device, _ = this_device()
    offset, sha256 = _number("Upload-Offset"), _checksum(request.headers.get("Upload-Checksum"))
    return _answer(add_piece(ports(), device, upload, offset, request.get_data(cache=False), sha256), 204)


@blueprint.at("/<upload>", "DELETE", provide_automatic_options=False)
@blueprint.answers(204)
def terminate(upload: str) -> Response:
    """Gives an unfinished upload up."""
    end_upload(ports(), this_device()[0], upload)
    return Response(status=204)


@blueprint.at("/<sha256>/receipt")
@blueprint.answers(200, ReceiptSchema)
def receipt(sha256: str) -> Any:
    """The server's word that it has the photo."""
    return receipt_of(ports(), this_device()[0], sha256)


def _answer(progress: Progress, status: int) -> Response:
    response = Response(status=status)
    response.headers["Upload-Offset"] = str(progress.offset)
    if progress.photo:
        # The receipt along with the last piece: the phone need not ask for it.
        response.headers[RECEIPT] = json.dumps(ReceiptSchema().dump(progress.photo))
    return response


def _number(name: str) -> int:
    text = request.headers.get(name, "")
    if not (text.isascii() and text.isdigit()) or len(text) > 16:
        raise Refused("upload_header_missing", names=name)
    return int(text)


def _metadata(header: str) -> dict[str, str]:
    """Pairs of a name and a base64 value, separated by commas; a value that is not base64 counts as missing."""
    found = {}
    for pair in header.split(","):
        name, _, value = pair.strip().partition(" ")
        try:
            found[name] = base64.b64decode(value, validate=True).decode()
        except ValueError:
            continue
    return found


def _checksum(header: str | None) -> str | None:
    if header is None:
        return None
    algorithm, _, value = header.partition(" ")
    try:
        digest = base64.b64decode(value, validate=True)
    except ValueError as error:
        raise Refused("upload_header_missing", names="Upload-Checksum") from error
    if algorithm != "sha256" or len(digest) != 32:
        raise Refused("upload_header_missing", names="Upload-Checksum")
    return digest.hex()

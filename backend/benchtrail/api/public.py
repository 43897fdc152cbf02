"""What everyone may read: health, dealers, manifests, packs, pictures, the probe."""

import re
from typing import Any

from flask import Response
from marshmallow import Schema, fields

from benchtrail import __version__
from benchtrail.api.compressed import compressed
from benchtrail.api.context import Blueprint, ports
from benchtrail.clock import as_text
from benchtrail.domain.refused import Refused
from benchtrail.services.dealers import all_dealers, manifest_of
from benchtrail.services.library_files import pack_bytes, picture_bytes

health = Blueprint("health", __name__, description="Is the server there")
dealers = Blueprint("dealers", __name__, url_prefix="/api/v1", description="Dealers and what they publish")
published = Blueprint("published", __name__, description="Published files, named by their hash")
FOR_EVER = "public, max-age=31536000, immutable"
NONCE = re.compile(r"[A-Za-z0-9_-]{8,64}")


class HealthSchema(Schema):
    status = fields.String(required=True)
    version = fields.String(required=True)


class KeySchema(Schema):
    kid = fields.String(required=True)
    jwk = fields.Dict(required=True)


class DealerSchema(Schema):
    slug = fields.String(required=True)
    name = fields.String(required=True)
    invented = fields.Boolean(required=True)
    key = fields.Nested(KeySchema, required=True)


class ManifestSchema(Schema):
    payload = fields.String(required=True)
    signature = fields.String(required=True)
    kid = fields.String(required=True)


class ProbeQuery(Schema):
    nonce = fields.String(required=True)


class ProbeSchema(Schema):
    benchtrail = fields.String(required=True)
    now = fields.String(required=True)


@health.at("/healthz")
@health.answers(200, HealthSchema)
def healthz() -> dict[str, str]:
    """Answers when the server can read its database."""
    all_dealers(ports())
    return {"status": "ok", "version": __version__}


@dealers.at("/dealers")
@dealers.answers(200, DealerSchema, many=True)
def list_dealers() -> list[dict[str, Any]]:
    """The dealerships of this server with their public keys."""
    return [
        {"slug": one.slug, "name": one.name, "invented": one.invented, "key": {"kid": one.kid, "jwk": one.jwk}}
        for one in all_dealers(ports())
    ]


@dealers.at("/dealers/<slug>/manifest")
@dealers.answers(200, ManifestSchema)
def manifest(slug: str) -> Any:
    """What the dealer has in force, signed."""
    return manifest_of(ports(), slug)


@dealers.at("/probe")
@dealers.takes(ProbeQuery, "query")
@dealers.answers(200, ProbeSchema)
def probe(query: dict[str, str]) -> dict[str, str]:
    """Repeats a word, so that a phone knows it speaks with the server and not with a sign-in page."""
    if not NONCE.fullmatch(query["nonce"]):
        raise Refused("nonce_form")
    return {"benchtrail": query["nonce"], "now": as_text(ports().clock.now())}


@published.at("/packs/<sha256>.json")
@published.answers(200)
def pack(sha256: str) -> Response:
    """A pack's bytes; they never change."""
    return _for_ever(pack_bytes(ports(), sha256), "application/json", sha256)


@published.at("/pictures/<sha256>")
@published.answers(200)
def picture(sha256: str) -> Response:
    """A picture's bytes; they never change."""
    content, mime = picture_bytes(ports(), sha256)
    return _for_ever(content, mime, sha256)


def _for_ever(content: bytes, mime: str, sha256: str) -> Response:
    response = Response(content, mimetype=mime)
    response.headers["Cache-Control"] = FOR_EVER
    response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    response.set_etag(sha256)
    return compressed(response)

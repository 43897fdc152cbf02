"""The dealer's seal on a service record: a last line of the file that signs every byte before it. Knows bytes, not records.

A PDF reader and a browser pass the line over: it is a comment in both forms (ISO 32000-1, 7.2.3; HTML, 13.1.6).
"""

import json
from dataclasses import dataclass

import rfc8785

from benchtrail.domain.event_hash import job_digest
from benchtrail.domain.refused import Refused
from benchtrail.services.ports import Ports
from benchtrail.services.records import JsonObject

MARK = b"benchtrail-record/1 "
FORMS = ((b"%PDF-", b"\n%", b"\n"), (b"<!doctype html>", b"\n<!-- ", b" -->\n"))
LONGEST_LINE = 2000


@dataclass(frozen=True)
class Proven:
    """A record that is as its dealer sealed it. `journal`: "same" when this server holds exactly those entries of the job,
    "other" when it holds others, "unknown" when it does not know the job."""

    job: str
    dealer: str
    kid: str
    digest: JsonObject
    journal: str


def sealed(ports: Ports, dealer: str, content: bytes, job: str, digest: JsonObject) -> bytes:
    """The file with its seal; as it is where the dealer's signing key is not on this server."""
    before, after = _form(content)
    try:
        signer = ports.signers.get(dealer)
    except Refused:
        return content
    facts: JsonObject = {"dealer": dealer, "digest": digest, "job": job, "kid": signer.kid}
    line = rfc8785.dumps(facts | {"signature": signer.sign(content + rfc8785.dumps(facts))})
    return content + before + MARK + line + after


def verify_record(ports: Ports, content: bytes, jwk: JsonObject | None = None) -> Proven:
    """Proves a sealed record, with the given public key or with those of this server's dealers.

    Raises Refused: record_not_one, record_not_sealed, record_key_unknown, record_changed.
    """
    before, after = _form(content)
    start = content.rfind(before + MARK)
    if start < 0 or len(content) - start > LONGEST_LINE:
        raise Refused("record_not_sealed")
    facts = _facts(content[start + len(before + MARK) :], after)
    signature = str(facts.pop("signature"))
    with ports.storage.reading() as unit:
        known = {one.kid: one.jwk for one in unit.dealers.all()}
        held = [event.id for event in unit.events.of_job(facts["dealer"], facts["job"])]
    key = known.get(facts["kid"]) if jwk is None else jwk if ports.signers.thumbprint(jwk) == facts["kid"] else None
    if key is None:
        raise Refused("record_key_unknown", kid=facts["kid"][:60])
    if not ports.signers.verifies(key, content[:start] + rfc8785.dumps(facts), signature):
        raise Refused("record_changed", job=facts["job"][:40])
    journal = "unknown" if not held else "same" if job_digest(held) == facts["digest"] else "other"
    return Proven(facts["job"], facts["dealer"], facts["kid"], facts["digest"], journal)


def _form(content: bytes) -> tuple[bytes, bytes]:
    """What stands before and after the seal in a file of this kind. Raises Refused("record_not_one")."""
    for start, before, after in FORMS:
        if content.startswith(start):
            return before, after
    raise Refused("record_not_one")


def _facts(line: bytes, after: bytes) -> JsonObject:
    """The seal's fields; nothing may stand behind it."""
    try:
        facts = dict(json.loads(line.removesuffix(after)))
        whole = line.endswith(after) and set(facts) == {"dealer", "digest", "job", "kid", "signature"}
        whole = whole and rfc8785.dumps(facts) == line.removesuffix(after)
        whole = whole and all(isinstance(facts[name], str) for name in ("dealer", "job", "kid", "signature"))
    except (ValueError, TypeError, RecursionError) as error:
        raise Refused("record_changed", job="of this file") from error
    if not whole:
        raise Refused("record_changed", job="of this file")
    return facts

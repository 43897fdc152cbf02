"""Phones: one-time codes, enrolling, credentials, shutting out. Knows the rules; tables are ports."""

import uuid
from dataclasses import replace
from datetime import timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_writer import is_desk_writer
from benchtrail.services.ports import Ports
from benchtrail.services.records import Dealer, Device, EnrolmentCode
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import keyed_hash, new_code, new_token, tidy_code

CODE_LIFE = timedelta(minutes=10)
WINDOW = timedelta(minutes=10)
LONGEST_LABEL = 80


def make_code(ports: Ports, dealer: str, label: str, made_by: str) -> tuple[str, EnrolmentCode]:
    """A code for one phone, good for ten minutes, and what is kept of it. Raises Refused("label_length")."""
    code, now = new_code(), ports.clock.now()
    kept = EnrolmentCode(_code_hash(ports, code), dealer, tidy_label(label), made_by, now, now + CODE_LIFE)
    with ports.storage.writing() as unit:
        unit.devices.add_code(kept)
        record_act(unit, ports, dealer, made_by, "phone_code_made", kept.label)
    return code, kept


def enrol(ports: Ports, code: str, device: str, label: str, address: str) -> tuple[str, Device, Dealer]:
    """Makes the phone known to the dealer of the code; answers the credential for its cookie.

    A phone enrolled again (its cookie was lost, or it was shut out) keeps its journal and gets a new credential.
    Raises Refused: too_many_attempts, device_id_form, label_length, code_unknown, code_used, code_expired.
    """
    if not is_uuid(device):
        raise Refused("device_id_form")
    attempt = count_attempt(ports, [Limit("enrol address", address, 20, WINDOW)])
    credential, now, code_hash = new_token(), ports.clock.now(), _code_hash(ports, tidy_code(code))
    with ports.storage.writing() as unit:
        found = unit.devices.code(code_hash)
        if found is None:
            raise Refused("code_unknown")
        if found.expires_at <= now:
            raise Refused("code_expired")
        unit.dealers.lock(found.dealer)
        if not unit.devices.use_code(code_hash, device, now):
            raise Refused("code_used")
        words, hashed = tidy_label(label or found.label), _credential_hash(ports, credential)
        known = unit.devices.get(found.dealer, device) or Device(found.dealer, device, words, hashed, now)
        enrolled = replace(known, label=words, credential_hash=hashed, enrolled_at=now, revoked_at=None)
        unit.devices.put(enrolled)
        record_act(unit, ports, found.dealer, words, "phone_enrolled", words, device=device, code_by=found.made_by)
        dealer = unit.dealers.get(found.dealer)
    assert dealer is not None  # the code refers to it
    take_back(ports, attempt)
    return credential, enrolled, dealer


def device_of(ports: Ports, credential: str | None) -> tuple[Device, Dealer]:
    """The phone that the credential belongs to. Raises Refused: not_enrolled, device_shut_out."""
    with ports.storage.reading() as unit:
        device = unit.devices.by_credential(_credential_hash(ports, credential)) if credential else None
        dealer = unit.dealers.get(device.dealer) if device else None
    if device is None or dealer is None:
        raise Refused("not_enrolled")
    if device.revoked_at:
        raise Refused("device_shut_out", dealer=dealer.name)
    return device, dealer


def devices_of(ports: Ports, dealer: str) -> list[Device]:
    """All phones of the dealer, shut out ones too."""
    with ports.storage.reading() as unit:
        return [one for one in unit.devices.all(dealer) if not is_desk_writer(one.device)]


def revoke(ports: Ports, dealer: str, device: str, by: str = "command line") -> Device:
    """Shuts the phone out; doing it again changes nothing. Raises Refused("no_such_device")."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        found = unit.devices.get(dealer, device)
        if found is None:
            raise Refused("no_such_device")
        shut_out = replace(found, revoked_at=found.revoked_at or ports.clock.now())
        unit.devices.put(shut_out)
        if not found.revoked_at:
            record_act(unit, ports, dealer, by, "phone_shut_out", found.label, device=device)
    return shut_out


def tidy_label(label: str) -> str:
    """Whose phone it is, in 1 to 80 printable characters. Raises Refused("label_length")."""
    words = " ".join(label.split())
    if not 1 <= len(words) <= LONGEST_LABEL or not words.isprintable():
        raise Refused("label_length", most=LONGEST_LABEL)
    return words


def is_uuid(text: object) -> bool:
    """True for a UUID in its usual form, lower case. Source: RFC 9562, section 4."""
    if not isinstance(text, str) or len(text) != 36:
        return False
    try:
        return str(uuid.UUID(text)) == text
    except ValueError:
        return False


def _code_hash(ports: Ports, code: str) -> str:
    return keyed_hash(ports.secret, "enrolment code", code)


def _credential_hash(ports: Ports, credential: str) -> str:
    return keyed_hash(ports.secret, "device credential", credential)

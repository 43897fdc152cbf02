"""Passkeys: signing in with what a person's own device holds, beside the password. Source: W3C Web Authentication, Level 3.

Knows the rules; what an authenticator's answer proves is worked out by the library `webauthn`. A passkey works only at the
address where it was made, needs its owner's finger, face or PIN each time, and its public half is all that is kept here.
"""

import base64
import json
import secrets
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address

import webauthn
from webauthn.helpers import base64url_to_bytes, bytes_to_base64url, options_to_json
from webauthn.helpers.exceptions import WebAuthnException
from webauthn.helpers.structs import (
    AuthenticatorSelectionCriteria,
    PublicKeyCredentialDescriptor,
    ResidentKeyRequirement,
    UserVerificationRequirement,
)

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import SignedIn, begin_session
from benchtrail.services.audit import record_act
from benchtrail.services.desk_records import Passkey
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Account, JsonObject
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import keyed_hash

LIFE = timedelta(minutes=5)
WINDOW = timedelta(minutes=10)
LONGEST_LABEL, MOST_PASSKEYS = 60, 20
ADD, SIGN_IN = "add", "sign in"


@dataclass(frozen=True)
class Site:
    """Where the browser is: `name` is what a passkey is bound to, `origin` what the browser says in its answer."""

    name: str
    origin: str


def begin_adding(ports: Ports, account: Account, password: str, site: Site, address: str) -> tuple[JsonObject, str]:
    """What the browser asks its authenticator, and the challenge to be sent back with the answer. Whoever adds a passkey
    knows the password: an open browser alone is not enough.

    Raises Refused: too_many_attempts, old_password_wrong, passkey_needs_name, passkeys_many.
    """
    _must_have_name(site)
    attempt = count_attempt(ports, [Limit("own password", account.name, 8, WINDOW), Limit("sign-in address", address, 40, WINDOW)])
    if not ports.passwords.matches(account.password_hash, password):
        raise Refused("old_password_wrong")
    take_back(ports, attempt)
    mine = passkeys_of(ports, account.dealer, account.name)
    if len(mine) >= MOST_PASSKEYS:
        raise Refused("passkeys_many", most=MOST_PASSKEYS)
    challenge, kept = _new_challenge(ports, f"{ADD} {account.name}")
    options = webauthn.generate_registration_options(
        rp_id=site.name, rp_name="Benchtrail", user_name=account.name, user_id=_handle(ports, account), challenge=challenge,
        exclude_credentials=[PublicKeyCredentialDescriptor(id=base64url_to_bytes(one.id)) for one in mine],
        authenticator_selection=AuthenticatorSelectionCriteria(
            resident_key=ResidentKeyRequirement.REQUIRED, user_verification=UserVerificationRequirement.REQUIRED))
    return dict(json.loads(options_to_json(options))), kept


def add_passkey(ports: Ports, account: Account, label: str, credential: JsonObject, kept: str | None, site: Site) -> Passkey:
    """Keeps the public half of what the authenticator made. Raises Refused: passkey_label, passkey_too_late, passkey_refused."""
    words = _tidy_label(label)
    challenge = _take_challenge(ports, f"{ADD} {account.name}", kept)
    try:
        made = webauthn.verify_registration_response(
            credential=credential, expected_challenge=challenge, expected_rp_id=site.name, expected_origin=site.origin,
            require_user_verification=True)
    except (WebAuthnException, ValueError, TypeError, KeyError) as error:
        raise Refused("passkey_refused") from error
    now = ports.clock.now()
    passkey = Passkey(account.dealer, bytes_to_base64url(made.credential_id), account.name, words, site.name,
                      bytes_to_base64url(made.credential_public_key), made.sign_count, now)
    with ports.storage.writing() as unit:
        unit.dealers.lock(account.dealer)
        if _known(unit, passkey.id):
            raise Refused("passkey_refused")
        unit.passkeys.put(passkey)
        record_act(unit, ports, account.dealer, account.name, "passkey_added", words, site=site.name)
    return passkey


def begin_sign_in(ports: Ports, site: Site) -> tuple[JsonObject, str]:
    """What the browser asks its authenticator, the same for everyone, and the challenge. Raises Refused("passkey_needs_name")."""
    _must_have_name(site)
    challenge, kept = _new_challenge(ports, SIGN_IN)
    options = webauthn.generate_authentication_options(
        rp_id=site.name, challenge=challenge, user_verification=UserVerificationRequirement.REQUIRED)
    return dict(json.loads(options_to_json(options))), kept


def sign_in_with_passkey(ports: Ports, credential: JsonObject, kept: str | None, site: Site, address: str,
                         browser: str) -> tuple[str, SignedIn]:
    """The token for the browser's cookie, and who it is. Raises Refused: too_many_attempts, passkey_too_late, passkey_refused."""
    attempt = count_attempt(ports, [Limit("sign-in address", address, 40, WINDOW)])
    challenge = _take_challenge(ports, SIGN_IN, kept)
    id = credential.get("id")
    with ports.storage.reading() as unit:
        passkey = _known(unit, id) if isinstance(id, str) else None
        account = unit.accounts.get(passkey.name) if passkey else None
        dealer = unit.dealers.get(passkey.dealer) if passkey else None
    if passkey is None or account is None or dealer is None or account.closed_at or passkey.site != site.name:
        raise Refused("passkey_refused")
    try:
        proven = webauthn.verify_authentication_response(
            credential=credential, expected_challenge=challenge, expected_rp_id=site.name, expected_origin=site.origin,
            credential_public_key=base64url_to_bytes(passkey.public_key), credential_current_sign_count=passkey.sign_count,
            require_user_verification=True)
    except (WebAuthnException, ValueError, TypeError, KeyError) as error:
        with ports.storage.writing() as unit:
            record_act(unit, ports, dealer.slug, "unknown", "sign_in_refused", account.name, passkey=passkey.label)
        raise Refused("passkey_refused") from error
    take_back(ports, attempt)
    with ports.storage.writing() as unit:
        unit.passkeys.put(replace(passkey, sign_count=proven.new_sign_count, used_at=ports.clock.now()))
    return begin_session(ports, SignedIn(account, dealer), browser, passkey=passkey.label)


def passkeys_of(ports: Ports, dealer: str, name: str | None = None) -> list[Passkey]:
    """Passkeys of one person, or of everyone of the dealer, the oldest first."""
    with ports.storage.reading() as unit:
        found = unit.passkeys.all(dealer)
    return sorted((one for one in found if name in (None, one.name)), key=lambda one: (one.name, one.made_at, one.id))


def rename_passkey(ports: Ports, account: Account, id: str, label: str) -> Passkey:
    """Another word for one's own passkey. Raises Refused: passkey_label, no_such_passkey."""
    words = _tidy_label(label)
    with ports.storage.writing() as unit:
        found = unit.passkeys.get(account.dealer, id)
        if found is None or found.name != account.name:
            raise Refused("no_such_passkey")
        renamed = replace(found, label=words)
        unit.passkeys.put(renamed)
    return renamed


def remove_passkey(ports: Ports, account: Account, id: str) -> None:
    """Ends it: one's own, or as an owner anybody's. Raises Refused("no_such_passkey")."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(account.dealer)
        found = unit.passkeys.get(account.dealer, id)
        if found is None or (found.name != account.name and account.role != "owner"):
            raise Refused("no_such_passkey")
        unit.passkeys.drop(account.dealer, id)
        record_act(unit, ports, account.dealer, account.name, "passkey_removed", found.label, of=found.name)


def _known(unit: Unit, id: str) -> Passkey | None:
    found = (unit.passkeys.get(dealer.slug, id) for dealer in unit.dealers.all())
    return next((one for one in found if one), None)


def _handle(ports: Ports, account: Account) -> bytes:
    """What an authenticator keeps in place of a name: it tells nobody anything (section 14.6.1)."""
    return bytes.fromhex(keyed_hash(ports.secret, "passkey user", f"{account.dealer}\n{account.name}"))


def _must_have_name(site: Site) -> None:
    try:
        ip_address(site.name.strip("[]"))
    except ValueError:
        return
    raise Refused("passkey_needs_name", site=site.name)


def _tidy_label(label: str) -> str:
    words = " ".join(label.split())
    if not 1 <= len(words) <= LONGEST_LABEL or not words.isprintable():
        raise Refused("passkey_label", most=LONGEST_LABEL)
    return words


def _new_challenge(ports: Ports, purpose: str) -> tuple[bytes, str]:
    """32 random bytes, and the same with their end and the server's mark, for a cookie."""
    challenge = secrets.token_bytes(32)
    said = f"{base64.urlsafe_b64encode(challenge).decode()}.{int((ports.clock.now() + LIFE).timestamp())}"
    return challenge, f"{said}.{keyed_hash(ports.secret, f'passkey {purpose}', said)}"


def _take_challenge(ports: Ports, purpose: str, kept: str | None) -> bytes:
    """The challenge, once. Raises Refused("passkey_too_late")."""
    said, _, mark = (kept or "").rpartition(".")
    if not secrets.compare_digest(keyed_hash(ports.secret, f"passkey {purpose}", said).encode(), mark.encode("utf-8", "replace")):
        raise Refused("passkey_too_late")
    text, _, end = said.partition(".")
    now = ports.clock.now()
    if datetime.fromtimestamp(int(end), UTC) <= now:
        raise Refused("passkey_too_late")
    used = keyed_hash(ports.secret, "passkey challenge used", text)
    with ports.storage.writing() as unit:
        if unit.attempts.since(used, now - LIFE):
            raise Refused("passkey_too_late")
        unit.attempts.add(used, now)
    return base64.urlsafe_b64decode(text)

"""Accounts of the desk: making one, signing in and out. Knows the rules; hashing and tables are ports."""

import re
from dataclasses import dataclass
from datetime import timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.ports import Ports
from benchtrail.services.records import Account, Dealer, DeskSession, Role
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import keyed_hash, new_token

NAME = re.compile(r"[a-z0-9][a-z0-9._-]{1,39}")
LEAST_PASSWORD, MOST_PASSWORD = 10, 200
SESSION_LENGTH = timedelta(hours=12)
WINDOW = timedelta(minutes=10)
# A hash of nothing anyone has, so that an unknown name takes as long as a wrong password.
_no_ones_hash: dict[int, str] = {}


@dataclass(frozen=True)
class SignedIn:
    """Who sits at the desk."""

    account: Account
    dealer: Dealer


def add_account(
    ports: Ports, dealer: str, name: str, role: Role, password: str, by: str = "command line"
) -> Account:
    """Makes an account. Raises Refused: account_name_form, password_length, no_such_dealer, account_exists."""
    tidy = name.strip().lower()
    if not NAME.fullmatch(tidy):
        raise Refused("account_name_form", name=name)
    check_password(password)
    account = Account(dealer, tidy, role, ports.passwords.hash(password), ports.clock.now())
    with ports.storage.writing() as unit:
        if unit.dealers.get(dealer) is None:
            raise Refused("no_such_dealer", slug=dealer)
        if unit.accounts.get(tidy):
            raise Refused("account_exists", name=tidy)
        unit.accounts.add(account)
        record_act(unit, ports, dealer, by, "account_made", tidy, role=role)
    return account


def check_password(password: str) -> None:
    """Raises Refused("password_length") unless 10 to 200 characters."""
    if not LEAST_PASSWORD <= len(password) <= MOST_PASSWORD:
        raise Refused("password_length", least=LEAST_PASSWORD, most=MOST_PASSWORD)


def change_password(ports: Ports, name: str, password: str, by: str = "command line") -> None:
    """Sets a new password and ends every session of the account. Raises Refused: password_length, account_unknown."""
    check_password(password)
    hashed = ports.passwords.hash(password)
    with ports.storage.writing() as unit:
        account = unit.accounts.get(name)
        if account is None:
            raise Refused("account_unknown", name=name)
        unit.accounts.set_password(name, hashed)
        record_act(unit, ports, account.dealer, by, "password_set", name)


def sign_in(ports: Ports, name: str, password: str, address: str, browser: str = "") -> tuple[str, SignedIn]:
    """The token for the browser's cookie, and who it is. Raises Refused: too_many_attempts, sign_in_refused."""
    tidy = name.strip().lower()
    attempt = count_attempt(ports, [
        Limit("sign-in name", tidy, 8, WINDOW), Limit("sign-in address", address, 40, WINDOW)])
    with ports.storage.reading() as unit:
        account = unit.accounts.get(tidy)
        dealer = unit.dealers.get(account.dealer) if account else None
    matches = ports.passwords.matches((account and account.password_hash) or _stand_in(ports), password)
    if account is None or dealer is None or account.closed_at or not matches:
        if account and dealer:
            with ports.storage.writing() as unit:
                record_act(unit, ports, dealer.slug, "unknown", "sign_in_refused", account.name)
        raise Refused("sign_in_refused")
    take_back(ports, attempt)
    return begin_session(ports, SignedIn(account, dealer), browser)


def begin_session(ports: Ports, who: SignedIn, browser: str, **how: object) -> tuple[str, SignedIn]:
    """The token for the browser's cookie of someone who has proven who they are; `how` goes into the audit log."""
    token, now, name = new_token(), ports.clock.now(), who.account.name
    with ports.storage.writing() as unit:
        unit.accounts.end_expired(now)
        unit.accounts.add_session(DeskSession(keyed_session(ports, token), who.dealer.slug, name, now,
                                              now + SESSION_LENGTH, browser=_tidy_browser(browser)))
        record_act(unit, ports, who.dealer.slug, name, "signed_in", name, browser=_tidy_browser(browser), **how)
    return token, who


def signed_in(ports: Ports, token: str | None) -> SignedIn:
    """Who the token belongs to. Raises Refused("not_signed_in")."""
    with ports.storage.reading() as unit:
        session = unit.accounts.session(keyed_session(ports, token)) if token else None
        if session and session.expires_at > ports.clock.now():
            account, dealer = unit.accounts.get(session.name), unit.dealers.get(session.dealer)
            if account and dealer and account.dealer == dealer.slug and not account.closed_at:
                return SignedIn(account, dealer)
    raise Refused("not_signed_in")


def sign_out(ports: Ports, token: str | None) -> None:
    """Ends the session on the server, so that a copied cookie is worth nothing."""
    if token:
        with ports.storage.writing() as unit:
            unit.accounts.end_session(keyed_session(ports, token))


def keyed_session(ports: Ports, token: str) -> str:
    """Under which a session is kept: its cookie opens nothing to whoever reads the database."""
    return keyed_hash(ports.secret, "desk session", token)


def _tidy_browser(words: str) -> str:
    return "".join(letter for letter in words if letter.isprintable())[:200]


def _stand_in(ports: Ports) -> str:
    key = id(ports.passwords)
    if key not in _no_ones_hash:
        _no_ones_hash[key] = ports.passwords.hash(new_token())
    return _no_ones_hash[key]

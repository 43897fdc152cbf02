"""The people of a dealer: who may do what, their sessions, and codes with which they set their own passwords.

An owner never knows anybody's password: a new account and a forgotten password are the same one-time code.
"""

from dataclasses import dataclass, replace
from datetime import timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import NAME, check_password, keyed_session
from benchtrail.services.audit import record_act
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import Account, DeskSession, PasswordCode, Role
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import keyed_hash, new_code, tidy_code

CODE_LIFE = timedelta(hours=24)
WINDOW = timedelta(minutes=10)
NO_PASSWORD = ""  # matches nothing: the account waits for its first password


@dataclass(frozen=True)
class Person:
    """An account as its owner sees it."""

    account: Account
    sessions: int

    @property
    def state(self) -> str:
        if self.account.closed_at:
            return "closed"
        return "waiting" if self.account.password_hash == NO_PASSWORD else "open"


def people_of(ports: Ports, dealer: str) -> list[Person]:
    """Every account of the dealer, closed ones too, by name."""
    with ports.storage.reading() as unit:
        now = ports.clock.now()
        live = [session.name for session in unit.accounts.sessions(dealer) if session.expires_at > now]
        return [Person(account, live.count(account.name)) for account in unit.accounts.all(dealer)]


def invite(ports: Ports, dealer: str, name: str, role: Role, by: str) -> tuple[Account, str, PasswordCode]:
    """A new account that waits for its password, and the code to set it.

    Raises Refused: account_name_form, account_exists.
    """
    tidy = name.strip().lower()
    if not NAME.fullmatch(tidy):
        raise Refused("account_name_form", name=name[:60])
    account = Account(dealer, tidy, role, NO_PASSWORD, ports.clock.now())
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        if unit.accounts.get(tidy):
            raise Refused("account_exists", name=tidy)
        unit.accounts.add(account)
        code, kept = _new_code(unit, ports, account, by)
        record_act(unit, ports, dealer, by, "account_made", tidy, role=role)
    return account, code, kept


def change_role(ports: Ports, dealer: str, name: str, role: Role, by: str) -> Account:
    """Gives the account another role; it holds from the next request of whoever is signed in with it.

    Raises Refused: account_unknown, last_owner.
    """
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        before = _mine(unit, dealer, name)
        changed = replace(before, role=role)
        if changed == before:
            return before
        unit.accounts.put(changed)
        _owner_must_remain(unit, dealer)
        record_act(unit, ports, dealer, by, "role_changed", name, was=before.role, now=role)
    return changed


def close_account(ports: Ports, dealer: str, name: str, by: str) -> Account:
    """Ends every session and code of the account; nobody signs in with it any more. What its person did stays theirs.

    Raises Refused: account_unknown, last_owner.
    """
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        before = _mine(unit, dealer, name)
        if before.closed_at:
            return before
        closed = replace(before, closed_at=ports.clock.now())
        unit.accounts.put(closed)
        _owner_must_remain(unit, dealer)
        unit.accounts.end_sessions(name)
        unit.accounts.end_codes(name, ports.clock.now())
        record_act(unit, ports, dealer, by, "account_closed", name)
    return closed


def reopen_account(ports: Ports, dealer: str, name: str, by: str) -> Account:
    """Opens a closed account again, with the password that it had. Raises Refused("account_unknown")."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        before = _mine(unit, dealer, name)
        if before.closed_at is None:
            return before
        opened = replace(before, closed_at=None)
        unit.accounts.put(opened)
        record_act(unit, ports, dealer, by, "account_opened", name)
    return opened


def make_password_code(ports: Ports, dealer: str, name: str, by: str) -> tuple[str, PasswordCode]:
    """A code with which the person sets a new password; earlier codes end. Until it is used the old password holds.

    Raises Refused: account_unknown, account_closed.
    """
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        account = _mine(unit, dealer, name)
        if account.closed_at:
            raise Refused("account_closed", name=name)
        code, kept = _new_code(unit, ports, account, by)
        record_act(unit, ports, dealer, by, "password_code_made", name)
    return code, kept


def set_password_with_code(ports: Ports, code: str, password: str, address: str) -> str:
    """Sets the password of whoever the code was made for, and ends their sessions. Answers the account's name.

    Raises Refused: too_many_attempts, password_length, password_code_unknown, password_code_used, password_code_expired.
    """
    check_password(password)
    attempt = count_attempt(ports, [Limit("password code address", address, 20, WINDOW)])
    hashed, now = ports.passwords.hash(password), ports.clock.now()
    code_hash = _code_hash(ports, tidy_code(code))
    with ports.storage.writing() as unit:
        found = unit.accounts.code(code_hash)
        if found is None:
            raise Refused("password_code_unknown")
        unit.dealers.lock(found.dealer)
        if found.used_at is None and found.expires_at <= now:
            raise Refused("password_code_expired")
        if not unit.accounts.use_code(code_hash, now):
            raise Refused("password_code_used")
        unit.accounts.set_password(found.name, hashed)
        record_act(unit, ports, found.dealer, found.name, "password_set", found.name)
    take_back(ports, attempt)
    return found.name


def change_own_password(ports: Ports, name: str, old: str, new: str, address: str) -> None:
    """Sets a new password for whoever knows the old one, and ends their sessions, this one too.

    Raises Refused: too_many_attempts, password_length, old_password_wrong.
    """
    check_password(new)
    attempt = count_attempt(ports, [Limit("own password", name, 8, WINDOW), Limit("sign-in address", address, 40, WINDOW)])
    with ports.storage.reading() as unit:
        account = unit.accounts.get(name)
    if account is None or not ports.passwords.matches(account.password_hash, old):
        raise Refused("old_password_wrong")
    hashed = ports.passwords.hash(new)
    with ports.storage.writing() as unit:
        unit.accounts.set_password(name, hashed)
        record_act(unit, ports, account.dealer, name, "password_set", name)
    take_back(ports, attempt)


def sessions_of(ports: Ports, dealer: str, name: str | None = None) -> list[DeskSession]:
    """Signed-in browsers of the dealer, or of one person, newest first."""
    with ports.storage.reading() as unit:
        now = ports.clock.now()
        return [one for one in unit.accounts.sessions(dealer)
                if one.expires_at > now and name in (None, one.name)]


def end_one_session(ports: Ports, dealer: str, id: str, by: str, only_own: bool) -> None:
    """Signs that browser out. Raises Refused("no_such_session"), also for other people's when only one's own may be ended."""
    with ports.storage.writing() as unit:
        found = next((one for one in unit.accounts.sessions(dealer) if one.id == id), None)
        if found is None or (only_own and found.name != by):
            raise Refused("no_such_session")
        unit.accounts.end_session(found.token_hash)
        record_act(unit, ports, dealer, by, "session_ended", found.name, browser=found.browser)


def this_session(ports: Ports, token: str | None) -> str:
    """The id of the session that the cookie belongs to; empty if there is none."""
    with ports.storage.reading() as unit:
        found = unit.accounts.session(keyed_session(ports, token)) if token else None
    return found.id if found else ""


def _mine(unit: Unit, dealer: str, name: str) -> Account:
    account = unit.accounts.get(name)
    if account is None or account.dealer != dealer:
        raise Refused("account_unknown", name=name[:60])
    return account


def _owner_must_remain(unit: Unit, dealer: str) -> None:
    if not any(one.role == "owner" and not one.closed_at for one in unit.accounts.all(dealer)):
        raise Refused("last_owner")


def _new_code(unit: Unit, ports: Ports, account: Account, by: str) -> tuple[str, PasswordCode]:
    code, now = new_code(), ports.clock.now()
    unit.accounts.end_codes(account.name, now)
    kept = PasswordCode(_code_hash(ports, code), account.dealer, account.name, by, now, now + CODE_LIFE)
    unit.accounts.add_code(kept)
    return code, kept


def _code_hash(ports: Ports, code: str) -> str:
    return keyed_hash(ports.secret, "password code", code)

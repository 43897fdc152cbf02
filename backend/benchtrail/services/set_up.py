"""The first owner of a new server, made in the browser with a code that only whoever started the server can read."""

import hmac
import re

from benchtrail.domain.refused import Refused
from benchtrail.services.accounts import NAME, check_password
from benchtrail.services.audit import record_act
from benchtrail.services.dealers import add_dealer
from benchtrail.services.people import WINDOW
from benchtrail.services.ports import Ports
from benchtrail.services.records import Account, Dealer
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import CODE_ALPHABET, CODE_LENGTH, keyed_hash, tidy_code


def set_up_needed(ports: Ports) -> bool:
    """True while nobody at all has an account on this server."""
    with ports.storage.reading() as unit:
        return not unit.accounts.some()


def set_up_code(ports: Ports) -> str:
    """The code that the server prints. The same for every process of it, and good only until the first account is made."""
    number = int(keyed_hash(ports.secret, "set-up code", ""), 16)
    letters = []
    for _ in range(CODE_LENGTH):
        number, place = divmod(number, len(CODE_ALPHABET))
        letters.append(CODE_ALPHABET[place])
    return "".join(letters)


def check_set_up_code(ports: Ports, code: str, address: str) -> None:
    """Raises Refused: too_many_attempts, set_up_done, set_up_code_wrong."""
    if not set_up_needed(ports):
        raise Refused("set_up_done")
    attempt = count_attempt(ports, [Limit("set-up address", address, 10, WINDOW)])
    if not hmac.compare_digest(tidy_code(code).encode("utf-8", "replace"), set_up_code(ports).encode()):
        raise Refused("set_up_code_wrong")
    take_back(ports, attempt)


def set_up(ports: Ports, code: str, dealer_name: str, name: str, password: str, address: str) -> tuple[Dealer, Account]:
    """Makes the dealership, unless a dealer was made before, and its first owner.

    Raises Refused: too_many_attempts, set_up_done, set_up_code_wrong, account_name_form, password_length,
    dealer_name_empty.
    """
    check_set_up_code(ports, code, address)
    tidy = name.strip().lower()
    if not NAME.fullmatch(tidy):
        raise Refused("account_name_form", name=name[:60])
    check_password(password)
    hashed = ports.passwords.hash(password)
    dealer = _dealer(ports, dealer_name)
    account = Account(dealer.slug, tidy, "owner", hashed, ports.clock.now())
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer.slug)
        if unit.accounts.some():
            raise Refused("set_up_done")
        unit.accounts.add(account)
        record_act(unit, ports, dealer.slug, tidy, "set_up", dealer.name)
    return dealer, account


def slug_of(name: str) -> str:
    """A short name for addresses: letters and digits of the name, hyphens between; `dealer` when nothing is left."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60].strip("-")
    return plain or "dealer"


def _dealer(ports: Ports, name: str) -> Dealer:
    with ports.storage.reading() as unit:
        made_before = unit.dealers.all()
    if made_before:
        return made_before[0]
    if not name.strip() or len(name) > 200 or not name.strip().isprintable():
        raise Refused("dealer_name_empty", slug="")
    return add_dealer(ports, slug_of(name), name)

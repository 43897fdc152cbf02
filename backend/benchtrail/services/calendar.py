"""Due services as an iCalendar feed. Knows the form of RFC 5545; not where the dates come from.

The feed's address holds a token made from the account's password hash: a new password or a closed account ends it.
"""

import hmac
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from benchtrail.domain.refused import Refused
from benchtrail.services.machine_register import Register
from benchtrail.services.ports import Ports
from benchtrail.services.records import Account
from benchtrail.services.tokens import keyed_hash

STATES = {"overdue": "overdue", "due_soon": "due soon", "ok": "due"}


def calendar(machines: Iterable[Register], now: datetime, dealer: str) -> bytes:
    """One all-day event for each service with a date; what is unknown has none, and stands only in the register."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Benchtrail//Due services//EN", "X-WR-CALNAME:" + _text(f"Due services, {dealer}")]
    for machine in machines:
        for due in machine.due:
            if due["due_date"] and due["state"] in STATES:
                lines += _event(machine, due, now)
    return "".join(_folded(line) for line in [*lines, "END:VCALENDAR"]).encode()


def calendar_token(ports: Ports, account: Account) -> str:
    """The token of the account's feed."""
    return keyed_hash(ports.secret, "calendar feed", f"{account.name}\n{account.password_hash}")


def account_of_calendar(ports: Ports, name: str, token: str) -> Account:
    """Whose feed it is. Raises Refused("no_such_calendar")."""
    with ports.storage.reading() as unit:
        account = unit.accounts.get(name)
    wanted = calendar_token(ports, account) if account and not account.closed_at else ""
    if account is None or not wanted or not hmac.compare_digest(wanted.encode(), token.encode("utf-8", "replace")):
        raise Refused("no_such_calendar")
    return account


def _event(machine: Register, due: dict[str, object], now: datetime) -> list[str]:
    on = date.fromisoformat(str(due["due_date"]))
    span = f"Between {due['due_from']} and {due['due_to']}." if due["due_from"] != due["due_to"] else ""
    words = f"{machine.customer}. {due['name']} is {STATES[str(due['state'])]}. {span} Source: {due['source']}"
    return ["BEGIN:VEVENT", f"UID:{machine.id}-{due['service']}@benchtrail", f"DTSTAMP:{now:%Y%m%dT%H%M%SZ}",
            f"DTSTART;VALUE=DATE:{on:%Y%m%d}", f"DTEND;VALUE=DATE:{on + timedelta(days=1):%Y%m%d}",
            "SUMMARY:" + _text(f"{machine.name}: {due['name']}"), f"DESCRIPTION:{_text(words)}", "TRANSP:TRANSPARENT", "END:VEVENT"]


def _text(words: str) -> str:
    """Escaped as RFC 5545, section 3.3.11, asks."""
    return words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\r", "").replace("\n", "\\n")


def _folded(line: str) -> str:
    """The line in pieces of at most 75 octets, each but the first behind a space; no letter is cut in two (section 3.1)."""
    pieces: list[str] = []
    current = ""
    for letter in line:
        if len((current + letter).encode()) > 75 - (1 if pieces else 0):
            pieces.append(current)
            current = ""
        current += letter
    return "\r\n ".join([*pieces, current]) + "\r\n"

"""Links that open one procedure for one machine of the register: made, listed, withdrawn, opened.

The link says nothing of anyone: its token is an id and a keyed hash. What a phone gets for it is the machine as a machine
(name, model, year, options, hours); not whose it is, nor its serial.
"""

import hmac
import re
import uuid
from dataclasses import dataclass, replace
from datetime import timedelta
from urllib.parse import quote

from benchtrail.domain.guards import guard_holds
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.desk_records import JobLink
from benchtrail.services.job_list import KeptRows
from benchtrail.services.library_files import pack_json
from benchtrail.services.machine_register import Register, machine_of
from benchtrail.services.ports import Ports
from benchtrail.services.records import Dealer
from benchtrail.services.throttle import Limit, count_attempt, take_back
from benchtrail.services.tokens import keyed_hash

MOST_DAYS = 366
WINDOW = timedelta(minutes=10)
TOKEN = re.compile(r"([a-z0-9-]{1,64})/([0-9a-f]{32})([0-9a-f]{32})")


@dataclass(frozen=True)
class Opened:
    """What a link opens."""

    dealer: Dealer
    procedure: str
    title: str
    machine: Register
    model_name: str | None


def make_job_link(ports: Ports, kept: KeptRows, dealer: str, by: str, machine: str, procedure: str, days: int) -> JobLink:
    """A link that ends after so many days. Raises Refused: no_such_machine, no_such_procedure, job_link_not_for."""
    found, pack = machine_of(ports, kept, dealer, machine), current_procedure(ports, dealer, procedure)
    _must_be_for(ports, pack.sha256, found)
    now = ports.clock.now()
    made = JobLink(dealer, str(uuid.uuid4()), found.id, pack.subject, by, now, now + timedelta(days=days))
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        unit.job_links.put(made)
        record_act(unit, ports, dealer, by, "job_link_made", pack.subject, machine=found.id, days=days)
    return made


def _must_be_for(ports: Ports, sha256: str, machine: Register) -> None:
    """The procedure is for this machine's model, year and options, as far as the register knows them."""
    pack = pack_json(ports, sha256)
    if pack["model"] is None:
        return
    known = machine.model == pack["model"]["id"] and machine.year is not None
    if not known or not guard_holds(pack["applies"], {"year": machine.year, "options": machine.options}):  # type: ignore[arg-type]
        raise Refused("job_link_not_for", title=pack["title"], model=pack["model"]["name"], machine=machine.name)


def job_links_of(ports: Ports, dealer: str, machine: str) -> list[JobLink]:
    """Every link that was made for the machine, the newest first."""
    with ports.storage.reading() as unit:
        found = unit.job_links.all(dealer, machine=machine)
    return sorted(found, key=lambda one: (one.made_at, one.id), reverse=True)


def job_link_named(ports: Ports, dealer: str, id: str) -> JobLink:
    """One link. Raises Refused("no_such_job_link")."""
    with ports.storage.reading() as unit:
        found = unit.job_links.get(dealer, id)
    if found is None:
        raise Refused("no_such_job_link")
    return found


def withdraw_job_link(ports: Ports, dealer: str, by: str, machine: str, id: str) -> JobLink:
    """Ends the link now; doing it again changes nothing. Raises Refused("no_such_job_link")."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        found = unit.job_links.get(dealer, id)
        if found is None or found.machine != machine:
            raise Refused("no_such_job_link")
        if found.withdrawn_at:
            return found
        ended = replace(found, withdrawn_at=ports.clock.now())
        unit.job_links.put(ended)
        record_act(unit, ports, dealer, by, "job_link_withdrawn", found.procedure, machine=machine)
    return ended


def job_link_state(ports: Ports, link: JobLink) -> str:
    """`open`, `expired` or `withdrawn`."""
    if link.withdrawn_at:
        return "withdrawn"
    return "expired" if link.expires_at <= ports.clock.now() else "open"


def job_link_address(ports: Ports, base: str, link: JobLink) -> str:
    """The link's address. What opens it stands behind #, so that no server or log on the way sees it."""
    return f"{base}/job-link#{quote(link.dealer)}/{link.id.replace('-', '')}{_mark(ports, link)}"


def open_job_link(ports: Ports, kept: KeptRows, token: str, address: str) -> Opened:
    """What the link opens. Raises Refused: too_many_attempts, job_link_unknown, job_link_expired, job_link_withdrawn."""
    attempt = count_attempt(ports, [Limit("job link address", address, 30, WINDOW)])
    form = TOKEN.fullmatch(token)
    link = _link_at(ports, form[1], form[2]) if form else None
    if form is None or link is None or not hmac.compare_digest(_mark(ports, link), form[3]):
        raise Refused("job_link_unknown")
    take_back(ports, attempt)
    state = job_link_state(ports, link)
    with ports.storage.reading() as unit:
        dealer = unit.dealers.get(link.dealer)
    assert dealer is not None  # the link refers to it
    if state != "open":
        raise Refused(f"job_link_{state}", dealer=dealer.name)
    try:
        machine, pack = machine_of(ports, kept, link.dealer, link.machine), current_procedure(ports, link.dealer, link.procedure)
    except Refused as gone:
        raise Refused("job_link_withdrawn", dealer=dealer.name) from gone
    with ports.storage.writing() as unit:
        unit.job_links.put(replace(link, opened_at=ports.clock.now()))
    model = pack_json(ports, pack.sha256)["model"]
    return Opened(dealer, pack.subject, pack.title, machine, model and model["name"])


def _link_at(ports: Ports, dealer: str, id: str) -> JobLink | None:
    with ports.storage.reading() as unit:
        return unit.job_links.get(dealer, str(uuid.UUID(hex=id)))


def _mark(ports: Ports, link: JobLink) -> str:
    return keyed_hash(ports.secret, "job link", f"{link.dealer}\n{link.id}")[:32]

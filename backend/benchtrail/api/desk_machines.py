"""The desk's register of machines: what is due when, as pages, a table and a calendar feed."""

import csv
import io
from typing import Any

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, base_url, kept_rows, ports
from benchtrail.services.calendar import account_of_calendar, calendar, calendar_token
from benchtrail.services.dealers import dealer_named
from benchtrail.services.machine_register import MOST_HOURS, machine_of, machines_of, save_machine

blueprint = Blueprint("desk_machines", __name__, url_prefix="/api/v1/desk/machines", description="The desk: customers' machines")
feed = Blueprint("calendar", __name__, description="Due services for a calendar")


class DueSchema(Schema):
    service = fields.String(required=True)
    name = fields.String(required=True)
    source = fields.String(required=True, allow_none=True)
    procedure = fields.String(required=True, allow_none=True)
    every = fields.List(fields.String(), required=True)
    done = fields.Dict(required=True, allow_none=True)
    state = fields.String(required=True)
    due_date = fields.String(required=True, allow_none=True)
    due_from = fields.String(required=True, allow_none=True)
    due_to = fields.String(required=True, allow_none=True)


class MachineJobSchema(Schema):
    job = fields.String(required=True)
    title = fields.String(required=True)
    on = fields.String(required=True)
    closed = fields.String(required=True, allow_none=True)


class MachineSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    customer = fields.String(required=True)
    model = fields.String(required=True, allow_none=True)
    year = fields.Integer(required=True, allow_none=True)
    options = fields.List(fields.String(), required=True)
    serial = fields.String(required=True, allow_none=True)
    hours = fields.Float(required=True, allow_none=True)
    hours_on = fields.String(required=True, allow_none=True)
    words = fields.String(required=True)
    due = fields.List(fields.Nested(DueSchema), required=True)
    jobs = fields.List(fields.Nested(MachineJobSchema), required=True)


class MachinesSchema(Schema):
    machines = fields.List(fields.Nested(MachineSchema), required=True)
    feed = fields.String(required=True)


class MachineToldSchema(Schema):
    name = fields.String(required=True, validate=validate.Length(1, 300))
    customer = fields.String(load_default="", validate=validate.Length(max=200))
    model = fields.String(load_default=None, allow_none=True, validate=validate.Length(max=120))
    year = fields.Integer(load_default=None, allow_none=True, strict=True, validate=validate.Range(1900, 2100))
    options = fields.List(fields.String(validate=validate.Length(1, 80)), load_default=list, validate=validate.Length(max=60))
    serial = fields.String(load_default=None, allow_none=True, validate=validate.Length(max=120))
    hours = fields.Float(load_default=None, allow_none=True, allow_nan=False, validate=validate.Range(0, MOST_HOURS))
    words = fields.String(load_default="", validate=validate.Length(max=2000))


@blueprint.at("")
@blueprint.answers(200, MachinesSchema)
def machines() -> dict[str, Any]:
    """Every machine, what is overdue first; and the address of one's own calendar feed."""
    who = at_desk()
    link = f"{base_url()}/calendar/{who.account.name}/{calendar_token(ports(), who.account)}.ics"
    return {"machines": machines_of(ports(), kept_rows(), who.dealer.slug), "feed": link}


@blueprint.at("", "POST")
@blueprint.takes(MachineToldSchema)
@blueprint.answers(201, MachineSchema)
def write_new(body: dict[str, Any]) -> Any:
    """Writes a machine down."""
    who = at_desk("author")
    id = save_machine(ports(), kept_rows(), who.dealer.slug, who.account.name, None, body)
    return machine_of(ports(), kept_rows(), who.dealer.slug, id)


@blueprint.at("/<machine>")
@blueprint.answers(200, MachineSchema)
def one(machine: str) -> Any:
    """One machine with its jobs and what is due."""
    return machine_of(ports(), kept_rows(), at_desk().dealer.slug, machine)


@blueprint.at("/<machine>", "POST")
@blueprint.takes(MachineToldSchema)
@blueprint.answers(200, MachineSchema)
def write(body: dict[str, Any], machine: str) -> Any:
    """Writes down what the desk knows of the machine; what jobs told of it stays in the jobs."""
    who = at_desk("author")
    save_machine(ports(), kept_rows(), who.dealer.slug, who.account.name, machine, body)
    return machine_of(ports(), kept_rows(), who.dealer.slug, machine)


@blueprint.at("/table.csv")
@blueprint.describes(responses={200: {"description": "The register as a table", "content": {"text/csv": {}}}})
def table() -> Response:
    """The register with every service as a line (RFC 4180)."""
    out = io.StringIO()
    lines = csv.writer(out)
    lines.writerow(("machine", "name", "customer", "model", "year", "options", "serial", "hours", "hours_on", "service", "state",
                    "due_date", "due_from", "due_to", "last_done"))
    for one in machines_of(ports(), kept_rows(), at_desk().dealer.slug):
        own = (one.id, one.name, one.customer, one.model, one.year, " ".join(one.options), one.serial, one.hours, one.hours_on)
        for due in one.due or [{}]:
            last = (due.get("done") or {}).get("date")
            lines.writerow((*own, *(due.get(name) for name in ("name", "state", "due_date", "due_from", "due_to")), last))
    response = Response(out.getvalue(), mimetype="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="machines.csv"'
    return response


@feed.at("/calendar/<name>/<token>.ics")
@feed.describes(responses={200: {"description": "Due services (RFC 5545)", "content": {"text/calendar": {}}}})
def due_calendar(name: str, token: str) -> Response:
    """The due services of the dealer whose account the address belongs to."""
    account = account_of_calendar(ports(), name, token)
    dealer = dealer_named(ports(), account.dealer)
    content = calendar(machines_of(ports(), kept_rows(), dealer.slug), ports().clock.now(), dealer.name)
    response = Response(content, mimetype="text/calendar")
    response.headers["Cache-Control"] = "private, no-store"
    return response

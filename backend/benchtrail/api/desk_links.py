"""The desk's links to a job on one machine, what a phone gets for one, and which sites may frame the dealer's pages."""

from typing import Any

from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, address, at_desk, base_url, kept_rows, ports
from benchtrail.api.fields import Moment
from benchtrail.services.desk_records import JobLink
from benchtrail.services.frame_sites import frame_sites, set_frame_sites
from benchtrail.services.job_links import (
    MOST_DAYS,
    job_link_address,
    job_link_state,
    job_links_of,
    make_job_link,
    open_job_link,
    withdraw_job_link,
)
from benchtrail.services.links import qr_svg
from benchtrail.services.machine_register import machine_of

blueprint = Blueprint("desk_links", __name__, url_prefix="/api/v1/desk", description="The desk: links to a job on one machine")
opening = Blueprint("job_links", __name__, url_prefix="/api/v1", description="What a link to a job opens")


class JobLinkToldSchema(Schema):
    procedure = fields.String(required=True, validate=validate.Length(1, 120))
    days = fields.Integer(required=True, strict=True, validate=validate.Range(1, MOST_DAYS))


class JobLinkSchema(Schema):
    id = fields.String(required=True)
    procedure = fields.String(required=True)
    link = fields.String(required=True)
    qr_svg = fields.String(required=True)
    state = fields.String(required=True, metadata={"description": "open, expired or withdrawn"})
    made_by = fields.String(required=True)
    made_at = Moment(required=True)
    expires_at = Moment(required=True)
    withdrawn_at = Moment(required=True, allow_none=True)
    opened_at = Moment(required=True, allow_none=True)


class JobLinksSchema(Schema):
    links = fields.List(fields.Nested(JobLinkSchema), required=True)


class JobLinkTokenSchema(Schema):
    token = fields.String(required=True, validate=validate.Length(max=200))


class LinkedMachineSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    model = fields.String(required=True, allow_none=True)
    model_name = fields.String(required=True, allow_none=True)
    year = fields.Integer(required=True, allow_none=True)
    options = fields.List(fields.String(), required=True)
    hours = fields.Float(required=True, allow_none=True)


class OpenedLinkSchema(Schema):
    dealer = fields.String(required=True)
    dealer_name = fields.String(required=True)
    procedure = fields.String(required=True)
    title = fields.String(required=True)
    machine = fields.Nested(LinkedMachineSchema, required=True)


class FrameSitesSchema(Schema):
    sites = fields.List(fields.String(validate=validate.Length(1, 300)), required=True, allow_none=True, validate=validate.Length(max=100),
                        metadata={"description": "null: any site; an empty list: none"})


@blueprint.at("/machines/<machine>/links")
@blueprint.answers(200, JobLinksSchema)
def links(machine: str) -> dict[str, Any]:
    """The links that were made for the machine."""
    dealer = at_desk().dealer.slug
    machine_of(ports(), kept_rows(), dealer, machine)
    return {"links": [_shown(one) for one in job_links_of(ports(), dealer, machine)]}


@blueprint.at("/machines/<machine>/links", "POST")
@blueprint.takes(JobLinkToldSchema)
@blueprint.answers(201, JobLinkSchema)
def new_link(body: dict[str, Any], machine: str) -> dict[str, Any]:
    """A link that opens the procedure for this machine on a phone."""
    who = at_desk("author")
    return _shown(make_job_link(ports(), kept_rows(), who.dealer.slug, who.account.name, machine, body["procedure"], body["days"]))


@blueprint.at("/machines/<machine>/links/<link>", "DELETE")
@blueprint.answers(200, JobLinkSchema)
def withdraw(machine: str, link: str) -> dict[str, Any]:
    """Ends the link; whoever opens it afterwards is told so."""
    who = at_desk("author")
    return _shown(withdraw_job_link(ports(), who.dealer.slug, who.account.name, machine, link))


@opening.at("/job-links", "POST")
@opening.takes(JobLinkTokenSchema)
@opening.answers(200, OpenedLinkSchema)
def open_link(body: dict[str, str]) -> dict[str, Any]:
    """What the link opens: the procedure, and the machine as a machine."""
    opened = open_job_link(ports(), kept_rows(), body["token"], address())
    machine = opened.machine
    return {"dealer": opened.dealer.slug, "dealer_name": opened.dealer.name, "procedure": opened.procedure, "title": opened.title,
            "machine": {"model_name": opened.model_name,
                        **{name: getattr(machine, name) for name in ("id", "name", "model", "year", "options", "hours")}}}


@blueprint.at("/frame-sites")
@blueprint.answers(200, FrameSitesSchema)
def sites() -> dict[str, Any]:
    """Which sites may show the dealer's plain pages in a frame."""
    return {"sites": frame_sites(ports(), at_desk().dealer.slug)}


@blueprint.at("/frame-sites", "POST")
@blueprint.takes(FrameSitesSchema)
@blueprint.answers(200, FrameSitesSchema)
def set_sites(body: dict[str, Any]) -> dict[str, Any]:
    """Sets them; an owner's."""
    who = at_desk("owner")
    return {"sites": set_frame_sites(ports(), who.dealer.slug, body["sites"], who.account.name)}


def _shown(link: JobLink) -> dict[str, Any]:
    at = job_link_address(ports(), base_url(), link)
    return {**vars(link), "link": at, "qr_svg": qr_svg(at), "state": job_link_state(ports(), link)}

"""The desk's paper: bench sheets and service records as PDF."""

from dataclasses import replace
from typing import Any, cast

from flask import Response
from marshmallow import Schema, fields, validate

from benchtrail.api.context import Blueprint, at_desk, base_url, kept_rows, ports
from benchtrail.domain.refused import Refused
from benchtrail.messages import in_one_line
from benchtrail.paper.bench_sheet import SheetOf, bench_sheet
from benchtrail.paper.document import Size
from benchtrail.paper.record_files import record_as_page, record_as_pdf
from benchtrail.paper.record_page import page_policy
from benchtrail.services.desk_jobs import variant_in_words
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.job_links import job_link_address, job_link_named
from benchtrail.services.job_report import job_report
from benchtrail.services.jobs import job_of
from benchtrail.services.library_files import pack_json
from benchtrail.services.links import procedure_link
from benchtrail.services.machine_register import machine_of

blueprint = Blueprint("desk_paper", __name__, url_prefix="/api/v1/desk/paper", description="The desk: paper")
PDF = {200: {"description": "The document", "content": {"application/pdf": {}}}}


class PaperQuery(Schema):
    size = fields.String(load_default="A4", validate=validate.OneOf(("A4", "Letter")))


class PageQuery(Schema):
    keep = fields.Boolean(load_default=False, metadata={"description": "as a file to keep"})


class SheetQuery(PaperQuery):
    year = fields.Integer(load_default=None, allow_none=True, validate=validate.Range(1900, 2100))
    options = fields.String(load_default="", validate=validate.Length(max=400), metadata={"description": "ids, with commas between"})


@blueprint.at("/procedures/<procedure>")
@blueprint.takes(SheetQuery, "query")
@blueprint.describes(responses=PDF)
def procedure_sheet(query: dict[str, Any], procedure: str) -> Response:
    """The bench sheet of the revision in force: for one year and its options, or with every step when no year is given."""
    who = at_desk()
    published = current_procedure(ports(), who.dealer.slug, procedure)
    pack = pack_json(ports(), published.sha256)
    options = sorted(one for one in query["options"].split(",") if one)
    variant, words = _variant(pack, query["year"], options)
    content = bench_sheet(_sheet(pack, published.sha256, who.dealer.name, variant, words, ""), cast(Size, query["size"]))
    return _pdf(content, f"bench-sheet-{procedure}")


@blueprint.at("/links/<link>/sheet")
@blueprint.takes(PaperQuery, "query")
@blueprint.describes(responses=PDF)
def link_sheet(query: dict[str, str], link: str) -> Response:
    """The bench sheet for the machine of a link, with the link's code on it."""
    who = at_desk()
    found = job_link_named(ports(), who.dealer.slug, link)
    machine = machine_of(ports(), kept_rows(), who.dealer.slug, found.machine)
    published = current_procedure(ports(), who.dealer.slug, found.procedure)
    pack = pack_json(ports(), published.sha256)
    variant, words = _variant(pack, machine.year, machine.options)
    sheet = replace(_sheet(pack, published.sha256, who.dealer.name, variant, words, machine.name),
                    link=job_link_address(ports(), base_url(), found))
    return _pdf(bench_sheet(sheet, cast(Size, query["size"])), f"bench-sheet-{pack['procedure']}")


@blueprint.at("/jobs/<job>/sheet")
@blueprint.takes(PaperQuery, "query")
@blueprint.describes(responses=PDF)
def job_sheet(query: dict[str, str], job: str) -> Response:
    """The bench sheet of the revision that the job follows, for its machine."""
    who = at_desk()
    found = job_of(ports(), who.dealer.slug, job)
    if found.published is None or found.problem:
        raise Refused("paper_needs_pack")
    pack, machine = pack_json(ports(), found.published.sha256), found.fold["machine"] or {}
    words = ", ".join(part for part in (machine.get("name"), machine.get("serial") and f"serial {machine['serial']}") if part)
    sheet = _sheet(pack, found.published.sha256, who.dealer.name, found.fold["variant"], variant_in_words(found), words)
    return _pdf(bench_sheet(sheet, cast(Size, query["size"])), f"bench-sheet-{pack['procedure']}")


@blueprint.at("/jobs/<job>/record")
@blueprint.takes(PaperQuery, "query")
@blueprint.describes(responses=PDF)
def job_record(query: dict[str, str], job: str) -> Response:
    """The service record of a job, with its photos, sealed with the dealer's key."""
    dealer = at_desk().dealer.slug
    made = job_report(ports(), dealer, job)
    content = record_as_pdf(ports(), dealer, made, in_one_line, cast(Size, query["size"]))
    return _pdf(content, f"service-record-{job[:8]}")


@blueprint.at("/jobs/<job>/record-page")
@blueprint.takes(PageQuery, "query")
@blueprint.describes(responses={200: {"description": "The page", "content": {"text/html": {}}}})
def job_record_page(query: dict[str, bool], job: str) -> Response:
    """The same as a page that stands alone, with its photos within it; to read, or to keep as a file."""
    dealer = at_desk().dealer.slug
    response = Response(record_as_page(ports(), dealer, job_report(ports(), dealer, job), in_one_line), mimetype="text/html")
    how = "attachment" if query["keep"] else "inline"
    response.headers.set("Content-Disposition", how, filename=f"service-record-{job[:8]}.html")
    response.headers["Content-Security-Policy"] = f"{page_policy()}; frame-ancestors 'none'; sandbox"
    return response


def _variant(pack: dict[str, Any], year: int | None, options: list[str]) -> tuple[Any, str]:
    model = pack["model"]
    if model is None or year is None:
        return None, "any machine"
    names = {option["id"]: option["name"] for option in model["options"]}
    unknown = [one for one in options if one not in names]
    if unknown or not model["years"][0] <= year <= model["years"][1]:
        raise Refused("paper_variant_unknown", model=model["name"], first=model["years"][0], last=model["years"][1])
    return {"year": year, "options": options}, ", ".join([str(year), *(names[one] for one in options)])


def _sheet(pack: dict[str, Any], sha256: str, dealer: str, variant: Any, words: str, machine: str) -> SheetOf:
    link = procedure_link(base_url(), pack["procedure"])

    def read_picture(name: str) -> bytes | None:
        return ports().files.get(pack["dealer"], "pictures", name)

    return SheetOf(pack, sha256, dealer, variant, words, machine, link, ports().clock.now(), read_picture)


def _pdf(content: bytes, name: str) -> Response:
    response = Response(content, mimetype="application/pdf")
    response.headers.set("Content-Disposition", "inline", filename=f"{name}.pdf")
    response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; object-src 'self'; sandbox"
    return response

"""`benchtrail job …`: a job as one file, out and in, and its record to read or print."""

import json
from pathlib import Path

import click

from benchtrail.cli.home import dealer_option, home_option, only_dealer, opened
from benchtrail.cli.pack import read_jwk
from benchtrail.domain.refused import Refused
from benchtrail.messages import in_one_line, message_for
from benchtrail.paper.record_files import record_as_page, record_as_pdf
from benchtrail.paper.record_parts import record_lines
from benchtrail.services.job_file import file_bytes, job_as_file, take_in_job
from benchtrail.services.job_report import job_report
from benchtrail.services.record_seal import verify_record

out_option = click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file, which must not be there yet.")


@click.group()
def job() -> None:
    """Jobs as files, and their records."""


@job.command(name="import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--by", default="command line", show_default=True, help="Who takes it in.")
@dealer_option
@home_option
def take_in(file: Path, by: str, dealer: str | None, home: Path | None) -> None:
    """Take in a job that a phone wrote to FILE. The same file again changes nothing."""
    with opened(home) as ports:
        came = take_in_job(ports, dealer or only_dealer(ports), file.read_bytes(), by)
    click.echo(f"job {came.job}")
    click.echo(f"events: {came.stored} new, {came.known} known, {came.quarantined} kept apart for a person")
    click.echo(f"photos: {came.photos} new, {came.photos_known} known, {came.photos_missing} named by the journal and not here")
    word = "equal to the file's" if came.equal else "not the file's: this server holds other events of the job too"
    click.echo(f"digest: {came.digest['count']} events {came.digest['sha256']}, {word}")
    if not came.pack_known:
        click.echo(str(message_for("job_pack_unknown", {})))


@job.command(name="export")
@click.argument("id")
@out_option
@dealer_option
@home_option
def put_out(id: str, out: Path | None, dealer: str | None, home: Path | None) -> None:
    """Write job ID with its events, photos and pack as one file, or to the terminal."""
    with opened(home) as ports:
        content = file_bytes(job_as_file(ports, dealer or only_dealer(ports), id))
    _write(out, content)


@job.command()
@click.argument("id")
@click.option("--html", "form", flag_value="html", help="A page that stands alone, with its photos, sealed with the dealer's key.")
@click.option("--pdf", "form", flag_value="pdf", help="The same to print, on A4.")
@click.option("--json", "form", flag_value="json", help="One JSON object instead of lines.")
@out_option
@dealer_option
@home_option
def report(id: str, form: str | None, out: Path | None, dealer: str | None, home: Path | None) -> None:
    """The record of job ID: figures applied, tools, readings, parts renewed, notes, photos, who, revision, digest."""
    with opened(home) as ports:
        slug = dealer or only_dealer(ports)
        made = job_report(ports, slug, id)
        if form == "html":
            content = record_as_page(ports, slug, made, in_one_line)
        elif form == "pdf":
            content = record_as_pdf(ports, slug, made, in_one_line, "A4")
        elif form == "json":
            content = json.dumps(made, ensure_ascii=False, indent=2, default=str).encode() + b"\n"
        else:
            content = "".join(f"{line}\n" for line in record_lines(made, in_one_line)).encode()
    _write(out, content)


@job.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--key", type=click.Path(exists=True, dir_okay=False, path_type=Path),
              help="The dealer's public key (JWK), for a record of another server.")
@home_option
def verify(file: Path, key: Path | None, home: Path | None) -> None:
    """Check that FILE, a service record as PDF or page, is as the dealer sealed it. Exit 1 when it is not."""
    with opened(home) as ports:
        proven = verify_record(ports, file.read_bytes(), read_jwk(key) if key else None)
    journal = {"same": "this server holds exactly these entries", "other": "this server holds other entries of the job by now",
               "unknown": "this server does not know the job"}[proven.journal]
    click.echo(f"good: record of job {proven.job}, sealed by {proven.dealer} with the key {proven.kid}")
    click.echo(f"journal: {proven.digest['count']} entries {proven.digest['sha256']}; {journal}")


def _write(out: Path | None, content: bytes) -> None:
    if out is None:
        click.echo(content, nl=False)
        return
    try:
        with out.open("xb") as file:
            file.write(content)
    except OSError as error:
        raise Refused("job_file_not_written", path=str(out), reason=error.strerror or str(error)) from error
    click.echo(f"wrote {out}")

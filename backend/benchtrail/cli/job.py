"""`benchtrail job …`: a job as one file, out and in, and its record to read or print."""

import html
import json
from collections.abc import Iterator
from pathlib import Path

import click

from benchtrail.cli.home import dealer_option, home_option, only_dealer, opened
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for
from benchtrail.services.job_file import file_bytes, job_as_file, take_in_job
from benchtrail.services.job_report import job_report
from benchtrail.services.records import JsonObject

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
@click.option("--html", "as_html", is_flag=True, help="A page to print instead of plain lines.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
@out_option
@dealer_option
@home_option
def report(id: str, as_html: bool, as_json: bool, out: Path | None, dealer: str | None, home: Path | None) -> None:
    """The record of job ID: figures applied, tools, readings, parts renewed, notes, photos, who, revision, digest."""
    with opened(home) as ports:
        made = job_report(ports, dealer or only_dealer(ports), id)
    for item in made["end_items"]:
        item["words"] = message_for(item["message"], {"name": item["name"]}).happened
    text = json.dumps(made, ensure_ascii=False, indent=2, default=str) if as_json else _page(made) if as_html else "\n".join(_lines(made))
    _write(out, text.encode() + b"\n")


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


def _lines(made: JsonObject) -> Iterator[str]:
    for heading, rows in _parts(made):
        yield heading
        yield from (f"  {row}" for row in rows or ["none"])
        yield ""


def _page(made: JsonObject) -> str:
    """A page without scripts, styles or links to elsewhere: it prints, and opens from a file."""
    sections = "".join(
        f"<h2>{html.escape(heading)}</h2><ul>{''.join(f'<li>{html.escape(row)}</li>' for row in rows or ['none'])}</ul>"
        for heading, rows in _parts(made))
    title = html.escape(f"{made['title']}: record of the job")
    return f'<!doctype html><html lang="en"><meta charset="utf-8"><title>{title}</title><h1>{title}</h1>{sections}</html>'


def _parts(made: JsonObject) -> Iterator[tuple[str, list[str]]]:
    """Headings with their rows."""
    machine, closed = made["machine"], made["closed"]
    yield f"{made['title']}, revision {made['revision']}", [row for row in (
        made["invented"] and "Invented for a demonstration: not for use on a real machine.",
        f"Dealer: {made['dealer']}", f"Machine: {machine['name']}, {made['variant']}",
        machine["serial"] and f"Serial: {machine['serial']}", machine["hours"] is not None and f"Hours: {machine['hours']:g}",
        f"Done by: {', '.join(made['who'])}", f"Started: {made['started_at']}",
        f"Closed: {closed['outcome'].replace('_', ' ')} {closed['at']}" if closed else "Not closed",
        made["outcome_words"] and f"Last words: {made['outcome_words']}") if row]
    yield "Figures applied", [_torque(row) for row in made["torques"]]
    yield "Readings", [f"{row['name']}: {row['as_typed']} ({row['verdict']}{_ends(row)}), {row['at']}" for row in made["readings"]]
    yield "Renewed", [f"{row['name']}{', number ' + row['number'] if row['number'] else ''}" for row in made["renewed"]]
    yield "Steps skipped", [f"{row['say']} Reason: {row['reason']}" for row in made["skipped"]]
    yield "Steps not done", list(made["open"])
    yield "Not as it must be at the end", [
        f"{row['words']}{' Accepted: ' + row['accepted'] if row['accepted'] else ''}" for row in made["end_items"]]
    yield "Notes", [f"{row['text']} ({row['at']}, {row['device']}{', at: ' + row['say'] if row['say'] else ''})" for row in made["notes"]]
    yield "Answers to them", [f"{row['text']} ({row['by']}, {row['at']}, {'read ' + row['seen']['wall'] if row['seen'] else 'not read'})"
                              for row in made["replies"]]
    yield "Photos", [f"{row['sha256']} {row['caption'] or 'no caption'} ({'here' if row['received'] else row['state'].replace('_', ' ')})"
                     for row in made["photos"]]
    yield "To check this record by", [row for row in (
        f"Job {made['job']}", f"Digest over {made['digest']['count']} events: {made['digest']['sha256']}",
        f"Pack {made['pack']}: {'signature good' if made['pack_signed'] else 'signature NOT proven on this server'}",
        "benchtrail pack verify checks the pack's file; benchtrail job export writes the whole job.",
        made["superseded"] and f"A newer revision is in force; {made['superseded_used']} figures used here have changed since, "
        f"{made['unanswered']} finished steps have no answer.",
        made["attention"] and f"{made['attention']} entries need a person; see the desk.") if row]


def _torque(row: JsonObject) -> str:
    by_hand = f"by hand: {row['hand'] or 'figure not known'}"
    how = f"{row['angle_deg']:g}° further" if row["angle_deg"] is not None else row["figure"] or by_hand
    share = f", stage {row['stage']}: {row['share']:g} % of it" if row["share"] not in (None, 100) else ""
    tools = f"; {', '.join(row['tools'])}" if row["tools"] else ""
    return f"{row['joint']} ({row['count']}): {how}{share}{tools}; {row['at']}"


def _ends(row: JsonObject) -> str:
    ends = [f"{word} {row[end]}" for word, end in (("at least", "low"), ("at most", "high")) if row[end]]
    return f", {', '.join(ends)}" if ends else ""

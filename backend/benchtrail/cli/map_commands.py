"""`benchtrail map …`: what the map of a model knows: plans of the least work, and drafts of procedures."""

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from benchtrail.cli.draft_lines import difference_lines
from benchtrail.cli.library_check import lines_of
from benchtrail.cli.plan_lines import also_lines, plan_lines
from benchtrail.clock import SystemClock
from benchtrail.domain.findings import blocks_publishing
from benchtrail.domain.guards import Variant
from benchtrail.domain.planning.draft_steps import Phrases
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for
from benchtrail.resources import resource_dir
from benchtrail.services.compile_library import compile_library
from benchtrail.services.draft import AUTHOR, Drafted, draft_procedure
from benchtrail.services.phrases import phrases_of_library
from benchtrail.services.plan import check_variant, plan_model, read_goals, read_variant, variant_words
from benchtrail.services.redraft import redraft
from benchtrail.services.while_apart import extra_services, job_goals
from benchtrail.wiring import read_library


@click.group(name="map")
def map_commands() -> None:
    """Ask the map of a model: plan the least work, draft a procedure."""


@map_commands.command()
@click.argument("model")
@click.option("--goal", "goals", multiple=True, required=True, metavar="GOAL",
              help="Such as “renewed pump_seal”, “out seat”, “measure chain_slack”, “changed engine_oil”; may be given again.")
@click.option("--variant", metavar="year=…,option=…", help="One variant; else all, grouped by plan.")
@click.option("--start", "starts", multiple=True, metavar="POSE", help="A pose that the machine is in already, by its id.")
@click.option("--seconds", default=30.0, show_default=True, type=click.FloatRange(0.1, 3600),
              help="Time limit for each plan; after it the best plan so far, and how much less there could be.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
def plan(model: str, goals: tuple[str, ...], variant: str | None, starts: tuple[str, ...], seconds: float,
         as_json: bool) -> None:
    """Plan the least work on MODEL (a model id, a map.yaml or its folder) that reaches every GOAL.

    Exit code 0: a plan; 1: no plan, with the reason; 2: wrong usage.
    """
    pack = model_pack(model)
    chosen = read_variant(variant) if variant else None
    found = plan_model(pack, goals, chosen, [_start(pack, pose) for pose in starts], seconds)
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for line in plan_lines(found):
        click.echo(line)


@map_commands.command()
@click.argument("model")
@click.option("--goal", "goals", multiple=True, required=True, metavar="GOAL",
              help="Such as “renewed pump_seal”, “changed engine_oil”, “done chain_slack”; may be given again.")
@click.option("--variant", metavar="year=…,option=…", help="One variant; else one procedure for all of them, with guards.")
@click.option("--start", "starts", multiple=True, metavar="POSE", help="A pose that the machine is in before step 1, by its id.")
@click.option("--author", default=AUTHOR, show_default=True, help="Who stands for it.")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write it there; a file that is there stays.")
def draft(model: str, goals: tuple[str, ...], variant: str | None, starts: tuple[str, ...], author: str,
          out: Path | None) -> None:
    """Draft a procedure for MODEL (a model id, a map.yaml or its folder) that reaches every GOAL.

    Writes strip, work, rebuild, filling, checks: every step, for every year and option. What the map leaves open is said
    and never guessed. Afterwards it is yours: edit the words, add pictures. A later change of the map: `map redraft`.

    Exit code 0: a draft that nothing stops; 1: no draft, or something to mend first; 2: wrong usage.
    """
    map_file = _map_file(model)
    pack = model_pack(model)
    chosen = read_variant(variant) if variant else None
    made = draft_procedure(pack, map_file.as_posix(), goals, SystemClock().now().date().isoformat(), author, chosen,
                           [_start(pack, pose) for pose in starts], _phrases(pack, map_file))
    if out is None:
        click.echo(made.text, nl=False)
    else:
        _write_new(out, made.text)
        click.echo(f"{out}: “{made.read.head['title']}”, {len(made.read.steps)} steps.", err=True)
    _say_findings(made)


def _phrases(pack: Mapping[str, Any], map_file: Path, without: str | None = None) -> Phrases:
    """Words that were written for an act in the procedures beside the map."""
    return phrases_of_library(compile_library(*read_library([map_file.parent])), pack["model"], without)


def _write_new(out: Path, text: str) -> None:
    if out.exists():
        raise Refused("draft_file_there", file=str(out))
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as fault:
        raise Refused("draft_file_not_written", file=str(out), reason=fault.strerror or "unknown") from None


def _write_whole(file: Path, text: str) -> None:
    """All of the text or nothing: what is there stays until the new text is on disk."""
    beside = file.with_name(f".{file.name}.new")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(file)
    except OSError as fault:
        beside.unlink(missing_ok=True)
        raise Refused("draft_file_not_written", file=str(file), reason=fault.strerror or "unknown") from None


def _say_findings(made: Drafted) -> None:
    """What is found stands on standard error, so that the text can be piped on."""
    for line in lines_of(made.findings):
        click.echo(line, err=True)
    if not made.findings:
        click.echo("Checked in every variant: no findings.", err=True)
    if blocks_publishing(made.findings):
        sys.exit(1)


@map_commands.command()
@click.argument("model")
@click.option("--goal", "goals", multiple=True, metavar="GOAL", help="What the job is for, as for “map plan”; may be given again.")
@click.option("--procedure", "procedure", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="The job is this procedure: all that its steps undo, take off, drain and check.")
@click.option("--variant", required=True, metavar="year=…,option=…", help="The machine.")
@click.option("--due", "due", multiple=True, metavar="SERVICE", help="Only these services of the map, by id; else all.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of lines.")
def also(model: str, goals: tuple[str, ...], procedure: Path | None, variant: str, due: tuple[str, ...], as_json: bool) -> None:
    """Show what else is cheap on MODEL while it is apart: the extra work of each service on top of a job.

    Exit code 0: shown; 1: no answer, with the reason; 2: wrong usage.
    """
    if bool(goals) == bool(procedure):
        raise click.UsageError("Say what the job is: --goal, or --procedure FILE.")
    pack = model_pack(model)
    chosen = read_variant(variant)
    check_variant(pack, chosen)
    job = read_goals(pack, goals) if procedure is None else procedure_goals(procedure, pack, chosen)
    found = {"model": pack["model"], "name": pack["name"], "variant": variant_words(pack, chosen),
             "services": extra_services(pack, chosen, job, due)}
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for line in also_lines(found):
        click.echo(line)


@map_commands.command(name="redraft")
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--map", "model", metavar="MODEL", help="A model id, a map.yaml or its folder; else the map beside the file.")
@click.option("--write", is_flag=True, help="Put the new draft and your edits together in FILE; without it nothing is written.")
def draft_again(file: Path, model: str | None, write: bool) -> None:
    """Draft FILE again after a change of its map, and show what would change, step by step.

    What you edited stays; what you did not touch follows the map; steps that you added stay, steps that you took out stay
    out. Where you and the map both changed the same words, yours stay and the new ones stand above them as a comment.

    Exit code 0: nothing stops publishing the result; 1: something to mend first; 2: wrong usage.
    """
    map_file = _map_file(model) if model else file.parent / "map.yaml"
    if not map_file.is_file():
        raise Refused("redraft_map_missing", file=str(file), map=str(map_file))
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise Refused("redraft_unreadable", file=str(file), line=1) from None
    _, read_picture = read_library([file])
    pack = model_pack(str(map_file))
    found = redraft(pack, map_file.as_posix(), file.as_posix(), text,
                    SystemClock().now().date().isoformat(), _phrases(pack, map_file, file.stem), read_picture)
    for line in difference_lines(found.differences):
        click.echo(line)
    if write and found.text != text:
        _write_whole(file, found.text)
        click.echo(f"Written: {file}")
    for line in lines_of(found.findings):
        click.echo(line, err=True)
    if blocks_publishing(found.findings):
        sys.exit(1)


def _start(pack: Mapping[str, Any], pose: str) -> tuple[str, str]:
    key = pose.strip().removeprefix("pose ").strip()
    if key not in pack["poses"]:
        raise Refused("start_pose_unknown", pose=key[:80], poses=", ".join(sorted(pack["poses"])) or "none")
    return "pose", key


def procedure_goals(file: Path, pack: Mapping[str, Any], variant: Variant) -> list[Sequence[str]]:
    """What a procedure's steps take apart. Raises Refused("also_other_model") for a procedure of another model."""
    library = compile_library(*read_library([file]))
    compiled = next((entry.compiled for entry in library.procedures if entry.asked), None)
    if compiled is None or compiled.pack["model"] is None or compiled.pack["model"]["id"] != pack["model"]:
        raise Refused("also_other_model", file=str(file)[:120], model=pack["model"])
    return job_goals(compiled.pack, variant)


def model_pack(model: str) -> Mapping[str, Any]:
    """The compiled map of a model id, a map file or its folder; a map with errors is shown and ends the program."""
    path = _map_file(model)
    files, read_picture = read_library([path])
    library = compile_library(files, read_picture)
    if blocks_publishing(library.findings) or not library.maps:
        for finding in library.findings:
            words = message_for(finding.code, finding.values)
            click.echo(f"{finding.where.file}:{finding.where.line}: {finding.severity.name.lower()} {finding.code} {words}",
                       err=True)
        sys.exit(1)
    return library.maps[0].pack


def _map_file(model: str) -> Path:
    for folder in (Path("procedures"), resource_dir("procedures")):
        candidate = folder / model / "map.yaml"
        if candidate.is_file():
            return candidate
    path = Path(model)
    if (path / "map.yaml").is_file():
        return path / "map.yaml"
    if path.is_file():
        return path
    folders = [folder for folder in (Path("procedures"), resource_dir("procedures")) if folder.is_dir()]
    known = sorted({entry.parent.name for folder in folders for entry in folder.glob("*/map.yaml")})
    raise Refused("model_without_map", model=model[:120], models=", ".join(known) or "none")

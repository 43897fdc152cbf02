"""Statistics of steps over HTTP and on the command line, from real entries of phones."""

import csv
import io
import json
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from flask import Flask
from tests.api.conftest import Asker
from tests.api.test_desk_jobs import START, model_pack
from tests.making import START as BEGUN
from tests.making import Journal

from benchtrail.cli import main
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, publish_packs

PATH = "/api/v1/desk/procedures/test-drain/steps"


@pytest.fixture
def jobs(app: Flask, ports: Ports, phone: Asker) -> str:
    """Eight jobs: the first step in 2 to 9 minutes, the second skipped by six, and asked about by one."""
    with app.app_context():
        pack = publish_packs(ports, "withen-bridge", Order([model_pack()], "anna"))[0].sha256
    seq, prev = 0, None
    for number in range(8):
        journal = Journal(phone.device, pack=pack, seq=seq, prev=prev, at=BEGUN + timedelta(hours=number))
        events = [journal.write("JobStarted", START)]
        journal.at += timedelta(minutes=2 + number, seconds=-30)
        events.append(journal.write("StepDone", {"step": "open", "away_s": 0}))
        if number < 6:
            events.append(journal.write("StepSkipped", {"step": "measure", "reason": "no gauge"}))
        if number == 7:
            events.append(journal.write(body={"step": "measure", "text": "Which gauge?"}))
        assert phone.post("/api/v1/events", {"events": events, "waiting": 0}).status_code == 200
        seq, prev = journal.seq, journal.prev
    return pack


def test_each_step_has_its_time_with_its_range_and_what_happened_there(reader: Asker, jobs: str) -> None:
    found = reader.get(PATH).get_json()
    assert (found["revision"], found["jobs"], found["finished"]) == (1, 8, 0)
    first, measure, _, last = found["steps"]
    assert (first["times"]["n"], first["times"]["median_min"]) == (8, 5.5)
    assert (first["times"]["low_min"], first["times"]["high_min"]) == (2, 9)
    assert first["times"]["coverage"] == pytest.approx(1 - 2 / 2**8)
    assert first["times"]["q10_min"] is None
    assert (measure["jobs"], measure["skipped"], measure["asked"], measure["look"]) == (7, 6, 1, ["trouble"])
    assert (last["jobs"], last["times"]["median_min"], last["too_few"]) == (0, None, True)


def test_the_same_as_a_table(reader: Asker, jobs: str) -> None:
    answer = reader.get(f"{PATH}.csv")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="test-drain-steps.csv"'
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [row["step"] for row in rows] == ["open", "measure", "later", "close"]
    assert (rows[0]["times"], rows[0]["median_min"], rows[0]["interval_low_min"], rows[0]["q90_min"]) == ("8", "5.5", "2.0", "")
    assert (rows[1]["skipped"], rows[1]["look_at"]) == ("6", "trouble")


def test_the_command_line_says_the_same(app: Flask, reader: Asker, jobs: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHTRAIL_DATABASE_URL", app.config["SQLALCHEMY_DATABASE_URI"])
    run = CliRunner()
    lines = run.invoke(main, ["library", "steps", "test-drain", "--home", str(tmp_path)])
    assert lines.exit_code == 0, lines.output
    assert "5.5 min (2.0 to 9.0, n 8)" in lines.output
    assert "of 7 jobs: skipped 6, asked 1, people get stuck here more than elsewhere" in lines.output
    made = run.invoke(main, ["library", "steps", "test-drain", "--json", "--home", str(tmp_path)])
    assert json.loads(made.output)["steps"] == reader.get(PATH).get_json()["steps"]
    table = run.invoke(main, ["library", "steps", "test-drain", "--csv", "--home", str(tmp_path)])
    assert table.output == reader.get(f"{PATH}.csv").text.replace("\r\n", "\n")


def test_a_procedure_that_is_not_there_is_refused(reader: Asker, stranger: Asker) -> None:
    missing = reader.get("/api/v1/desk/procedures/nothing/steps")
    assert (missing.status_code, missing.get_json()["code"]) == (404, "no_such_procedure")
    assert stranger.get(PATH).status_code == 401


READINGS = "/api/v1/desk/readings"


@pytest.fixture
def gaps(app: Flask, ports: Ports, phone: Asker) -> None:
    """The gap of two machines by hours, one reading of a job without hours, one outside."""
    with app.app_context():
        pack = publish_packs(ports, "withen-bridge", Order([model_pack()], "anna"))[0].sha256
    seq, prev = 0, None
    rows: list[tuple[str, float | None, float]] = [("m1", 20, 0.5), ("m1", 60, 0.9), ("m2", 35, 0.4), ("m2", None, 0.45)]
    for number, (machine, hours, value) in enumerate(rows):
        journal = Journal(phone.device, pack=pack, seq=seq, prev=prev, at=BEGUN + timedelta(days=number))
        start = START | {"machine": START["machine"] | {"id": machine, "name": f"Machine {machine}", "hours": hours}}  # type: ignore[operator]
        reading = {"step": "measure", "check": "gap", "value": value, "unit": "mm", "as_typed": f"{value} mm",
                   "verdict": "outside" if value > 0.8 else "within"}
        events = [journal.write("JobStarted", start), journal.write("ReadingTaken", reading)]
        assert phone.post("/api/v1/events", {"events": events, "waiting": 0}).status_code == 200
        seq, prev = journal.seq, journal.prev


def test_readings_of_a_check_stand_by_machine_and_hours_with_their_limits(reader: Asker, gaps: None) -> None:
    [check] = reader.get(READINGS).get_json()["checks"]
    assert check == {"model": "fell", "check": "gap", "name": "gap", "unit": "mm", "readings": 4, "machines": 2, "outside": 1}
    found = reader.get(f"{READINGS}/points?model=fell&check=gap").get_json()
    assert (found["low"], found["high"], found["other_limits"], found["unit"]) == (None, 0.8, 0, "mm")
    assert [(one["machine"], one["hours"], one["value"], one["verdict"]) for one in found["points"]] == [
        ("Machine m1", 20, 0.5, "within"), ("Machine m1", 60, 0.9, "outside"), ("Machine m2", 35, 0.4, "within"),
        ("Machine m2", None, 0.45, "within")]
    table = list(csv.DictReader(io.StringIO(reader.get(f"{READINGS}/points.csv?model=fell&check=gap").text)))
    assert [(row["machine"], row["hours"], row["value"], row["verdict"], row["highest"]) for row in table][1] == (
        "Machine m1", "60", "0.9", "outside", "0.8")


def test_readings_that_are_not_there_are_refused(reader: Asker, stranger: Asker, gaps: None) -> None:
    for path in ("points", "points?check=gap", "points?model=fell&check=play", "points.csv?model=other&check=gap"):
        refused = reader.get(f"{READINGS}/{path}")
        assert (refused.status_code, refused.get_json()["code"]) == (404, "no_such_readings"), path
    assert stranger.get(READINGS).status_code == 401

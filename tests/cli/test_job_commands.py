"""`benchtrail job …` as a person types it: a job's file out and in with equal digest, its record, and files that are no job."""

import hashlib
import html
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from tests.making import Journal
from tests.services.test_job_file import DEALER, PHOTO, phone_file

from benchtrail.cli import main
from benchtrail.cli.home import opened
from benchtrail.domain.event_hash import job_digest
from benchtrail.services.job_file import file_bytes

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("BENCHTRAIL_HOME", str(tmp_path / "home"))
    made = CliRunner()
    assert made.invoke(main, ["dealer", "add", DEALER, "--name", "Withen Bridge Offroad", "--invented"]).exit_code == 0
    return lambda *words: made.invoke(main, words)


@pytest.fixture
def made(run: Run) -> dict[str, Any]:
    """What a phone wrote that followed a procedure of this dealer."""
    with opened(None) as ports:
        return phone_file(ports)


@pytest.fixture
def file(tmp_path: Path, made: dict[str, Any]) -> Path:
    path = tmp_path / "job.json"
    path.write_bytes(file_bytes(made))
    return path


def three_lines(refused: Result) -> str:
    """The first of the three sentences; the command did nothing else."""
    lines: list[str] = refused.stderr.splitlines()
    assert (refused.exit_code, refused.stdout, len(lines)) == (1, "", 3)
    return lines[0]


def test_a_file_is_taken_in_and_comes_out_with_the_same_digest(run: Run, made: dict[str, Any], file: Path, tmp_path: Path) -> None:
    came = run("job", "import", str(file), "--by", "anna")
    assert came.output.splitlines() == [
        f"job {made['job']}",
        "events: 4 new, 0 known, 0 kept apart for a person",
        "photos: 1 new, 0 known, 0 named by the journal and not here",
        f"digest: 4 events {made['digest']['sha256']}, equal to the file's",
    ]
    out = tmp_path / "out.json"
    assert run("job", "export", made["job"], "--out", str(out)).output == f"wrote {out}\n"
    again = json.loads(out.read_bytes())
    assert (again["events"], again["photos"], again["digest"]) == (made["events"], made["photos"], made["digest"])
    assert json.loads(run("job", "export", made["job"]).stdout) == again, "the terminal gets the same"


def test_the_same_file_again_changes_nothing_and_a_job_that_has_grown_says_so(run: Run, made: dict[str, Any], file: Path) -> None:
    run("job", "import", str(file))
    again = run("job", "import", str(file)).output
    assert "events: 0 new, 4 known, 0 kept apart" in again
    assert "photos: 0 new, 1 known" in again
    other = Journal("0190a000-0000-4000-8000-000000000002", job=made["job"], pack=made["events"][0]["pack"])
    events = [other.write(body={"step": None, "text": "From a second phone."})]
    file.write_bytes(file_bytes(made | {"events": events, "photos": [], "digest": job_digest(event["id"] for event in events)}))
    assert "not the file's: this server holds other events of the job too" in run("job", "import", str(file)).output


def test_a_file_goes_into_a_server_that_never_published_its_procedure(
    run: Run, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHTRAIL_HOME", str(tmp_path / "other"))
    assert run("dealer", "add", DEALER, "--name", "Withen Bridge Offroad").exit_code == 0
    came = run("job", "import", str(file))
    assert came.exit_code == 0
    assert "equal to the file's" in came.output
    assert "procedure" in came.output.splitlines()[4], "the steps cannot be shown, and that is said"


def cut(content: bytes) -> bytes:
    return content[: len(content) // 2]


def changed(**fields: Any) -> Callable[[bytes], bytes]:
    return lambda content: json.dumps(json.loads(content) | fields).encode()


def without_an_event(content: bytes) -> bytes:
    made = json.loads(content)
    return json.dumps(made | {"events": made["events"][:-1]}).encode()


@pytest.mark.parametrize("spoil", [
    cut, without_an_event, lambda _: b"", lambda _: b"\xff\xfe\x00", lambda _: b"[]", lambda _: b"null", lambda _: b'"text"',
    lambda _: b"[" * 200_000, changed(format="benchtrail.job/9"), changed(job="not an id"), changed(events="none"), changed(digest=None),
    changed(photos=[{"sha256": "0" * 64, "mime": "image/jpeg", "base64": "AAAA"}]), changed(photos=7),
])
def test_a_file_that_is_no_whole_job_is_refused_in_three_sentences_and_nothing_is_taken_in(
    run: Run, made: dict[str, Any], file: Path, spoil: Callable[[bytes], bytes]
) -> None:
    file.write_bytes(spoil(file.read_bytes()))
    assert three_lines(run("job", "import", str(file)))
    assert three_lines(run("job", "report", made["job"])), "there is no such job still"


def test_an_entry_that_cannot_count_is_kept_apart_and_the_others_go_in(run: Run, made: dict[str, Any], file: Path) -> None:
    spoiled = [event | {"body": {}} if event["kind"] == "StepDone" else event for event in made["events"]]
    file.write_bytes(file_bytes(made | {"events": spoiled}))
    assert "events: 3 new, 0 known, 1 kept apart for a person" in run("job", "import", str(file)).output


def test_the_record_names_what_was_done_in_lines_as_json_and_as_a_page(run: Run, made: dict[str, Any], file: Path, tmp_path: Path) -> None:
    run("job", "import", str(file))
    lines = run("job", "report", made["job"]).output
    for told in ("Look at the plug, revision 1", "Note 3", hashlib.sha256(PHOTO).hexdigest(), made["digest"]["sha256"], "Plug, 2026-11-25"):
        assert told in lines, told
    found = json.loads(run("job", "report", made["job"], "--json").output)
    assert (found["job"], found["digest"], [row["text"] for row in found["notes"]]) == (made["job"], made["digest"], ["Note 3"])
    page = tmp_path / "record.html"
    assert run("job", "report", made["job"], "--html", "--out", str(page)).exit_code == 0
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "<script" not in text
    assert html.escape("Note 3") in text


def test_words_of_a_note_are_words_on_the_page_whatever_they_look_like(run: Run, made: dict[str, Any], file: Path) -> None:
    hostile = "<script>alert(1)</script> & \u202e"
    events = [event | {"body": event["body"] | {"text": hostile}} if event["kind"] == "NoteWritten" else event for event in made["events"]]
    file.write_bytes(file_bytes(made | {"events": events}))
    run("job", "import", str(file))
    page = run("job", "report", made["job"], "--html").output
    assert html.escape(hostile) in page
    assert "<script" not in page


def test_a_file_that_is_there_is_never_written_over(run: Run, made: dict[str, Any], file: Path) -> None:
    run("job", "import", str(file))
    before = file.read_bytes()
    assert str(file) in three_lines(run("job", "export", made["job"], "--out", str(file)))
    assert file.read_bytes() == before
    assert three_lines(run("job", "report", made["job"], "--out", str(file.parent / "nowhere" / "record.txt")))


@pytest.mark.parametrize("words", ["export", "report"])
@pytest.mark.parametrize("id", ["0190a000-0000-7000-8000-00000000ffff", "x", "../../etc/passwd", ""])
def test_a_job_that_is_not_here_is_said_to_be_so(run: Run, words: str, id: str) -> None:
    assert three_lines(run("job", words, id))


def test_a_dealer_that_is_not_here_is_said_to_be_so(run: Run, made: dict[str, Any], file: Path) -> None:
    assert "nowhere" in three_lines(run("job", "import", str(file), "--dealer", "nowhere"))

"""A service record as PDF and as page: the same things in both, all that the job holds, and no byte changed unnoticed."""

import html
import io
import json
import random
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader
from tests.storage.test_archive import config_of, running

from benchtrail.cli import main
from benchtrail.cli.demo import load_seed
from benchtrail.domain.refused import Refused
from benchtrail.messages import in_one_line
from benchtrail.paper.record_files import record_as_page, record_as_pdf
from benchtrail.paper.record_parts import record_lines, record_parts, record_photos
from benchtrail.services.job_report import job_report
from benchtrail.services.ports import Ports
from benchtrail.services.record_seal import verify_record
from benchtrail.services.seed_demo import seed_demo


@dataclass(frozen=True)
class Demo:
    """The demo's server and its jobs: as the seed tells them, and their ids."""

    home: Path
    ports: Ports
    slug: str
    told: dict[str, dict[str, Any]]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    config, seed = config_of(tmp_path_factory.mktemp("demo")), load_seed()
    with running(config) as ports:
        seed_demo(ports, seed)
        with ports.storage.reading() as unit:
            ids = unit.events.jobs(seed.slug)
        told = {}
        for id in ids:
            made = job_report(ports, seed.slug, id)
            (told[id],) = [job for job in seed.dealership["jobs"] if job["procedure"] == made["procedure"]]
        yield Demo(config.home, ports, seed.slug, told)


def plain(text: str) -> str:
    return re.sub(r"[\s\u00ad]+", "", text)


def words_of_page(content: bytes) -> str:
    body = content.decode().partition("<body>")[2]
    return plain(html.unescape(re.sub(r"<[^>]+>", " ", body)))


def words_of_pdf(content: bytes) -> str:
    return plain(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages))


def test_page_and_pdf_say_everything_that_the_record_says(demo: Demo) -> None:
    assert len(demo.told) >= 3
    for id in demo.told:
        made = job_report(demo.ports, demo.slug, id)
        page = record_as_page(demo.ports, demo.slug, made, in_one_line)
        pdf = record_as_pdf(demo.ports, demo.slug, made, in_one_line, "Letter")
        said = [(part.heading, cell) for part in record_parts(made, in_one_line) for row in part.rows for cell in row]
        said += [("Photos", photo.words) for photo in record_photos(made)]
        for name, found in (("page", words_of_page(page)), ("pdf", words_of_pdf(pdf))):
            # A table's row that runs over a page's end is cut there by the foot: then its lines stand one by one.
            missing = [(heading, cell) for heading, cell in said if any(plain(line) not in found for line in cell.splitlines())]
            missing = [(heading, cell) for heading, cell in missing if any(plain(word) not in found for word in cell.split())]
            assert missing == [], (name, made["title"])
        shown = sum(photo.shown for photo in record_photos(made))
        assert page.count(b"<img ") == shown == sum(len(one.images) for one in PdfReader(io.BytesIO(pdf)).pages)
        assert next(record_lines(made, in_one_line)) == f"Service record: {made['title']}"


def test_the_record_holds_what_the_demo_says_was_done(demo: Demo) -> None:
    """Against the seed itself, which is written by hand: readings, reasons, notes, photos, machine, hours."""
    for id, told in demo.told.items():
        page = words_of_page(record_as_page(demo.ports, demo.slug, job_report(demo.ports, demo.slug, id), in_one_line))
        machine = told["machine"] or {"name": "", "hours": None}
        wanted = [machine["name"], *told["skip"].values(), *(note["text"] for note in told["notes"]),
                  *(photo["caption"] for photo in told["photos"]), *(reading["as_typed"] for reading in told["readings"].values())]
        wanted += [f"{machine['hours']:g} h"] if machine["hours"] is not None else []
        assert [one for one in wanted if plain(one) not in page] == [], told["procedure"]


def a_finished_job(demo: Demo) -> dict[str, Any]:
    records = [job_report(demo.ports, demo.slug, id) for id in demo.told]
    return max(records, key=lambda made: (len(made["torques"]) > 0, len(made["photos"])))


@pytest.mark.parametrize("kind", ["page", "pdf"])
def test_a_sealed_record_is_proven_and_every_change_shows(demo: Demo, kind: str) -> None:
    made = a_finished_job(demo)
    content = (record_as_page(demo.ports, demo.slug, made, in_one_line) if kind == "page"
               else record_as_pdf(demo.ports, demo.slug, made, in_one_line, "A4"))
    proven = verify_record(demo.ports, content)
    assert (proven.job, proven.dealer, proven.digest, proven.journal) == (made["job"], demo.slug, made["digest"], "same")
    chance = random.Random(7)
    places = [chance.randrange(len(content)) for _ in range(60)] + list(range(len(content) - 400, len(content), 7))
    for place in places:
        changed = bytearray(content)
        changed[place] ^= 1
        with pytest.raises(Refused, match=r"record_(changed|not_sealed|not_one|key_unknown)"):
            verify_record(demo.ports, bytes(changed))
    for false in (content[:-1], content + b"x", content[:2000], content.replace(b"\n", b"\n\n", 1)):
        with pytest.raises(Refused, match=r"record_(changed|not_sealed)"):
            verify_record(demo.ports, false)
    for false in (b"", b"hello"):
        with pytest.raises(Refused, match="record_not_one"):
            verify_record(demo.ports, false)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(one) for one in arguments])


def test_on_the_command_line_it_is_written_and_proven_elsewhere_by_the_public_key_alone(demo: Demo, tmp_path: Path) -> None:
    made = a_finished_job(demo)
    for form in ("html", "pdf"):
        file = tmp_path / f"record.{form}"
        written = run("job", "report", made["job"], f"--{form}", "--out", file, "--home", demo.home)
        assert written.exit_code == 0, written.output
        good = run("job", "verify", file, "--home", demo.home)
        assert good.exit_code == 0, good.output
        assert "this server holds exactly these entries" in good.output
        strange = run("job", "verify", file, "--home", tmp_path / "elsewhere")
        assert (strange.exit_code, "which is not known here" in strange.output) == (1, True)
        with demo.ports.storage.reading() as unit:
            dealer = unit.dealers.get(demo.slug)
        assert dealer is not None
        (tmp_path / "key.json").write_text(json.dumps(dealer.jwk))
        elsewhere = run("job", "verify", file, "--key", tmp_path / "key.json", "--home", tmp_path / "elsewhere")
        assert elsewhere.exit_code == 0, elsewhere.output
        assert "this server does not know the job" in elsewhere.output
        file.write_bytes(file.read_bytes().replace(made["title"].encode(), made["title"].upper().encode()) if form == "html"
                         else file.read_bytes()[:-1])
        false = run("job", "verify", file, "--home", demo.home)
        assert false.exit_code == 1
        assert "was changed after it was sealed" in false.output


def test_without_the_signing_key_the_record_says_nothing_false_and_carries_no_seal(demo: Demo) -> None:
    made = a_finished_job(demo)
    key = demo.home / "keys" / f"{demo.slug}.pem"
    held = key.read_bytes()
    key.unlink()
    try:
        content = record_as_page(demo.ports, demo.slug, made, in_one_line)
    finally:
        key.write_bytes(held)
    assert content.endswith(b"</html>\n")
    with pytest.raises(Refused, match="record_not_sealed"):
        verify_record(demo.ports, content)

"""Connections cut at bytes of a grid, between a client and a real server process: every note once, every photo whole."""

import base64
import hashlib
import http.client
import io
import json
import subprocess
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from tests.faults.cutting_proxy import Cut, CuttingProxy
from tests.faults.serving import ROOT, ServerProcess, enrolled_phone, opened_home, prepared_home
from tests.making import Journal, a_photo, sha256_of
from tusclient.client import TusClient
from tusclient.exceptions import TusCommunicationError

from front_build import find_node

DEALER = "withen-bridge"
PIECE = 256 * 1024


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServerProcess]:
    made = ServerProcess(prepared_home(tmp_path_factory.mktemp("cut") / "home"))
    made.start()
    yield made
    made.kill()


@pytest.fixture
def proxy(server: ServerProcess) -> Iterator[CuttingProxy]:
    made = CuttingProxy(server.port)
    yield made
    made.close()


@pytest.fixture
def phone(server: ServerProcess) -> tuple[str, str]:
    with opened_home(server.home) as ports:
        return enrolled_phone(server, ports)


def push(port: int, cookie: str, events: list[dict[str, Any]]) -> dict[str, Any] | None:
    """The answer; None when the connection broke."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    headers = {"Content-Type": "application/json", "X-Benchtrail": "1", "Cookie": cookie}
    try:
        connection.request("POST", "/api/v1/events", json.dumps({"events": events, "waiting": 0}).encode(), headers)
        answer = connection.getresponse()
        body = answer.read()
        assert answer.status == 200, body
        return dict(json.loads(body))
    except (OSError, http.client.HTTPException, ValueError):
        return None
    finally:
        connection.close()


def test_notes_are_there_once_wherever_the_connection_was_cut(server: ServerProcess, proxy: CuttingProxy, phone: tuple[str, str]) -> None:
    device, cookie = phone
    journal, acknowledged = Journal(device), {}
    size = len(json.dumps({"events": [Journal(device).write() for _ in range(3)], "waiting": 0})) + 250
    places = [Cut(request_at=at) for at in range(1, size + 200, 61)] + [Cut(answer_at=at) for at in range(0, 900, 37)]
    for cut in places:
        events = [journal.write() for _ in range(3)]
        proxy.cuts = [cut]
        answer = push(proxy.port, cookie, events) or push(proxy.port, cookie, events)
        assert answer is not None
        acknowledged |= {one["id"]: one["sha256"] for one in answer["results"]}
        assert acknowledged[events[0]["id"]] == sha256_of(events[0])
    assert proxy.met > len(places) * 0.8, "most of the cuts must have been met"
    with opened_home(server.home) as ports, ports.storage.reading() as unit:
        stored = [event for event in unit.events.all(DEALER) if event.device == device]
        assert unit.events.quarantined(DEALER) == []
    assert {event.id: event.sha256 for event in stored} == acknowledged
    assert len(stored) == 3 * len(places)


def receipt(server: ServerProcess, cookie: str, sha256: str) -> dict[str, Any]:
    status, body, _ = server.ask("GET", f"/api/v1/photos/{sha256}/receipt", Cookie=cookie)
    assert status == 200, body
    return dict(body)


def grid(total: int) -> list[Cut]:
    """Cuts around the borders of the pieces, one byte before, at and after, and in the answers."""
    around = [border + step for border in range(0, total, 64 * 1024) for step in (-1, 0, 1) if border + step > 0]
    return [Cut(request_at=at + 400) for at in around[:9]] + [Cut(answer_at=at) for at in (0, 1, 40, 150)]


def test_a_general_python_client_uploads_a_photo_through_cuts(server: ServerProcess, proxy: CuttingProxy, phone: tuple[str, str]) -> None:
    """tuspy, a client that knows nothing of this server but the protocol."""
    content = a_photo(900, 700, quality=98)
    name = hashlib.sha256(content).hexdigest()
    client = TusClient(f"http://127.0.0.1:{proxy.port}/api/v1/photos", headers={"Cookie": phone[1], "X-Benchtrail": "1"})
    facts = {"sha256": name, "mime": "image/jpeg", "job": str(uuid.uuid4())}
    uploader = client.uploader(file_stream=io.BytesIO(content), chunk_size=64 * 1024, metadata=facts, retries=0)
    proxy.cuts = [None, *(cut for one in grid(len(content)) for cut in (one, None))]
    breaks = 0
    while uploader.offset < len(content):
        try:
            uploader.upload_chunk()
        except (TusCommunicationError, OSError):
            breaks += 1
            assert breaks < 60
            uploader = client.uploader(file_stream=io.BytesIO(content), chunk_size=64 * 1024, metadata=facts, url=uploader.url)
    assert breaks >= 3
    assert receipt(server, phone[1], name)["bytes"] == len(content)


@pytest.mark.parametrize("along", [False, True], ids=["announced alone", "announced with its first piece"])
def test_a_general_javascript_client_uploads_a_photo_through_cuts(server: ServerProcess, proxy: CuttingProxy, phone: tuple[str, str],
                                                                  tmp_path: Path, along: bool) -> None:
    """tus-js-client under Node."""
    content = a_photo(1000 + along, 800, quality=98)
    name = hashlib.sha256(content).hexdigest()
    (tmp_path / "photo.jpg").write_bytes(content)
    given = {"endpoint": f"http://127.0.0.1:{proxy.port}/api/v1/photos", "file": str(tmp_path / "photo.jpg"), "cookie": phone[1],
             "metadata": {"sha256": name, "mime": "image/jpeg", "job": str(uuid.uuid4())}, "root": str(ROOT), "along": along}
    proxy.cuts = [None, Cut(request_at=30_000), None, Cut(answer_at=0), None, Cut(request_at=64 * 1024 + 1), None, Cut(answer_at=60)]
    command = [str(find_node()[0]), str(Path(__file__).with_name("upload.mjs"))]
    done = subprocess.run(command, input=json.dumps(given), capture_output=True, text=True, timeout=90)
    assert done.returncode == 0, done.stderr[-3000:]
    assert proxy.met >= 2
    assert receipt(server, phone[1], name)["bytes"] == len(content)


def test_a_cut_at_each_border_of_a_piece_sends_at_most_that_piece_again(server: ServerProcess, proxy: CuttingProxy,
                                                                        phone: tuple[str, str]) -> None:
    content = a_photo(1500, 1100, quality=99)
    name = hashlib.sha256(content).hexdigest()
    facts = {"sha256": name, "mime": "image/jpeg", "job": str(uuid.uuid4())}
    metadata = ",".join(f"{key} {base64.b64encode(value.encode()).decode()}" for key, value in facts.items())
    tus = {"Tus-Resumable": "1.0.0", "Cookie": phone[1], "X-Benchtrail": "1"}
    place = server.ask("POST", "/api/v1/photos", Upload_Length=str(len(content)), Upload_Metadata=metadata, Tus_Resumable="1.0.0",
                       Cookie=phone[1])[2]["location"]
    borders = [Cut(request_at=PIECE + 350 + step) for step in (-400, -1, 0, 1)] + [Cut(answer_at=0), Cut(answer_at=20)]
    offset, cuts, sent = 0, len(borders), 0
    while offset < len(content):
        piece = content[offset : offset + PIECE]
        proxy.cuts = [borders.pop()] if borders else []
        connection = http.client.HTTPConnection("127.0.0.1", proxy.port, timeout=20)
        sent += len(piece)
        try:
            headers = {**tus, "Upload-Offset": str(offset), "Content-Type": "application/offset+octet-stream"}
            connection.request("PATCH", place, piece, headers)
            assert connection.getresponse().status in (204, 409)
        except (OSError, http.client.HTTPException):
            pass
        finally:
            connection.close()
        offset = int(server.ask("HEAD", place, Tus_Resumable="1.0.0", Cookie=phone[1])[2]["upload-offset"])
    assert sent <= len(content) + cuts * PIECE
    assert receipt(server, phone[1], name)["sha256"] == name

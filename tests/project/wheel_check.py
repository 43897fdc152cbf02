"""Builds the wheel, installs it into an empty environment, and serves the demo from it with no Node and no network.

Run by `python3 tests wheel`. The network is taken away from the serving process by a sitecustomize that refuses
every connection that leaves this machine, and Node by a PATH that holds none.
"""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
import venv
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NEEDED = ("_bundle/web/index.html", "_bundle/web/desk.html", "_bundle/web/sw.js", "_bundle/web/app.webmanifest",
          "_bundle/procedures/hobmoor-fell-250/map.yaml", "_bundle/shared/schemas/event.schema.json")
NO_NETWORK = '''
import socket
_connect = socket.socket.connect
def connect(self, address):
    if isinstance(address, tuple) and not str(address[0]).startswith("127."):
        raise OSError(f"the network is taken away for this check: {address}")
    return _connect(self, address)
socket.socket.connect = connect
'''


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def fetch(url: str) -> bytes:
    with urllib.request.urlopen(url, timeout=5) as answer:
        return bytes(answer.read())


def wait_for(url: str, process: subprocess.Popen[bytes], seconds: float = 60) -> bytes:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if process.poll() is not None:
            raise SystemExit(f"the demo stopped by itself with exit code {process.returncode}")
        try:
            return fetch(url)
        except OSError:
            time.sleep(0.2)
    raise SystemExit(f"no answer from {url} within {seconds} s")


def build_wheel(folder: Path) -> Path:
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "-w", str(folder), str(ROOT)]
    subprocess.run(command, check=True)
    (wheel,) = folder.glob("benchtrail-*.whl")
    held = set(zipfile.ZipFile(wheel).namelist())
    missing = [name for name in NEEDED if f"benchtrail/{name}" not in held]
    if missing:
        raise SystemExit(f"the wheel lacks {', '.join(missing)}")
    return wheel


def serve_from(home: Path, folder: Path) -> None:
    python = home / "bin" / "python"
    site = next((home / "lib").glob("python*/site-packages"))
    (site / "sitecustomize.py").write_text(NO_NETWORK)
    port = free_port()
    command = [str(python), "-m", "benchtrail", "demo", "--home", str(folder / "data"), "--port", str(port)]
    environment = {"PATH": str(home / "bin"), "HOME": str(folder), "LANG": "C.UTF-8"}
    process = subprocess.Popen(command, cwd=folder, env=environment, stdout=subprocess.DEVNULL)
    try:
        base = f"http://127.0.0.1:{port}"
        assert json.loads(wait_for(f"{base}/healthz", process))["status"] == "ok"
        assert b"<title>Benchtrail" in fetch(f"{base}/")
        (dealer,) = json.loads(fetch(f"{base}/api/v1/dealers"))
        manifest = json.loads(json.loads(fetch(f"{base}/api/v1/dealers/{dealer['slug']}/manifest"))["payload"])
        procedures = [pack for pack in manifest["packs"] if pack["kind"] == "procedure"]
        assert len(procedures) >= 5, "the demo library is not there"
        assert fetch(f"{base}/packs/{procedures[0]['sha256']}.json").startswith(b"{")
    finally:
        process.terminate()
        process.wait(timeout=20)


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        wheel = build_wheel(folder)
        home = folder / "empty"
        venv.EnvBuilder(with_pip=True).create(home)
        subprocess.run([str(home / "bin" / "python"), "-m", "pip", "install", "--quiet",
                        "--disable-pip-version-check", str(wheel)], check=True)
        serve_from(home, folder)
    print(f"1 passed: the wheel ({os.path.basename(wheel)}) serves the demo with no Node and no network")


if __name__ == "__main__":
    main()

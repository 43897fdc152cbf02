"""Runs the front end's TypeScript under Node, so that both languages can be compared on the same random data.

Node takes the types out by itself; a hook finds the files whose imports leave out `.ts`. Used by tests only.
"""

import json
import subprocess
from pathlib import Path
from typing import Any

from front_build import find_node

ROOT = Path(__file__).resolve().parents[2]


def run_typescript(script: str, given: Any) -> Any:
    """What tests/domain/<script>.mjs answers to `given`, both as JSON."""
    node, _ = find_node()
    here = ROOT / "tests" / "domain"
    command = [str(node), "--import", str(here / "find_typescript.mjs"), str(here / f"{script}.mjs")]
    answer = subprocess.run(command, input=json.dumps(given), capture_output=True, encoding="utf-8", timeout=300)
    assert answer.returncode == 0, answer.stderr[-4000:]
    return json.loads(answer.stdout)

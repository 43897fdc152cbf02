"""`python3 demo`: makes the environment, builds the front end, seeds the demo dealership and serves it."""

import os
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "backend"))

from environment import ensure_environment  # noqa: E402

if __name__ == "__main__":
    python = ensure_environment()
    home = ["--home", str(ROOT / ".benchtrail-demo")] if "--home" not in sys.argv else []
    sys.stdout.flush()
    os.execv(python, [str(python), "-m", "benchtrail", "demo", *home, *sys.argv[1:]])

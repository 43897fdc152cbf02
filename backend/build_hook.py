"""The build hook of the wheel: builds the front end and lays it, the procedures and the shared files inside."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

sys.path.insert(0, str(Path(__file__).resolve().parent))

from front_build import build_front

BUNDLED = {
    "frontend/dist": "benchtrail/_bundle/web",
    "procedures": "benchtrail/_bundle/procedures",
    "shared": "benchtrail/_bundle/shared",
    "demo/seed": "benchtrail/_bundle/demo",
}


class FrontEndHook(BuildHookInterface):
    """Runs before a wheel is packed. An editable install only builds: it reads the files where they lie."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if self.target_name != "wheel":
            return
        build_front(Path(self.root))
        if version == "standard":
            build_data["force_include"].update(BUNDLED)

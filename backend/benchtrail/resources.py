"""Where the files that travel with the program are: built front end, procedures, shared files, demo seed.

In a wheel they lie in `benchtrail/_bundle`; in a clone, beside `backend`. Knows paths only.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_CLONE = _PACKAGE.parent.parent
_IN_CLONE = {"web": "frontend/dist", "procedures": "procedures", "shared": "shared", "demo": "demo/seed"}


def resource_dir(name: str) -> Path:
    """The folder of `web`, `procedures`, `shared` or `demo`; the wheel's copy if there is one, else the clone's."""
    bundled = _PACKAGE / "_bundle" / name
    return bundled if bundled.is_dir() else _CLONE / _IN_CLONE[name]

"""The built front end: pages, assets, service worker. Knows paths and caching; nothing of what the files hold."""

from pathlib import Path

from flask import Blueprint, Flask, Response, abort, current_app, request, send_from_directory
from werkzeug.exceptions import NotFound

from benchtrail.api.compressed import compressed
from benchtrail.api.guard import CONTENT_POLICY

NOT_BUILT = """<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Benchtrail: the app is not built</title>
<h1>The app is not built yet</h1>
<p>The server runs and its API answers, but the pages of the phone and the desk are not there.</p>
<p>In a clone, start with <code>python3 demo</code>, which builds them; an installed package carries them.</p>
"""
# the desk shows the phone's screens of a job beside the text of a procedure, in a frame; nothing else is ever framed
FOLLOW = "desk/follow"
FRAMES = {
    "desk.html": f"{CONTENT_POLICY}; frame-src 'self'",
    "follow.html": CONTENT_POLICY.replace("frame-ancestors 'none'", "frame-ancestors 'self'"),
}
NO_CACHE = "no-cache"
FOR_EVER = "public, max-age=31536000, immutable"
NOT_PAGES = ("api/", "packs/", "pictures/", "healthz")
TYPES = {".webmanifest": "application/manifest+json", ".js": "text/javascript", ".mjs": "text/javascript"}

web = Blueprint("web", __name__)


def register_web(app: Flask, folder: Path) -> None:
    """Serves the built front end from `folder`."""
    app.config["BENCHTRAIL_WEB"] = folder
    app.register_blueprint(web)


@web.get("/")
@web.get("/<path:path>")
def page(path: str = "") -> Response:
    """A file of the front end; for any path without a dot the page of the phone or of the desk."""
    if path.startswith(NOT_PAGES):
        abort(404)
    name = path
    if "." not in path.rsplit("/", 1)[-1]:
        name = "follow.html" if path == FOLLOW else "desk.html" if path == "desk" or path.startswith("desk/") else "index.html"
    response = _file(name, is_page=name != path)
    if name in FRAMES:
        response.headers["Content-Security-Policy"] = FRAMES[name]
    return response


def _file(name: str, is_page: bool) -> Response:
    folder: Path = current_app.config["BENCHTRAIL_WEB"]
    try:
        kind = TYPES.get(Path(name).suffix)
        response = compressed(send_from_directory(folder, name, mimetype=kind, conditional=False))
        response.make_conditional(request)
    except NotFound:
        if not is_page or (folder / name).exists():
            raise
        response = Response(NOT_BUILT, status=503, mimetype="text/html")
    response.headers["Cache-Control"] = FOR_EVER if request.path.startswith("/assets/") else NO_CACHE
    return response

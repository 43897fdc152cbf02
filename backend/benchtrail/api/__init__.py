"""The HTTP interface: one file per resource, its schemas above its routes; one error handler."""

from flask import Flask
from flask_smorest import Api  # type: ignore[import-untyped]

from benchtrail import __version__
from benchtrail.api import (
    calc,
    dealer_file,
    desk_apart,
    desk_bulletins,
    desk_draft,
    desk_jobs,
    desk_library,
    desk_links,
    desk_machines,
    desk_paper,
    desk_people,
    desk_phones,
    desk_plan,
    desk_replies,
    desk_retention,
    desk_returns,
    desk_review,
    desk_workfiles,
    devices,
    events,
    how_to_page,
    passkeys,
    photos,
    public,
    session,
    set_up,
)
from benchtrail.api.context import keep_ports
from benchtrail.api.errors import ErrorBodySchema, handle_errors
from benchtrail.api.guard import guard
from benchtrail.services.ports import Ports


class _Api(Api):  # type: ignore[misc]
    """flask-smorest's collection of routes and their description; errors are answered by api/errors.py."""

    ERROR_SCHEMA = ErrorBodySchema

    def _register_error_handlers(self) -> None:
        handle_errors(self._app)


def register_api(app: Flask, ports: Ports) -> None:
    """Puts every resource into the app, with the description at /api/openapi.json."""
    app.config.update(
        API_TITLE="Benchtrail", API_VERSION=__version__, OPENAPI_VERSION="3.1.0", OPENAPI_URL_PREFIX="/api",
        OPENAPI_JSON_PATH="openapi.json",
    )
    keep_ports(app, ports)
    guard(app)
    collection = _Api(app)
    for blueprint in (
        public.health, public.dealers, public.published, session.blueprint, devices.blueprint, events.blueprint,
        photos.blueprint, desk_jobs.blueprint, desk_phones.blueprint, desk_library.blueprint,
        desk_plan.blueprint, desk_draft.blueprint, desk_workfiles.blueprint, calc.blueprint, desk_people.blueprint,
        set_up.blueprint, dealer_file.out, dealer_file.into,
        desk_links.blueprint, desk_links.opening, passkeys.blueprint, passkeys.way_in,
        desk_review.blueprint, desk_paper.blueprint, how_to_page.blueprint, desk_apart.blueprint,
        desk_machines.blueprint, desk_machines.feed,
        desk_bulletins.blueprint, desk_replies.blueprint, desk_returns.blueprint,
        desk_retention.blueprint,
    ):
        collection.register_blueprint(blueprint)

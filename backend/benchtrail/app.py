"""create_app(config): the Flask application, made anew for each call."""

from flask import Flask
from werkzeug.middleware.proxy_fix import ProxyFix

from benchtrail.api import register_api
from benchtrail.api.trust import trust_app
from benchtrail.api.web import register_web
from benchtrail.clock import Clock
from benchtrail.config import Config
from benchtrail.wiring import wire


def create_app(config: Config, clock: Clock | None = None) -> Flask:
    """The application on the installation that `config` describes."""
    app = Flask("benchtrail", static_folder=None, template_folder=None)
    app.config["BENCHTRAIL_PUBLIC_URL"] = config.public_url
    app.json.sort_keys = False  # type: ignore[attr-defined]
    if config.proxies:
        count = config.proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=count, x_proto=count, x_host=count)  # type: ignore[method-assign]
    register_api(app, wire(app, config, clock))
    register_web(app, config.web)
    return app


def create_trust_app(certificate: bytes, fingerprint: str, address: str) -> Flask:
    """The application that tells a phone how to trust this computer in the workshop's network."""
    return trust_app(certificate, fingerprint, address)

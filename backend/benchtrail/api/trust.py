"""The page that tells how a phone comes to trust this computer in the workshop's network. Knows words and one file."""

from flask import Flask, Response, render_template_string

from benchtrail.api.guard import add_headers

PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Benchtrail: let this phone trust the workshop's computer</title>
<h1>Let this phone trust the workshop's computer</h1>
<p>A phone keeps an app for use without signal only over a trusted connection. This computer has made a certificate of
its own. It is good for addresses of private networks only, for nothing on the public internet. Trust it only in the
workshop whose computer you see, and take it off again when you no longer need it.</p>
<h2>1. Compare</h2>
<p>The workshop's screen shows this fingerprint. Go on only if it is the same:</p>
<p><code>{{ fingerprint }}</code></p>
<h2>2. Get the certificate</h2>
<p><a href="/trust/benchtrail-workshop.crt">Download the certificate</a></p>
<h2>3. Trust it</h2>
<p><b>iPhone, iPad:</b> Settings, General, VPN &amp; Device Management: install the profile. Then Settings, General,
About, Certificate Trust Settings: switch it on.</p>
<p><b>Android:</b> Settings, search for “CA certificate”, install from the download. The phone warns; that is right, read
it.</p>
<p><b>To take it off again:</b> the same places.</p>
<h2>4. Open the app</h2>
<p><a href="{{ address }}">{{ address }}</a></p>
</html>
"""


def trust_app(certificate: bytes, fingerprint: str, address: str) -> Flask:
    """A small application of its own, served without TLS: it must be readable before anything is trusted."""
    app = Flask("benchtrail-trust", static_folder=None)
    app.after_request(add_headers)

    @app.get("/trust/benchtrail-workshop.crt")
    def file() -> Response:
        return Response(certificate, mimetype="application/x-x509-ca-cert")

    @app.get("/")
    @app.get("/<path:path>")
    def page(path: str = "") -> str:
        return render_template_string(PAGE, fingerprint=fingerprint, address=address)

    return app

"""A procedure as a plain page without scripts: for search engines, for printing, for the dealer's own site in a frame."""

import base64
import hashlib
import json
from html import escape
from typing import Any

from flask import Response

from benchtrail.api.context import Blueprint, base_url, ports
from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.job_lists import figures_of_steps
from benchtrail.services.dealers import dealer_named
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.frame_sites import frame_ancestors
from benchtrail.services.how_to import caution_words, how_to
from benchtrail.services.library_files import pack_json
from benchtrail.services.links import procedure_link

blueprint = Blueprint("how_to", __name__, description="Procedures as plain pages")
# Any site may show it in a frame unless the owner says which: it holds nothing of anyone's, and no script runs in it.
POLICY = "default-src 'none'; style-src 'self' 'sha256-{style}'; img-src 'self'; frame-ancestors {sites}; base-uri 'none'; " \
         "form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'"
STYLE = ("body{font:1.05rem/1.5 system-ui,sans-serif;max-width:46rem;margin:0 auto;padding:1rem;color:#1c1b18;background:#fffdf6}"
         "img{max-width:100%;height:auto}.caution{border:2px solid #1c1b18;padding:.4rem .8rem;margin:.6rem 0}"
         ".figure{font-weight:700}.quiet{color:#5c574c}")


@blueprint.at("/how-to/<slug>/<procedure>")
@blueprint.describes(responses={200: {"description": "The page", "content": {"text/html": {}}}})
def page(slug: str, procedure: str) -> Response:
    """The revision in force, with its linked data (schema.org HowTo)."""
    dealer = dealer_named(ports(), slug)
    published = current_procedure(ports(), slug, procedure)
    pack = pack_json(ports(), published.sha256)
    address = f"{base_url()}/how-to/{slug}/{procedure}"
    data = json.dumps(how_to(pack, address, dealer.name), ensure_ascii=False).replace("<", "\\u003c")
    response = Response(_html(pack, data, address, dealer.name, published.sha256), mimetype="text/html")
    response.headers["Content-Security-Policy"] = POLICY.format(style=_hash(STYLE), sites=frame_ancestors(ports(), slug))
    response.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    response.headers["Cache-Control"] = "no-cache"
    return response


def _html(pack: dict[str, Any], data: str, address: str, dealer: str, sha256: str) -> str:
    model = pack["model"]["name"] if pack["model"] else "any machine"
    notice = "<p class=caution><b>NOTICE:</b> Invented machine and figures. Not for use on a real machine.</p>" if pack["invented"] else ""
    parts, section = [], None
    for number, step in enumerate(pack["steps"], 1):
        if step["section"] != section:
            parts.append(("</ol>" if section is not None else "") + f'<h2>{escape(step["section"])}</h2><ol start="{number}">')
            section = step["section"]
        parts.append(_step(pack, step))
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(pack['title'])}: {escape(model)}</title><meta name="description" content="{escape(pack['summary'])}">
<link rel="canonical" href="{escape(address)}"><style>{STYLE}</style>
<script type="application/ld+json">{data}</script></head><body><main>
<h1>{escape(pack['title'])}</h1><p>{escape(pack['summary'])}</p>
<p>For {escape(model)}. Some steps are only for some years and options;
<a href="{escape(procedure_link('', pack['procedure']))}">open it on a phone</a>
to follow what applies to one machine, without signal too.</p>{notice}
<p class=caution><b>Stop and ask:</b> {escape(pack['stop_and_ask'])}</p>
{''.join(parts)}</ol>
<p class=quiet>{escape(dealer)}, revision {pack['revision']}, issued {escape(pack['issued'])}, {sha256[:16]}. {escape(pack['author'])}</p>
</main></body></html>
"""


def _step(pack: dict[str, Any], step: dict[str, Any]) -> str:
    cautions = "".join(f"<p class=caution>{escape(caution_words(pack['cautions'][id]))}</p>" for id in step["cautions"])
    figures = "".join(f"<p class=figure>{escape(words)}</p>" for words in _figures(pack, step))
    more = "".join(f"<p>{escape(step[part])}</p>" for part in ("detail", "look_for") if step[part])
    entry = pack["pictures"].get(step["picture"]) if step["picture"] else None
    picture = f'<p><img src="/pictures/{entry["sha256"]}" alt="{escape(entry["alt"])}" loading="lazy"></p>' if entry else ""
    only = "<p class=quiet>Only for some years or options.</p>" if step["when"] else ""
    return f'<li id="step-{escape(step["id"])}">{cautions}<p>{escape(step["say"])}</p>{only}{more}{figures}{picture}</li>'


def _figures(pack: dict[str, Any], step: dict[str, Any]) -> list[str]:
    rows = [(pack["joints"][row["joint"]]["name"], row["figure"]) for row in figures_of_steps(pack) if row["step"] == step["id"]]
    rows = rows or ([("", step["figure"])] if step["figure"] else [])
    return [f"{name}: {_amount(pack['figures'][id])}".removeprefix(": ") for name, id in rows if id in pack["figures"]]


def _amount(figure: dict[str, Any]) -> str:
    shown = figure_in_both(figure)
    other = f" ({shown['other']['text']} {shown['other']['unit']})" if shown["other"] else ""
    amount = " ".join(part for part in (figure["as_published"], figure["tolerance"]) if part)
    return f"{amount}{other}, {figure['condition']}. Source: {figure['source']}"


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()

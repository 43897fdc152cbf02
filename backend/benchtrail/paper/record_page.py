"""The service record of one job as a page that stands alone: no script, nothing fetched, photos within it; it opens from a file."""

import base64
import hashlib
from collections.abc import Callable
from html import escape
from typing import Any

from benchtrail.paper.record_parts import INVENTED, Part, Say, record_parts, record_photos

Json = dict[str, Any]
STYLE = ("body{font:1rem/1.45 system-ui,sans-serif;max-width:60rem;margin:0 auto;padding:1rem;color:#1c1b18;background:#fffdf6}"
         "h1{margin-bottom:0}table{border-collapse:collapse;width:100%;font-size:.93rem}"
         "th,td{border:1px solid #aaa59a;padding:.3rem .5rem;text-align:left;vertical-align:top;overflow-wrap:break-word}"
         "thead th{background:#efeade}tbody th{font-weight:600}td{min-width:5rem}.long{overflow-wrap:anywhere}.wide{overflow-x:auto}"
         ".notice{border:3px solid #1c1b18;padding:.5rem .8rem}figure{margin:1rem 0}img{max-width:100%;max-height:32rem;height:auto}"
         "figcaption{color:#4d4940;overflow-wrap:anywhere}@media print{body{max-width:none;padding:0}tr,figure{break-inside:avoid}}")
LONG_WORD = 24
POLICY = "default-src 'none'; style-src 'sha256-{style}'; img-src data:; base-uri 'none'; form-action 'none'"


def page_policy() -> str:
    """The content security policy of the page; it stands in the page too, for when it is opened from a file."""
    return POLICY.format(style=base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode())


def record_page(made: Json, say: Say, read_photo: Callable[[str], tuple[bytes, str] | None]) -> bytes:
    """The page of a job's record (services/job_report.py); `read_photo`: bytes and MIME type of a clean photo."""
    title = escape(f"Service record: {made['title']}")
    notice = f'<p class="notice"><b>NOTICE:</b> {escape(INVENTED)}</p>' if made["invented"] else ""
    *parts, proof = record_parts(made, say)
    photos = "".join(_photo(photo.words, read_photo(photo.sha256) if photo.shown else None) for photo in record_photos(made))
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="{escape(page_policy())}">
<title>{title}</title><style>{STYLE}</style></head><body><main>
<h1>Service record</h1><p><b>{escape(made['title'])}</b></p>{notice}
{''.join(_part(part) for part in parts)}<h2>Photos</h2>{photos or '<p>None.</p>'}
{_part(proof)}</main></body></html>
""".encode()


def _part(part: Part) -> str:
    heading = f"<h2>{escape(part.heading)}</h2>" if part.heading else ""
    if not part.rows:
        return f"{heading}<p>{escape(part.none)}</p>\n"
    head = "".join(f"<th scope=\"col\">{escape(column) or 'No.'}</th>" for column in part.columns)
    rows = "".join(f"<tr>{''.join(_cell(number, cell) for number, cell in enumerate(row))}</tr>" for row in part.rows)
    label = escape(part.heading or "The job")
    return (f'{heading}<div class="wide" tabindex="0" role="region" aria-label="{label}"><table><thead><tr>{head}</tr></thead>'
            f"<tbody>{rows}</tbody></table></div>\n")


def _cell(number: int, text: str) -> str:
    shown = escape(text).replace("\n", "<br>")
    if number == 0:
        return f'<th scope="row">{shown}</th>'
    return f'<td class="long">{shown}</td>' if any(len(word) > LONG_WORD for word in text.split()) else f"<td>{shown}</td>"


def _photo(words: str, found: tuple[bytes, str] | None) -> str:
    if found is None:
        return f"<p>{escape(words)} (not here as a picture)</p>"
    content, mime = found
    return (f'<figure><img alt="{escape(words)}" src="data:{escape(mime)};base64,{base64.b64encode(content).decode()}">'
            f"<figcaption>{escape(words)}</figcaption></figure>")

"""Drafts at the desk: a procedure from goals, and a new draft beside a text that a person edited.

Knows which map counts at the desk and how long someone waits; how a draft is made is services/draft.py, HTTP is api's.
"""

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from benchtrail.domain.guards import Variant
from benchtrail.domain.planning.draft_steps import Phrases
from benchtrail.domain.refused import Refused
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.desk_plan import in_time
from benchtrail.services.draft import Drafted, draft_procedure, read_text
from benchtrail.services.library_files import pack_json
from benchtrail.services.phrases import phrases_of
from benchtrail.services.ports import Ports
from benchtrail.services.publish_library import published_pictures
from benchtrail.services.redraft import Redrafted, redraft
from benchtrail.services.workfile_check import map_of_model, models_with_maps

SECONDS_EACH = 2.0


def draft_at_desk(ports: Ports, dealer: str, by: str, model: str, goals: Sequence[str], variant: Variant | None) -> Drafted:
    """A draft over the model's map, the one being written first.

    Raises Refused: desk_plan_model_unknown, desk_plan_late, desk_plan_busy, and as `draft_procedure`.
    """
    pack = _map(ports, dealer, model)
    issued = ports.clock.now().date().isoformat()
    words = _phrases(ports, dealer, model)
    return in_time(lambda: draft_procedure(pack, f"{model}/map.yaml", goals, issued, by, variant, (),
                                           words, SECONDS_EACH))


def redraft_at_desk(ports: Ports, dealer: str, path: str, text: str) -> Redrafted:
    """The new draft of a text's own goals beside it. Raises Refused: redraft_no_marks, and as `draft_at_desk`."""
    model = read_text(path, text).model
    if model is None:
        raise Refused("redraft_no_marks", file=path)
    pack = _map(ports, dealer, model)
    read_picture = published_pictures(ports, dealer, [LibraryFile(path, text.encode("utf-8", "surrogatepass"))])
    issued = ports.clock.now().date().isoformat()
    words = _phrases(ports, dealer, model, read_text(path, text).head["procedure"])
    return in_time(lambda: redraft(pack, f"{model}/map.yaml", path, text, issued, words, read_picture, SECONDS_EACH))


def _phrases(ports: Ports, dealer: str, model: str, without: str | None = None) -> Phrases:
    """The words in the model's procedures in force."""
    with ports.storage.reading() as unit:
        packs = [pack for pack in unit.packs.all(dealer) if pack.kind == "procedure" and pack.entry["model"] == model]
    newest = {pack.subject: pack.sha256 for pack in reversed(packs)}
    return phrases_of(pack_json(ports, newest[key])["steps"] for key in sorted(newest) if key != without)


def _map(ports: Ports, dealer: str, model: str) -> Mapping[str, Any]:
    pack = map_of_model(ports, dealer, model)
    if pack is None:
        known = models_with_maps(ports, dealer)
        near = get_close_matches(model, known, n=3, cutoff=0.4) or known
        raise Refused("desk_plan_model_unknown", model=model[:80], models=", ".join(near) or "none yet")
    return pack

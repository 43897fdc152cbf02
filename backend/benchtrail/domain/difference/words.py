"""Changes in sentences. Knows how a sentence is put together; the words stand in `shared/texts/difference.en.json`."""

from collections.abc import Mapping, Sequence
from typing import Any

from benchtrail.domain.difference.change import Change

Texts = Mapping[str, Mapping[str, str]]


def change_in_words(texts: Texts, change: Change | Mapping[str, Any]) -> str:
    """One change as one sentence: `front axle nut: was 88 N·m, dry; is now 70 N·m, dry.`"""
    values = {"name": change["name"], "old": _ended(change["old"]), "new": _ended(change["new"])}
    if change["code"] in texts["own"]:
        own = texts["own"][change["code"]]
        return own.format(name=change["name"], old=change["old"], new=change["new"])
    way = {(True, True): "both", (False, True): "added", (True, False): "gone"}.get(
        (bool(change["old"]), bool(change["new"])), "none")
    what = texts["what"][change["code"]].format(**values)
    return texts["ways"][way].format(what=_upper(what), **values)


def bulletin_text(texts: Texts, changes: Sequence[Change], title: str, before: int, revision: int) -> str:
    """The draft of a bulletin: one line for each change that matters, safety first, and what to do."""
    words = texts["text"]
    lines = [words["head"].format(title=title, before=before, revision=revision)]
    for severity in ("safety", "work"):
        told = dict.fromkeys(change_in_words(texts, one) for one in changes if one["severity"] == severity)
        lines += [words[severity], *(f"- {line}" for line in told)] if told else []
    if len(lines) == 1:
        lines.append(words["none"])
    reworded = sum(change["severity"] == "words" for change in changes)
    lines += [words["words"].format(count=reworded)] if reworded else []
    lines += [words["redo"]] if any(change["redo"] for change in changes) else []
    return "\n".join(lines)


def _ended(text: str | None) -> str | None:
    """Without a full stop: the sentence around it has one."""
    return text and text.rstrip(". ")


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]

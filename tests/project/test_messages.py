"""Every code that the program can raise has its three-part message, and every message is used."""

import ast
import re
from pathlib import Path

from benchtrail.messages import message_table

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "backend" / "benchtrail"
FRONT = ROOT / "frontend" / "src"


def raised_codes() -> dict[str, str]:
    """Codes given as literals to Refused(…) and Finding(…) → the file that has them."""
    codes: dict[str, str] = {}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute)):
                continue
            name = node.func.id if isinstance(node.func, ast.Name) else node.func.attr
            first = node.args[0] if node.args else None
            if name in {"Refused", "Finding"} and isinstance(first, ast.Constant) and isinstance(first.value, str):
                codes[first.value] = path.relative_to(ROOT).as_posix()
    return codes


def test_every_raised_code_has_its_message() -> None:
    missing = {code: path for code, path in raised_codes().items() if code not in message_table()}
    assert missing == {}


def test_every_message_has_three_parts_with_words() -> None:
    for code, parts in message_table().items():
        assert set(parts) == {"happened", "means", "do"}, code
        assert all(len(text.split()) >= 2 for text in parts.values()), code


def test_every_message_is_used() -> None:
    sources = [*PACKAGE.rglob("*.py"), *FRONT.rglob("*.ts"), *FRONT.rglob("*.tsx")]
    text = "\n".join(path.read_text(encoding="utf-8") for path in sources)
    words = set(re.findall(r"\w+", text))
    assert [code for code in message_table() if code not in words] == []


def test_no_message_blames_or_shrugs() -> None:
    banned = re.compile(r"something went wrong|oops|invalid input|please|sorry|illegal", re.IGNORECASE)
    for code, parts in message_table().items():
        assert not banned.search(" ".join(parts.values())), code

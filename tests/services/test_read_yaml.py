"""Reading YAML: lines, the traps of the format, every kind of bad input with its clear answer, never a traceback."""

import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from benchtrail.domain.text_tree import Items, Node, Scalar, Table
from benchtrail.services import read_yaml as reading
from benchtrail.services.read_yaml import MOST_BYTES, read_bytes, read_yaml

LIBRARY = Path(__file__).resolve().parents[2] / "procedures"


def plain(node: Node | None) -> object:
    """A tree as plain data."""
    if isinstance(node, Table):
        return {key: plain(entry.value) for key, entry in node.entries.items()}
    if isinstance(node, Items):
        return [plain(item) for item in node.items]
    return node.value if isinstance(node, Scalar) else None


def found(content: str | bytes) -> list[tuple[str, int]]:
    """(code, line) of everything found."""
    raw = content.encode() if isinstance(content, str) else content
    return [(finding.code, finding.where.line) for finding in read_bytes(raw, "f.yaml")[1]]


BAD: list[tuple[str, str | bytes, list[tuple[str, int]]]] = [
    ("an empty file", "", [("file_empty", 1)]),
    ("only a comment", "# nothing\n", [("file_empty", 1)]),
    ("too large", b"a: " + b"x" * MOST_BYTES, [("file_too_large", 1)]),
    ("more than a megabyte", b"a: 1\n" * 220_000, [("file_too_large", 1)]),
    ("UTF-16", "a: 1\n".encode("utf-16"), [("encoding_utf16", 1)]),
    ("Latin-1", "a: 1\nb: Kühler\n".encode("latin-1"), [("encoding_not_utf8", 2)]),
    ("a NUL byte", b"a: 1\nb: x\x00y\n", [("character_refused", 2)]),
    ("two control characters", b"a: \x07\nb: 1\nc: \x1b\n", [("character_refused", 1), ("character_refused", 3)]),
    ("a direction mark that hides text", "a: x\u202ey\n", [("character_refused", 1)]),
    ("tabs", "a:\n\tb: 1\n \tc: 2\n", [("tab_in_indent", 2), ("tab_in_indent", 3)]),
    ("a colon in a text", "a: b: c\n", [("yaml_colon_in_text", 1)]),
    ("a word without its colon", "a: 1\nb\nc: 2\n", [("yaml_colon_missing", 3)]),
    ("an open bracket", "a: [1, 2\nb: 3\n", [("yaml_bracket_open", 1)]),
    ("an open brace", "a: {b: 1\nc: 2\n", [("yaml_bracket_open", 1)]),
    ("an open quote", "a: 'x\nb: 2\n", [("yaml_quote_open", 1)]),
    ("a backslash", 'a: "x\\q"\n', [("yaml_backslash", 1)]),
    ("an at sign", "a: @x\n", [("yaml_quote_needed", 1)]),
    ("a line indented too little", "a:\n  b: 1\n c: 2\n", [("yaml_indent", 3)]),
    ("an unknown directive", "%x\n---\na: 1\n", [("yaml_unreadable", 1)]),
    ("two documents", "---\na: 1\n---\nb: 2\n", [("several_documents", 3)]),
    ("an alias", "a: &x [1]\nb: *x\n", [("alias_refused", 2)]),
    ("a merge key", "a: &x {c: 1}\nb:\n  <<: *x\n", [("alias_refused", 3)]),
    ("a type mark", "a: !!python/object/apply:os.system [x]\n", [("tag_refused", 1)]),
    ("a key twice", "a: 1\nb: 2\na: 3\n", [("key_twice", 3)]),
    ("a key twice, deep inside", "a: [{b: 1, b: 2}]\n", [("key_twice", 1)]),
    ("a list as a key", "? [x]\n: y\n", [("key_not_text", 1)]),
    ("an empty key", "~: y\n", [("key_not_text", 1)]),
    ("deep nesting", "[" * 40 + "]" * 40, [("nested_too_deep", 1)]),
    ("very deep nesting", "[" * 100_000, [("nested_too_deep", 1)]),
    (
        "several mistakes of form",
        "a: 1: 2\nb: ok\nc: [1\nd: 'x\ne: 1\n",
        [("yaml_colon_in_text", 1), ("yaml_bracket_open", 3), ("yaml_quote_open", 4)],
    ),
]


@pytest.mark.parametrize(("content", "expected"), [case[1:] for case in BAD], ids=[case[0] for case in BAD])
def test_bad_input_has_its_clear_answer(content: str | bytes, expected: list[tuple[str, int]]) -> None:
    assert found(content) == expected


def test_a_bomb_of_aliases_is_refused_at_once() -> None:
    layers = "".join(f"l{n}: &l{n} [{', '.join([f'*l{n - 1}'] * 9)}]\n" for n in range(1, 12))
    started = time.process_time()
    codes = {code for code, _ in found(f"l0: &l0 [x]\n{layers}")}
    assert codes == {"alias_refused"}
    assert time.process_time() - started < 2


def test_a_byte_order_mark_is_accepted() -> None:
    tree, findings = read_bytes("a: 1\n".encode("utf-8-sig"), "f.yaml")
    assert (plain(tree), findings) == ({"a": 1}, [])


def test_windows_line_ends_are_accepted() -> None:
    tree, findings = read_bytes(b"a: 1\r\nb: 2\r\n", "f.yaml")
    assert (plain(tree), findings) == ({"a": 1, "b": 2}, [])


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("on", "on"),
        ("off", "off"),
        ("yes", "yes"),
        ("no", "no"),
        ("Yes", "Yes"),
        ("y", "y"),
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("12", 12),
        ("-3", -3),
        ("+3", 3),
        ("0.5", 0.5),
        (".5", 0.5),
        ("1e3", 1000.0),
        ("1_000", "1_000"),
        ("0x1F", "0x1F"),
        ("1:30", "1:30"),
        ("2026-11-02", "2026-11-02"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("1e999", "1e999"),
        ("9" * 30, "9" * 30),
        ('"12"', "12"),
        ("'on'", "on"),
    ],
)
def test_only_plain_values_are_resolved(written: str, value: object) -> None:
    tree, findings = read_yaml(f"a: {written}\n", "f.yaml")
    assert findings == []
    assert plain(tree) == {"a": value}
    assert type(plain(tree)["a"]) is type(value)  # type: ignore[index]


def test_on_and_off_stay_text_as_keys_and_in_lists() -> None:
    tree, _ = read_yaml("on: [on, off]\n", "f.yaml")
    assert plain(tree) == {"on": ["on", "off"]}


def test_every_key_and_value_has_its_line() -> None:
    tree, _ = read_yaml("a: 1\nb:\n  - x\n  - {c: 2,\n     d: 3}\n", "f.yaml")
    assert isinstance(tree, Table)
    items = tree.entries["b"].value
    assert isinstance(items, Items)
    inner = items.items[1]
    assert isinstance(inner, Table)
    assert (tree.entries["b"].line, items.items[0].line, inner.entries["c"].line, inner.entries["d"].line) == (2, 3, 4, 5)


@pytest.mark.parametrize("path", sorted(LIBRARY.rglob("*.yaml")), ids=lambda path: path.stem)
def test_both_parsers_give_the_same_tree(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    quick = read_bytes(path.read_bytes(), path.name)
    monkeypatch.setattr(reading, "_LOADER", yaml.SafeLoader)
    assert read_bytes(path.read_bytes(), path.name) == quick
    assert quick[1] == []


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=300))
def test_no_bytes_make_reading_fail(content: bytes) -> None:
    tree, findings = read_bytes(content, "f.yaml")
    assert tree is not None or findings


PIECES = st.sampled_from(
    [
        "a",
        "steps",
        ":",
        ": ",
        "\n",
        "\n  ",
        "- ",
        "[",
        "]",
        "{",
        "}",
        ",",
        "'",
        '"',
        "|",
        ">",
        "&x ",
        "*x",
        "!!str ",
        "? ",
        "#",
        "---\n",
        "...\n",
        "%YAML 9\n",
        "\\",
        "\u2028",
        "\u00a0",
        "12",
        "on",
        "~",
        "@",
        "`",
    ]
)


@settings(max_examples=400, deadline=None)
@given(st.lists(PIECES, max_size=40).map("".join))
def test_no_text_like_yaml_makes_reading_fail(text: str) -> None:
    tree, findings = read_yaml(text, "f.yaml")
    assert tree is not None or findings
    assert all(1 <= finding.where.line <= text.count("\n") + text.count("\u2028") + 2 for finding in findings)

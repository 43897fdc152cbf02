"""Every bad value in a text has its clear answer; everything is reported at once; no garbage makes the library fail."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sample_texts import JOB, JOB_PATH, MAP, MAP_PATH, changed, found_in

from benchtrail.domain.findings import Finding
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile

Edit = tuple[str, str]

# description → edits of the procedure, code, beginning of the line
BAD_VALUES: list[tuple[str, list[Edit], str, str]] = [
    (
        "an unknown key",
        [("    say: Read the oil level.\n", "    say: Read the oil level.\n    sayy: x\n")],
        "key_unknown",
        "sayy:",
    ),
    ("a key that is missing", [("author: Test\n", "")], "key_missing", "procedure:"),
    ("a text where a number must be", [("people: 1", "people: one")], "whole_number_expected", "people:"),
    ("half a person", [("people: 1", "people: 1.5")], "whole_number_expected", "people:"),
    ("too many people", [("people: 1", "people: 900")], "number_out_of_range", "people:"),
    (
        "minutes as words",
        [("    say: Read the oil level.\n", "    say: Read the oil level.\n    minutes: few\n")],
        "number_expected",
        "minutes:",
    ),
    ("a list where a text must be", [("title: Renew the cover gasket", "title: [a, b]")], "text_needed", "title:"),
    ("an empty value", [("title: Renew the cover gasket", "title:")], "value_empty", "title:"),
    ("an unknown word of a choice", [("safety: [normal]", "safety: [normal, brake]")], "choice_not_known", "safety:"),
    ("a text where a list must be", [("tools: [straight_edge]", "tools: straight_edge")], "list_expected", "tools:"),
    ("no day", [("issued: 2026-01-02", "issued: 2026-02-30")], "day_unreadable", "issued:"),
    ("a guard that cannot be read", [("applies: all", "applies: year => 2020")], "guard_unreadable", "applies:"),
    ("a condition that cannot be read", [("goal: [renewed cover_gasket]", "goal: [renewed]")], "literal_unreadable", "goal:"),
    (
        "a condition with an unknown word",
        [("goal: [renewed cover_gasket]", "goal: [new cover_gasket]")],
        "literal_word_unknown",
        "goal:",
    ),
    ("a start that is no pose", [("start: [pose upright]", "start: [out cover]")], "literal_word_unknown", "start:"),
    ("an id in capital letters", [("tools: [straight_edge]", "tools: [Straight]")], "id_unreadable", "tools:"),
    ("an action that cannot be read", [("do: undo filler_plug", "do: undo the filler plug")], "action_unreadable", "do:"),
    ("an amount without a unit", [("do: fill oil 900 ml", "do: fill oil 900")], "unit_missing", "do:"),
    ("an amount of a range", [("do: fill oil 900 ml", "do: fill oil 800 to 900 ml")], "amount_not_one_value", "do:"),
    ("a step that is a text", [("steps:\n", "steps:\n  - undo it\n")], "table_needed", "- undo it"),
    ("objects beside a model", [("steps:\n", "tools:\n  x: {name: x}\nsteps:\n")], "table_belongs_in_map", "tools:"),
    ("a procedure id in capitals", [("procedure: renew-cover-gasket", "procedure: Renew_Gasket")], "kebab_form", "procedure:"),
    (
        "a file of another name",
        [("procedure: renew-cover-gasket", "procedure: renew-the-gasket")],
        "file_named_otherwise",
        "procedure:",
    ),
    ("a model without a map", [("model: test-model", "model: test-modell")], "map_missing", "model:"),
    ("a text far too long", [("stop_and_ask: Stop", "stop_and_ask: " + "Stop " * 400)], "text_too_long", "stop_and_ask:"),
]


@pytest.mark.parametrize(("edits", "code", "line"), [case[1:] for case in BAD_VALUES], ids=[case[0] for case in BAD_VALUES])
def test_a_bad_value_has_its_clear_answer(edits: list[Edit], code: str, line: str) -> None:
    text = changed(JOB, *edits)
    findings = [finding for finding in found_in(job_text=text) if finding.severity.name == "ERROR"]
    assert [finding.code for finding in findings] == [code]
    assert text.splitlines()[findings[0].where.line - 1].strip().startswith(line)


BAD_MAP_VALUES: list[tuple[str, list[Edit], str]] = [
    ("years backwards", [("years: 2020-2023", "years: 2023-2020")], "years_unreadable"),
    ("a joint of one part", [("joins: [hose, case]", "joins: [hose]")], "list_too_short"),
    ("a place with one number", [("{at: [40, 0], length_mm: 25}", "{at: [40], length_mm: 25}")], "place_unreadable"),
    ("a stage that says nothing", [("{share: 50}", "{pose: upright}")], "stage_not_one_way"),
    ("alternatives mixed with single ones", [("exit: [[out bar]]", "exit: [[out bar], out hose]")], "alternatives_mixed"),
    ("a trigger of too many words", [("triggers: [drain oil]", "triggers: [drain the old oil]")], "trigger_unreadable"),
    ("a flag in words", [("hold: true", "hold: perhaps")], "flag_needed"),
    ("an id with a hyphen", [("  hose_clip: {", "  hose-clip: {"), ("undone hose_clip", "undone axle_nut")], "id_form"),
    ("a figure of an unknown kind", [("kind: length", "kind: width")], "choice_not_known"),
]


@pytest.mark.parametrize(("edits", "code"), [case[1:] for case in BAD_MAP_VALUES], ids=[case[0] for case in BAD_MAP_VALUES])
def test_a_bad_value_of_a_map_has_its_clear_answer(edits: list[Edit], code: str) -> None:
    assert code in {finding.code for finding in found_in(changed(MAP, *edits))}


def test_all_mistakes_are_reported_at_once() -> None:
    job = changed(
        JOB, ("people: 1", "people: one"), ("issued: 2026-01-02", "issued: soon"), ("do: undo filler_plug", "do: unscrew it")
    )
    machine = changed(MAP, ('"20 N·m", condition: dry,', '"20", condition: dry,'), ("kind: clip", "kind: clippy"))
    assert {finding.code for finding in found_in(machine, job)} == {
        "whole_number_expected",
        "day_unreadable",
        "action_verb_unknown",
        "unit_missing",
        "choice_not_known",
    }


@pytest.mark.parametrize(
    "edits", [[("joints:\n", "joint:\n")], [("years: 2020-2023\n", "years: soon\n")], [("name: Test model\n", "")]]
)
def test_a_procedure_whose_map_is_broken_gets_one_finding(edits: list[Edit]) -> None:
    findings = found_in(changed(MAP, *edits))
    assert [finding.code for finding in findings if finding.where.file == JOB_PATH] == ["map_broken"]
    assert any(finding.where.file == MAP_PATH for finding in findings)


def test_a_map_that_is_no_yaml_leaves_its_procedure_without_one() -> None:
    codes = {finding.code for finding in found_in("model: [\nyears: 2020\n")}
    assert codes == {"yaml_bracket_open", "map_missing"}


def findings_of(*files: tuple[str, str]) -> list[Finding]:
    return check_library([LibraryFile(path, text.encode()) for path, text in files], lambda path: None).findings


def test_which_file_is_what() -> None:
    assert [finding.code for finding in findings_of(("lib/x.yaml", "a: 1\n"))] == ["file_kind_unknown"]
    assert [finding.code for finding in findings_of(("lib/x.yaml", "- a\n"))] == ["file_kind_unknown"]
    twice = findings_of((MAP_PATH, MAP), ("lib/other/map.yaml", MAP))
    assert [finding.code for finding in twice] == ["model_twice"]
    again = findings_of((MAP_PATH, MAP), (JOB_PATH, JOB), ("lib/other/renew-cover-gasket.yaml", JOB))
    assert [finding.code for finding in again] == ["procedure_twice"]
    assert "model_in_anywhere" in {
        finding.code for finding in findings_of((MAP_PATH, MAP), ("lib/anywhere/renew-cover-gasket.yaml", JOB))
    }


def test_maps_that_differ_by_more_than_a_fifth_are_compared() -> None:
    other = changed(MAP, ("model: test-model", "model: other-model"), ('"80 N·m"', '"60 N·m"'))
    findings = findings_of((MAP_PATH, MAP), ("lib/other/map.yaml", other))
    assert [(finding.check, finding.code, finding.values["figure"]) for finding in findings] == [
        ("M6", "figure_differs_between_maps", "axle_torque")
    ]


def test_too_many_options_are_refused_not_played() -> None:
    options = "".join(f"  o{n}: {{name: option {n}}}\n" for n in range(12))
    parts = "".join(f"  p{n}: {{name: part {n}, when: o{n}}}\n" for n in range(12))
    machine = changed(MAP, ("options:\n", "options:\n" + options), ("parts:\n", "parts:\n" + parts))
    assert [finding.code for finding in found_in(machine) if finding.where.file == MAP_PATH] == ["too_many_variants"]


def test_what_is_not_asked_for_is_read_and_not_reported() -> None:
    files = [
        LibraryFile(MAP_PATH, changed(MAP, ("kind: clip", "kind: clippy")).encode(), asked=False),
        LibraryFile(JOB_PATH, JOB.encode()),
    ]
    assert check_library(files, lambda path: None).findings == []


KEYS = st.sampled_from(
    [
        *"abc",
        "model",
        "procedure",
        "years",
        "steps",
        "parts",
        "joints",
        "figures",
        "do",
        "say",
        "id",
        "when",
        "limits",
        "caution",
        "picture",
        "stages",
        "positions",
        "exit",
        "goal",
        "start",
        "prepare",
        "options",
        "name",
        "kind",
    ]
)
VALUES = st.recursive(
    st.sampled_from(
        ["", "x", "all", "year <= 2020", "undo x", "out x", "10 N·m", "1", "-5", "true", "none", "2020-2023", '"\\u0000"', "~"]
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.lists(st.tuples(KEYS, inner), max_size=3).map(lambda pairs: f"{{{', '.join(f'{k}: {v}' for k, v in pairs)}}}"),
    ),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(KEYS, VALUES), min_size=1, max_size=8, unique_by=lambda pair: pair[0]))
def test_no_garbage_makes_the_library_fail(pairs: list[tuple[str, str]]) -> None:
    text = "".join(f"{key}: {value}\n" for key, value in pairs)
    files = [
        LibraryFile(MAP_PATH, text.encode()),
        LibraryFile(JOB_PATH, text.encode()),
        LibraryFile("lib/anywhere/x.yaml", text.encode()),
    ]
    assert check_library(files, lambda path: None).findings


LINES = JOB.splitlines(keepends=True)
MAP_LINES = MAP.splitlines(keepends=True)


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_damaged_text_never_fails(data: st.DataObject) -> None:
    """A line cut, doubled, swapped or shortened anywhere in a real text."""
    texts = []
    for lines in (MAP_LINES, LINES):
        place = data.draw(st.integers(0, len(lines) - 1))
        line = lines[place]
        cut = data.draw(st.integers(0, len(line)))
        how = data.draw(st.sampled_from(["whole", "cut", "gone", "twice", "swap"]))
        damaged = {
            "whole": [line],
            "cut": [line[:cut] + "\n"],
            "gone": [],
            "twice": [line, line],
            "swap": [*lines[place + 1 : place + 2], line],
        }[how]
        texts.append("".join([*lines[:place], *damaged, *lines[place + 1 + (how == "swap") :]]))
    found_in(*texts)

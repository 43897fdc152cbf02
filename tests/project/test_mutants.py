"""Every hand-made fault of tests/bench/mutants still fits the tree, and names a test that is there."""

import subprocess
from pathlib import Path

import pytest
from tests.bench.mutants import ROOT, Mutant, mutants

PLACES = {"vitest": ROOT / "frontend", "pytest": ROOT}
LEAST = 30


def test_there_are_at_least_thirty_in_both_languages() -> None:
    assert len(mutants()) >= LEAST
    patches = [one.path.read_text(encoding="utf-8") for one in mutants()]
    assert sum("+++ b/frontend/" in text for text in patches) >= 15
    assert sum("+++ b/backend/" in text for text in patches) >= 8


@pytest.mark.parametrize("mutant", mutants(), ids=lambda one: one.name)
def test_it_applies_and_its_test_is_there(mutant: Mutant, tmp_path: Path) -> None:
    kind, target = mutant.caught_by
    path, _, test = target.partition("::")
    assert f"def {test}(" in (PLACES[kind] / path).read_text(encoding="utf-8") or not test
    assert mutant.words.endswith(".")
    for line in mutant.path.read_text(encoding="utf-8").splitlines():
        if line.startswith("+++ b/"):
            copy = tmp_path / line.removeprefix("+++ b/")
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes((ROOT / line.removeprefix("+++ b/")).read_bytes())
    done = subprocess.run(["git", "apply", "--check", str(mutant.path)], cwd=tmp_path, capture_output=True, text=True,
                          env={"GIT_CEILING_DIRECTORIES": str(tmp_path.parent), "PATH": "/usr/bin:/bin"})
    assert done.returncode == 0, f"{mutant.name} no longer fits: write it anew. {done.stderr}"

"""The way out that is told is the shortest there is: on small jobs made at random it is compared with a search of every way."""

from random import Random

import pytest
from tests.domain.small_jobs import Pack, small_job
from tests.domain.way_out_search import shortest_by_trying

from benchtrail.domain.way_out import way_out


def some_place(random: Random, pack: Pack) -> tuple[list[str], list[str]]:
    """Ids of steps done and of steps left out, up to somewhere in the job."""
    ids = [step["id"] for step in pack["steps"]][:random.randrange(1, len(pack["steps"]))]
    skipped = random.sample(ids, min(len(ids), random.choice([0, 0, 0, 1, 2])))
    return [step for step in ids if step not in skipped], skipped


LONG = {23, 38, 43, 57, 78}  # so many ways that trying them takes seconds; they agree too


@pytest.mark.parametrize("seed", sorted(set(range(80)) - LONG))
def test_no_way_is_shorter_than_the_one_told(seed: int) -> None:
    random = Random(seed)
    pack = small_job(random)
    done, skipped = some_place(random, pack)
    found = way_out(pack, done, {"skipped": skipped, "outside": []})
    for aim, told in found.items():
        expected = shortest_by_trying(pack, done, skipped, aim)
        if told["shorter"] is None:
            assert expected is None, aim
        elif told["shorter"] == "now":
            assert expected == ((0, 0, 0), ()), aim
        else:
            assert expected is not None, aim
            way = told[told["shorter"]]  # type: ignore[literal-required]
            rows = [f"{row['verb']} {row['object']}" for row in way["rows"]]
            assert (way["untimed"], round(100 * way["minutes"]), len(rows)) == expected[0], f"{aim}: {rows}, not {expected[1]}"

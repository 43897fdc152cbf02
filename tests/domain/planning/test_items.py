"""From a map to a plan: units, single-use parts, fluids, poses, the bench, what follows, and broken maps."""

from __future__ import annotations

from typing import Any

import pytest
from tests.domain.planning.sample_machine import joint, machine, pack

from benchtrail.domain.planning.goals import read_goal
from benchtrail.domain.planning.plan import Plan, extra_work, least_plan, other_ways
from benchtrail.domain.planning.report import kept_in, leaving_units, operations, plan_data, renewals
from benchtrail.domain.planning.verify import faults_of
from benchtrail.domain.refused import Refused


def plan(text: str, *goals: str, start: str = "", **variant: Any) -> Plan:
    chosen = machine(text, **variant)
    found = least_plan(chosen, [goal.split() for goal in goals], [start.split()] if start else [])
    assert faults_of(found.problem, found.closure) == []
    return found


def acts(found: Plan) -> list[str]:
    return [key for key, _ in found.work]


COVER = """
parts:
  cover: {name: cover, minutes: 1, exit: [[out panel]]}
  gasket: {name: gasket, renew: always, number: G-1, minutes: 0.5, exit: [[out cover]]}
  panel: {name: panel, minutes: 0.5, when: year <= 2022}
  wheel: {name: wheel, minutes: 2}
joints:
""" + joint("cover_screws", "cover, gasket, frame", "holds: [oil], dry_in: [on_side]") + joint(
    "panel_clip", "panel, frame", "when: year <= 2022", "clip") + joint("drain_plug", "wheel, frame", "holds: [oil]") + """
fluids:
  oil: {name: oil, capacity_ml: 500, refill_ml: 450, drain: drain_plug, minutes: {drain: 4, fill: 3}}
poses:
  upright: {name: upright, family: stance, minutes: 1}
  on_side: {name: on its side, family: stance, minutes: 3, needs: [[set valve off]]}
settings:
  valve: {name: valve, values: ["on", "off"], start: "on", minutes: 0.5}
"""


def test_cover_is_taken_off_lying_down_because_that_is_cheaper_than_draining() -> None:
    found = plan(COVER, "out cover", year=2024)
    assert found.closure.cost_s == round((2 + 0.5 + 3 + 0.5 + 1) * 60)
    assert kept_in(found)[0] | {} == {"fluid": "oil", "name": "oil", "pose": "on_side", "joint": "cover_screws",
                                      "pose_name": "on its side", "joint_name": "cover screws"}
    assert acts(found)[0] == "set:valve=off"


def test_guarded_out_panel_is_not_in_the_way() -> None:
    with_panel, without = plan(COVER, "out cover", year=2022), plan(COVER, "out cover", year=2023)
    assert "go:panel" in acts(with_panel)
    assert with_panel.closure.cost_s - without.closure.cost_s == round(2.5 * 60)


def test_single_use_part_is_paid_once_bought_and_taken_off() -> None:
    found = plan(COVER, "out cover", "out gasket", year=2024)
    assert renewals(found) == [{"object": "gasket", "name": "gasket", "number": "G-1", "count": 1}]
    assert acts(plan(COVER, "out cover", year=2024))[-1] == "go:gasket"
    assert found.closure.cost_s == plan(COVER, "out cover", year=2024).closure.cost_s


def test_draining_wins_when_it_is_asked_for_anyway() -> None:
    found = plan(COVER, "out cover", "changed oil", year=2024)
    assert "pose:on_side" not in found.done
    assert kept_in(found) == []


def test_the_other_way_is_named_with_its_price() -> None:
    found = plan(COVER, "out cover", year=2024)
    ways = other_ways(found)
    drained = next(way for way in ways if "drained:oil" in way.instead)
    assert drained.more_s == round((4 + 3 + 2 - 3.5) * 60)
    assert "pose:on_side" in drained.without


UNIT = """
parts:
  box: {name: box, minutes: 1}
  carb: {name: carb, minutes: 1, exit: [[out tank]]}
  jet: {name: jet, renew: always, minutes: 0.2, exit: [[out carb]]}
  tank: {name: tank, minutes: 5}
units:
  box_with_carb: {name: box with carb, parts: [box, carb, jet], exit: [], minutes: 1}
joints:
""" + joint("box_bolts", "box, frame") + joint("boot", "carb, box", kind="clamp") + joint(
    "jet_thread", "jet, carb") + joint("tank_bolt", "tank, frame") + joint("manifold", "carb, frame", kind="clamp")


def test_unit_leaves_as_one_and_what_stays_on_it_is_said() -> None:
    found = plan(UNIT, "out carb")
    assert "go:box_with_carb" in acts(found)
    assert [part["part"] for part in leaving_units(found)[0]["stay_on_it"]] == ["box", "carb", "jet"]


def test_renewing_a_part_of_a_unit_frees_it_on_the_bench() -> None:
    found = plan(UNIT, "renewed jet")
    assert [act for act in acts(found) if act.startswith("free:")] == ["free:box_with_carb/jet"]
    assert "un:boot" not in found.done


def test_part_that_only_left_with_the_unit_is_not_out_of_the_way_of_its_neighbour() -> None:
    text = UNIT.replace("exit: [[out carb]]}", "exit: [[out box]]}")
    found = plan(text, "renewed jet")
    assert "free:box_with_carb/box" in acts(found) or "go:box" in acts(found)
    assert "un:boot" in found.done


HANG = """
parts:
  caliper: {name: caliper, minutes: 1, aside: [[undone bolts]], safety: brakes}
  hose: {name: hose, minutes: 1}
  wheel: {name: wheel, minutes: 2, exit: [[aside caliper], [out caliper]]}
joints:
""" + joint("bolts", "caliper, frame", "safety: brakes") + joint("banjo", "hose, caliper", "safety: brakes, holds: [fluid]") + joint(
    "axle", "wheel, frame") + """
fluids:
  fluid: {name: brake fluid, drain: banjo}
checks:
  firm: {name: firm lever, kind: test, minutes: 2}
follow_ons:
  after: {after: [undone bolts], needs: [firm], reason: pistons stand back}
"""


def test_hanging_aside_spares_the_hose_and_what_follows_is_paid() -> None:
    found = plan(HANG, "out wheel")
    assert "aside:caliper" in acts(found)
    assert "un:banjo" not in found.done
    data = plan_data(found)
    assert [entry["check"] for entry in data["rebuild_checks"]] == ["firm"]
    assert found.closure.cost_s == round((2 + 2 + 2 + 0.5 + 2) * 60)


def test_hung_aside_is_not_out() -> None:
    assert "un:banjo" in plan(HANG, "out caliper").done


def test_operations_carry_words_tool_and_minutes() -> None:
    first = operations(plan(HANG, "out wheel"))[0]
    assert first["words"] in ("undo the axle", "undo the bolts")
    assert first["minutes"] == 2


POSES = """
parts:
  plug: {name: plug, minutes: 1}
  lid: {name: lid, minutes: 1}
  core: {name: core, minutes: 1, exit: [[out lid, undone side_bolt]]}
  bolt_head: {name: bolt head, minutes: 1}
joints:
""" + joint("lid_screws", "lid, frame", "holds: [oil], dry_in: [on_left]") + joint(
    "side_bolt", "bolt_head, frame", "reach: [[out lid, pose on_right]]") + joint("drain", "plug, frame", "holds: [oil]") + """
fluids:
  oil: {name: oil, drain: drain, minutes: {drain: 30, fill: 30}}
poses:
  on_left: {name: on its left side, family: stance, minutes: 1}
  on_right: {name: on its right side, family: stance, minutes: 1}
"""


def test_pose_that_must_last_forbids_another_one_and_draining_is_chosen_instead() -> None:
    found = plan(POSES, "out core")
    assert "drained:oil" in found.done, "the lid opened on the left side cannot be turned to the right"
    assert found.closure.no_goods


def test_without_a_drain_there_is_no_order_and_the_reason_is_given() -> None:
    text = POSES.replace("drain: drain,", "")
    with pytest.raises(Refused) as refusal:
        plan(text, "out core")
    assert refusal.value.code == "plan_no_order"


def test_acts_in_the_other_pose_come_before_the_lid_is_opened() -> None:
    text = POSES.replace("reach: [[out lid, pose on_right]]", "reach: [[pose on_right]]")
    found = plan(text, "out core")
    assert acts(found).index("un:side_bolt") < acts(found).index("un:lid_screws")
    assert "drained:oil" not in found.done


def test_two_poses_in_one_condition_can_never_be_met() -> None:
    text = POSES.replace("reach: [[out lid, pose on_right]]", "reach: [[pose on_left, pose on_right]]")
    with pytest.raises(Refused) as refusal:
        plan(text, "out core")
    assert refusal.value.code == "plan_out_of_reach"


def test_a_joint_that_no_pose_lets_anyone_reach_is_no_goal_that_costs_nothing() -> None:
    text = POSES.replace("reach: [[out lid, pose on_right]]", "reach: [[pose on_left, pose on_right]]")
    with pytest.raises(Refused) as refusal:
        plan(text, "reach side_bolt")
    assert refusal.value.code == "plan_out_of_reach"


def test_pose_that_holds_at_the_start_costs_nothing() -> None:
    text = POSES.replace("reach: [[out lid, pose on_right]]", "reach: [[pose on_right]]")
    goal = "undone side_bolt"
    assert plan(text, goal).closure.cost_s - plan(text, goal, start="pose on_right").closure.cost_s == 60


def test_condition_on_something_unknown_is_a_broken_map() -> None:
    text = POSES.replace("reach: [[out lid, pose on_right]]", "reach: [[out lud]]")
    with pytest.raises(Refused) as refusal:
        plan(text, "out core")
    assert (refusal.value.code, refusal.value.values["literal"]) == ("plan_map_broken", "out lud")


def test_circular_access_names_the_circle() -> None:
    text = HANG.replace("exit: [[aside caliper], [out caliper]]", "exit: [[out hose]]").replace(
        "hose: {name: hose, minutes: 1}", "hose: {name: hose, minutes: 1, exit: [[out wheel]]}")
    with pytest.raises(Refused) as refusal:
        plan(text, "out wheel")
    assert refusal.value.code == "plan_circular_access"
    assert "out:hose" in str(refusal.value.values["circle"])


def test_due_task_costs_less_while_the_machine_is_apart() -> None:
    found = extra_work(machine(UNIT), [["out", "carb"]], {"jet": [["renewed", "jet"]], "tank": [["out", "tank"]],
                                                          "none": [["renewed", "box"]]})
    by_task = {extra.task: extra for extra in found}
    assert by_task["jet"].extra_s < by_task["jet"].alone_s
    assert by_task["tank"].extra_s <= by_task["tank"].alone_s
    assert [extra.extra_s for extra in found] == sorted(extra.extra_s for extra in found)


@pytest.mark.parametrize(("written", "code", "meant"), [
    ("out crab", "goal_unknown", "carb"), ("renewed jett", "goal_unknown", "jet"), ("loosen carb", "goal_unreadable", None),
    ("out", "goal_unreadable", None), ("out box with carb", "goal_unreadable", None),
    ("out box_with_crab", "goal_unknown", "box_with_carb")])
def test_goal_that_does_not_exist_gets_the_nearest_name(written: str, code: str, meant: str | None) -> None:
    with pytest.raises(Refused) as refusal:
        read_goal(pack(UNIT), written)
    assert refusal.value.code == code
    if meant:
        assert meant in str(refusal.value.values["meant"])

// One plan for the variants that share it: in words, as the command line tells it, beside the drawing.
import { type LayerBlock, PlanLayers } from "../drawings/plan-layers";
import { counted } from "./parts";
import { type Also, type Due, WhileApart } from "./plan-apart";

type Operation = {
  number: number;
  verb: string;
  object: string;
  words: string;
  tool_name: string | null;
  side: string | null;
  pose_names: Record<string, string>;
  layer: number;
  rests_on: number[];
};
type Named = { name: string };
type Plan = {
  minutes: number;
  at_least_minutes: number;
  proven: boolean;
  operations: Operation[];
  leaves_as_one: (Named & { unit: string; stay_on_it: Named[] })[];
  aside: Named[];
  drained: (Named & { refill_ml: number | null })[];
  kept_in: (Named & { joint: string; pose_name: string; joint_name: string })[];
  renew: (Named & { number: string | null; count: number })[];
  rebuild_checks: Named[];
  changes: { tools: number; sides: number; poses: number; cost: number; at_least: number; proven: boolean };
  other_ways: { minutes_more: number; instead: string[]; without: string[] }[];
};
type Group = { variants: string; not_here: string[]; plan: Plan; also: Also[] };
export type Found = { name: string; goals: string[]; groups: Group[]; without: string[] };

const upper = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
const names = (list: Named[]) => list.map(({ name }) => name).join(", ");

/** Each operation with the poses that the machine gets into for it. */
function withPoses(operations: Operation[]): { operation: Operation; poses: string[] }[] {
  let held: Record<string, string> = {};
  return operations.map((operation) => {
    const poses = Object.entries(operation.pose_names).filter(([family, pose]) => held[family] !== pose);
    held = { ...held, ...operation.pose_names };
    return { operation, poses: poses.map(([, pose]) => pose) };
  });
}

function blocksOf(plan: Plan): LayerBlock[] {
  return withPoses(plan.operations).map(({ operation, poses }) => {
    const unit = operation.verb === "remove" ? plan.leaves_as_one.find((one) => one.unit === operation.object) : undefined;
    const { number, words, verb, layer, rests_on } = operation;
    const keeps = plan.kept_in.filter(({ joint }) => verb === "undo" && joint === operation.object).map(({ name }) => name);
    return { number, words, verb, layer, restsOn: rests_on, poses, keeps, unit: unit ? unit.stay_on_it.map(({ name }) => name) : null };
  });
}

function Operations({ operations }: { operations: Operation[] }) {
  return (
    <ol class="plan-steps">
      {withPoses(operations).flatMap(({ operation, poses }) => [
        poses.length > 0 && (
          <li key={`pose ${operation.number}`} class="plan-pose">
            The machine: {poses.join(", ")}.
          </li>
        ),
        <li key={operation.number} value={operation.number}>
          {upper(operation.words)}
          {operation.tool_name && <span class="quiet"> · {operation.tool_name}</span>}
        </li>,
      ])}
    </ol>
  );
}

function Lists({ plan }: { plan: Plan }) {
  const line = (words: string, list: Named[]) =>
    list.length > 0 ? (
      <li>
        <b>{words}:</b> {names(list)}
      </li>
    ) : null;
  return (
    <ul class="plan-lists">
      {plan.leaves_as_one.map((unit) => (
        <li key={unit.unit}>
          <b>Leaves as one:</b> {unit.name}
          {unit.stay_on_it.length > 0 && ` (stay on it: ${names(unit.stay_on_it)})`}
        </li>
      ))}
      {line("Hung aside, still connected", plan.aside)}
      {plan.drained.map(({ name, refill_ml }) => (
        <li key={name}>
          <b>Drained:</b> {name}
          {refill_ml ? `, ${refill_ml} ml to fill again` : ", amount to fill again not on the map"}
        </li>
      ))}
      {plan.kept_in.map(({ name, joint_name, pose_name }) => (
        <li key={`${name} ${joint_name}`}>
          <b>Stays in:</b> {name}, under the {joint_name}, because the machine is {pose_name}
        </li>
      ))}
      {plan.renew.length > 0 && (
        <li>
          <b>To buy:</b> {plan.renew.map((one) => `${one.count > 1 ? `${one.count} × ` : ""}${one.name}${one.number ? ` (${one.number})` : ""}`).join(", ")}
        </li>
      )}
      {line("To do in the rebuild", plan.rebuild_checks)}
      <li>
        <b>Order:</b> {counted(plan.changes.tools, "change of tool", "changes of tool")}, {counted(plan.changes.sides, "change of side", "changes of side")},{" "}
        {counted(plan.changes.poses, "change of pose", "changes of pose")};{" "}
        {plan.changes.proven ? "proven the fewest" : `cost ${plan.changes.cost}, proven no less than ${plan.changes.at_least}`}.
      </li>
    </ul>
  );
}

function OtherWays({ ways }: { ways: Plan["other_ways"] }) {
  if (ways.length === 0) return null;
  return (
    <>
      <h3>Ways not taken</h3>
      <ul class="plan-lists">
        {ways.map(({ minutes_more, instead, without }) => (
          <li key={instead.join()}>
            <b>{minutes_more ? `${counted(minutes_more, "minute")} more:` : "Takes as long:"}</b> {instead.join("; ")}
            {without.length > 0 && ` instead of: ${without.join("; ")}`}
          </li>
        ))}
      </ul>
    </>
  );
}

type Props = { number: number; group: Group; goal: (text: string) => string; due: Due[] | null };

/** `due`: the services of the machine that is planned for; null when it is none of the register. */
export function PlanGroup({ number, group, goal, due }: Props) {
  const { plan, variants } = group;
  const proof = plan.proven
    ? "Proven: no plan on this map takes less."
    : `The best found in the time; proven no less than ${plan.at_least_minutes} minutes.`;
  return (
    <details class="card plan-group" open={number === 1}>
      <summary>
        <h2>{upper(variants)}</h2>
        <span>
          {counted(plan.operations.length, "operation")}, about {plan.minutes} minutes with the rebuild. {proof}
        </span>
      </summary>
      {group.not_here.map((text) => (
        <p key={text} class="look-word">
          Not on these machines, so not in this plan: {goal(text)}
        </p>
      ))}
      {plan.operations.length === 0 && <p>Nothing has to come off for this.</p>}
      <div class="plan-two">
        <section>
          <h3>In this order</h3>
          <Operations operations={plan.operations} />
          <Lists plan={plan} />
          <OtherWays ways={plan.other_ways} />
          <WhileApart also={group.also} due={due} />
        </section>
        {plan.operations.length > 0 && (
          <section>
            <h3>What comes off, in layers</h3>
            <p class="quiet">Layer 1 rests on nothing. Each further layer can begin once what it rests on is done; the numbers are those of the list.</p>
            <PlanLayers id={`layers-${number}`} name={`What comes off, in layers: ${variants}`} blocks={blocksOf(plan)} />
          </section>
        )}
      </div>
    </details>
  );
}

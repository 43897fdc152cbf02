/** What the carried kit can do, and whether to ride home. */
import { RideLadder, type Rung } from "../../../drawings/ride-ladder";
import type { Calculator } from "../calculator";
import type { Input } from "../fields";
import { KitCheck } from "../kit-check";
import { by } from "./by-service";

const RIDE: Record<string, string> = { ride: "Ride", slow: "Ride slowly", do_not_ride: "Do not ride" };
export const SAFETY_WORDS = [["normal", "None of these"], ["brakes", "Brakes"], ["steering", "Steering"], ["fuel", "Fuel"], ["wheels", "Wheels"], ["throttle", "Throttle"], ["lifting", "Lifting"]] as const;
const STATES = [
  ["by_lever", "Tightened by weight or scale"], ["not_final", "Not at its final torque"], ["undone", "Undone"], ["fluid_low", "Fluid low"], ["single_use_reused", "Single-use part used again"],
] as const;

type Concern = { name: string; safety: string; state: string };

/** Why: what it is, how it is, and what that means where life hangs on it. */
function reasonLine({ name, safety, state }: Concern): string {
  const how = (STATES.find(([key]) => key === state)?.[1] ?? state).toLowerCase();
  const of = safety === "normal" ? "" : `, and ${(SAFETY_WORDS.find(([key]) => key === safety)?.[1] ?? safety).toLowerCase()} must be right before riding`;
  return `${name}: ${how}${of}.`;
}

const LIMIT: Record<string, string> = {
  ride: "Nothing that was listed speaks against riding.",
  slow: "No speed and no distance is given, since none is published: stop after the first minutes, feel and look, and tighten at home with a torque wrench.",
  do_not_ride: "No speed is slow enough for this.",
};

/** Each with the verdict that it would have alone; with nothing listed that is drawn too. */
function rungsOf(concerns: readonly Concern[]): Rung[] {
  if (concerns.length === 0) return [{ name: "nothing is listed", how: "only what is listed is judged", so: RIDE["ride"] ?? "", verdict: "ride" }];
  return concerns.map((concern) => {
    const { verdict } = by("ride_home")({ concerns: [concern] }).values as { verdict: Rung["verdict"] };
    return { name: concern.name, how: STATES.find(([key]) => key === concern.state)?.[1].toLowerCase() ?? concern.state, so: RIDE[verdict] ?? verdict, verdict };
  });
}

export const KIT: Calculator[] = [
  {
    name: "kit-check", title: "What my kit can do", line: "Which steps of each procedure, what replaces what.", group: "trail",
    fields: [], work: by("kit_check"), said: () => ({ hero: { about: "", words: "" } }), room: KitCheck,
  },
  {
    name: "ride-home", title: "Ride home?", line: "After a repair on the trail, and why.", group: "trail",
    fields: [{
      kind: "rows", key: "concerns", label: "What is not as it should be", row: "concern", least: 0, most: 40, hint: "only what is listed is judged",
      columns: [{ kind: "text", key: "name", label: "Part or joint" }, { kind: "choice", key: "safety", label: "It belongs to", options: SAFETY_WORDS }, { kind: "choice", key: "state", label: "How it is", options: STATES }],
    }],
    work: (input: Input) => by("ride_home")(input),
    said: (values, input) => ({
      hero: { about: "From what is listed", words: RIDE[values.verdict] ?? values.verdict }, lines: [...(values.reasons as Concern[]).map(reasonLine), LIMIT[values.verdict] ?? ""],
      drawing: <RideLadder rungs={rungsOf(input["concerns"])} />,
      working: "The worst of what is listed decides; a safety joint that is not right means do not ride",
    }),
  },
];

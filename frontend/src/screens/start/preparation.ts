/** What to have ready before a job, as rows to tick, and what else must be known. Knows the pack and the machine; nothing of the page. */
import { forVariant } from "../../domain/bench-state";
import { figureInBoth } from "../../domain/figure-display";
import { derivedLists, type FluidRow, type NewItem, type ToolChoice } from "../../domain/job-lists";
import { variantOf } from "../../domain/variant";
import type { Caution, Literal, Machine, ProcedurePack } from "../../store/bench";
import { startWords as words } from "../../text/library-words";
import { sentence } from "../../text/say";
import { nameIn } from "../job/names";

export type PrepItem = { id: string; text: string; more: string };
export type Preparation = {
  steps: number;
  minutes: number;
  conditions: string[];
  cautions: Caution[];
  lists: { name: string; items: PrepItem[] }[];
};

export function preparation(whole: ProcedurePack, machine: Machine | null): Preparation {
  const pack = forVariant(whole, variantOf(machine));
  const { parts, single_use, tools, supplies, fluids } = derivedLists(pack);
  const used = new Set(pack.steps.flatMap((step) => step.cautions));
  return {
    steps: pack.steps.length,
    minutes: pack.steps.reduce((sum, step) => sum + (step.minutes ?? 0), 0),
    conditions: pack.start.map((literal) => conditionInWords(pack, literal)),
    cautions: oncePerText(Object.values(pack.cautions).filter(({ id }) => used.has(id))),
    lists: [
      { name: words.singleUse, items: single_use.map(partRow) },
      { name: words.parts, items: parts.map(partRow) },
      { name: words.tools, items: tools.map((choice) => toolRow(pack, choice)) },
      { name: words.fluids, items: fluids.map(fluidRow) },
      { name: words.supplies, items: supplies.map(({ id, name }) => ({ id, text: sentence(name), more: "" })) },
    ],
  };
}

const partRow = ({ id, name, number, count, certain }: NewItem): PrepItem => ({
  id,
  text: sentence(count > 1 ? `${count} × ${name}` : name),
  more: [number ?? "", certain ? "" : words.perhaps].filter(Boolean).join(", "),
});

const toolRow = (pack: ProcedurePack, { any }: ToolChoice): PrepItem => ({
  id: any.join(" "),
  text: sentence(any.map((id) => nameIn(pack, id)).join(" or ")),
  more: "",
});

const fluidRow = ({ id, name, specification, amount_ml }: FluidRow): PrepItem => ({
  id,
  text: sentence(name),
  more: [amount_ml === null ? words.amountUnknown : volumeInWords(amount_ml), specification ?? ""].filter(Boolean).join(", "),
});

/** "1050 ml (1.11 US qt)". */
export function volumeInWords(amountMl: number): string {
  const { main, other } = figureInBoth({ kind: "volume", as_published: `${amountMl} ml` });
  return `${main.text} ${main.unit}${other ? ` (${other.text} ${other.unit})` : ""}`;
}

function conditionInWords(pack: ProcedurePack, literal: Literal): string {
  const name = nameIn(pack, literal[1]);
  if (literal[0] === "pose") return sentence(name);
  if (literal[0] === "set") return sentence(words.setTo(name, literal[2] ?? ""));
  return sentence(words.already(name, literal[0]));
}

/** The same caution written at several steps stands once. */
function oncePerText(cautions: Caution[]): Caution[] {
  const seen = new Map(cautions.map((caution) => [`${caution.signal} ${caution.hazard}`, caution]));
  return [...seen.values()];
}

/** The machine form's text made into facts, or the sentences that say what is missing. Knows no storage and no page. */
import { guardHolds } from "../../domain/guards";
import type { MachineFacts, ModelPack, Option } from "../../store/bench";
import { machineWords as words } from "../../text/bench-words";

export type MachineText = { model: string; year: string; options: string[]; name: string; hours: string; serial: string };
export type MachineErrors = Partial<Record<keyof MachineText, string>>;
export const EMPTY: MachineText = { model: "", year: "", options: [], name: "", hours: "", serial: "" };

/** The options that exist in that year, those of a group together; with no year chosen, all. */
export function optionsIn(model: ModelPack, year: string): { group: string | null; options: Option[] }[] {
  const there = model.options.filter((option) => year === "" || guardHolds(option.when, { year: Number(year), options: [] }));
  const groups = [...new Set(there.map((option) => option.group))];
  return groups.map((group) => ({ group, options: there.filter((option) => option.group === group) }));
}

/** Hours as a number; null for an empty field, "wrong" for anything that is no number from 0 to 100 000. */
export function hoursOf(text: string): number | null | "wrong" {
  const plain = text
    .trim()
    .replace(/\s*h(ours)?$/i, "")
    .replace(",", ".");
  if (plain === "") return null;
  return /^\d{1,6}(\.\d+)?$/.test(plain) && Number(plain) <= 100_000 ? Number(plain) : "wrong";
}

export function machineErrors(text: MachineText, model: ModelPack | null): MachineErrors {
  const errors: MachineErrors = {};
  if (text.model === "" || !model) errors.model = words.modelMissing;
  if (text.year === "") errors.year = words.yearMissing;
  if (model && text.year !== "" && unchosenGroup(text, model)) errors.options = words.groupMissing;
  if (text.name.trim() === "") errors.name = words.nameMissing;
  if (hoursOf(text.hours) === "wrong") errors.hours = words.hoursWrong;
  return errors;
}

/** Of one group exactly one option is fitted (shared/README.md §2). */
const unchosenGroup = (text: MachineText, model: ModelPack): boolean =>
  optionsIn(model, text.year).some(({ group, options }) => group !== null && !options.some(({ id }) => text.options.includes(id)));

export function factsFrom(text: MachineText, model: ModelPack): MachineFacts {
  const there = new Set(optionsIn(model, text.year).flatMap(({ options }) => options.map(({ id }) => id)));
  const hours = hoursOf(text.hours);
  return {
    name: text.name.trim(),
    model: text.model,
    modelName: model.name,
    year: Number(text.year),
    options: text.options.filter((id) => there.has(id)),
    hours: hours === "wrong" ? null : hours,
    serial: text.serial.trim() || null,
  };
}

/** Picks or drops an option; of a group, the others go. */
export function withOption(text: MachineText, model: ModelPack, option: Option, picked: boolean): MachineText {
  const rivals = option.group === null ? [option.id] : model.options.filter(({ group }) => group === option.group).map(({ id }) => id);
  const others = text.options.filter((id) => !rivals.includes(id));
  return { ...text, options: picked ? [...others, option.id] : others };
}

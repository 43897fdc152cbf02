/** What the drawings say, for those who do not see them and beside those who do. */
import { numberText } from "../domain/rounding";
import type { Joint } from "../store/bench";
import { counted } from "./say";

type Place = { position: number; turn: number | null; lengthMm: number | null; label: string | null };

const lengthInWords = (mm: number | null): string => (mm === null ? "" : `${numberText(mm)} mm`);

export const ordinal = (n: number): string => {
  const last = n % 100 > 10 && n % 100 < 14 ? 0 : n % 10;
  return `${n}${["th", "st", "nd", "rd"][last] ?? "th"}`;
};

/** A label that begins with the place's own number is not said twice. */
const ownLabel = ({ position, label }: Place): string => label?.replace(new RegExp(`^${position}\\b[ ,:.]*`), "") ?? "";

export const patternWords = {
  beside: (hole: Place, lengths: boolean): string[] => [hole.turn === null ? "" : ordinal(hole.turn), lengths ? lengthInWords(hole.lengthMm) : ""].filter(Boolean),
  /** "place 3, top rear (2nd, 30 mm)" */
  place: (hole: Place): string => {
    const brackets = [hole.turn === null ? "" : ordinal(hole.turn), lengthInWords(hole.lengthMm)].filter(Boolean).join(", ");
    return `${[`place ${hole.position}`, ownLabel(hole)].filter(Boolean).join(", ")}${brackets && ` (${brackets})`}`;
  },
  label: (joint: Joint, holes: Place[], ordered: boolean): string => {
    const each = [...holes].sort((a, b) => (a.turn ?? a.position) - (b.turn ?? b.position)).map((hole) => patternWords.place(hole)).join("; ");
    return `${joint.name}: ${counted(holes.length, "place")}${ordered ? ", in the order to tighten" : ""}. ${each}.`;
  },
  ordered: "1st, 2nd … is the order to tighten.",
  unordered: "No order is asked for.",
  lengths: "Each length has its own place.",
  allTicked: "Every place is ticked",
  ticked: (n: number, all: number): string => `${n} of ${all} ticked`,
  takeBack: "Take back the last",
};

export const limitsWords = {
  label: (low: number | null, high: number | null, reading: number | null, unit: string) => {
    const room = [low === null ? "" : `at least ${numberText(low)} ${unit}`, high === null ? "" : `at most ${numberText(high)} ${unit}`].filter(Boolean).join(" and ");
    return `Allowed: ${room}.${reading === null ? "" : ` Reading: ${numberText(reading)} ${unit}.`}`;
  },
};

export const trayWords = {
  empty: "The tray is empty: nothing is off the machine.",
  parts: "Off the machine, the last one off on top",
  aside: "hung aside, still connected",
  renew: "goes in new",
  fasteners: "Fasteners in the tray",
  of: (count: number, mm: number | null) => `${count} × ${mm === null ? "no length given" : `${numberText(mm)} mm`}`,
  pieces: (count: number) => counted(count, "piece"),
};

export const wrenchWords = {
  label: (name: string, target: number, low: number, high: number, unit: string): string => `${name}: set to ${numberText(target)} ${unit} on its scale from ${numberText(low)} to ${numberText(high)} ${unit}.`,
  outOfReach: (name: string, low: number, high: number, unit: string): string => `The ${name} reads ${numberText(low)} to ${numberText(high)} ${unit} only: take another for this figure.`,
};

/** Where a job can be stopped, in words. Knows the view of a job and the rules of the way out; nothing of the page. */
import texts from "../../../../shared/texts/way-out.en.json";
import type { WayRow } from "../../domain/making-good";
import { NO_DOUBTS, type Doubts, type Row } from "../../domain/standing";
import { wayOut, type Aim, type Way, type WayOut } from "../../domain/way-out";
import type { ProcedurePack } from "../../store/bench";
import { stopWords as words, timeInWords, type WaySize } from "../../text/beside-words";
import { listed } from "../../text/say";
import type { JobView } from "../job/job-view";
import { nameIn } from "../job/names";

/** `step`: the one that tells how, of several the last: it holds the figure. */
export type ToDo = { text: string; step: { id: string; number: number } | null };
export type StopView = {
  aim: Aim;
  heading: string;
  /** What is to be done before; empty when it holds as it is. */
  first: string | null;
  rows: ToDo[];
  then: string;
  seeTo: string[];
  against: string[];
  unknown: string[];
  other: string | null;
  short: string;
};

/** Steps left out, and checks whose last reading was not within: what nobody can vouch for. */
function doubtsOf({ fold }: JobView): Doubts {
  const last = new Map(fold.readings.map(({ check, verdict }) => [check, verdict]));
  return {
    skipped: Object.keys(fold.skipped).filter((id) => !(id in fold.done)),
    outside: [...last].filter(([, verdict]) => verdict !== "within").map(([check]) => check),
  };
}

export const stopsOf = (view: JobView): StopView[] =>
  inAims(view.pack, wayOut(view.pack, Object.keys(view.fold.done), view.fold ? doubtsOf(view) : NO_DOUBTS));

/** Both ways out of a procedure once its first steps are done, with the shortest way of each; null when it holds or none is known. */
export function stopsAfter(pack: ProcedurePack, done: string[]): { stop: StopView; now: boolean; way: Way | null }[] {
  const ways = wayOut(pack, done);
  return inAims(pack, ways).map((stop) => ({ stop, now: ways[stop.aim].now, way: taking(ways[stop.aim]).taken }));
}

const inAims = (pack: ProcedurePack, ways: Record<Aim, WayOut>): StopView[] =>
  (["leave", "push"] as const).map((aim) => stopOf(pack, aim, ways[aim]));

function stopOf(pack: ProcedurePack, aim: Aim, way: WayOut): StopView {
  const { taken, other } = taking(way);
  return {
    aim,
    heading: words[aim],
    first: taken && words.first(sizeOf(taken)),
    rows: taken ? rowsOf(pack, taken) : [],
    then: way.now ? words.stands[aim] : taken ? words.on[aim] : words.none[aim],
    seeTo: seeToOf(pack, taken ? taken.see_to : way.now ? way.see_to : []),
    against: way.against.map((row) => inWords(pack, "against", row)),
    unknown: way.unknown.map((row) => inWords(pack, "unknown", row)),
    other: other && words.or(sizeOf(other)),
    short: way.now ? words.line.now : taken ? words.line.way(sizeOf(taken)) : words.line.none,
  };
}

/** The shortest way, and the other that is told beside it: of a mixed one the way back, which needs the least trust in what comes. */
function taking({ shorter, on, back, mixed }: WayOut): { taken: Way | null; other: Way | null } {
  if (shorter === "on") return { taken: on, other: back };
  if (shorter === "back") return { taken: back, other: on };
  return { taken: mixed, other: mixed && (back ?? on) };
}

function sizeOf({ rows, minutes, untimed }: Way): WaySize {
  const steps = rows.filter(isStep).length;
  return { steps, acts: rows.length - steps, stepFirst: rows.length > 0 && isStep(rows[0]!), time: timeInWords(minutes, untimed) };
}

const isStep = ({ verb }: WayRow): boolean => verb === "do";

function rowsOf(pack: ProcedurePack, { rows }: Way): ToDo[] {
  const at = (id: string | undefined) => (id === undefined ? null : { id, number: pack.steps.findIndex((step) => step.id === id) + 1 });
  return rows.map((row) => ({ text: isStep(row) ? nameOf(pack, row.object) : actInWords(pack, row.verb, row.object), step: at(row.steps.at(-1)) }));
}

function actInWords(pack: ProcedurePack, verb: string, object: string): string {
  const text = (texts.acts as Record<string, string>)[verb] ?? verb;
  const told = text.replace("{name}", nameOf(pack, object));
  return verb === "renew" ? `${told} (${words.newNeeded})` : told;
}

/** Openings are named together: there are often many. */
function seeToOf(pack: ProcedurePack, rows: Row[]): string[] {
  const open = rows.filter(({ code }) => code === "cover").map(({ object }) => nameOf(pack, object));
  const others = rows.filter(({ code }) => code !== "cover").map((row) => inWords(pack, "see_to", row));
  return [...(open.length > 0 ? [words.cover(listed(open))] : []), ...others];
}

function inWords(pack: ProcedurePack, kind: "against" | "unknown" | "see_to", { code, object }: Row): string {
  return ((texts[kind] as Record<string, string>)[code] ?? code).replace("{name}", nameOf(pack, object));
}

/** A follow-on is named by the checks it needs, a step by what it says. */
function nameOf(pack: ProcedurePack, object: string): string {
  const followOn = pack.follow_ons[object];
  if (followOn) return listed(followOn.needs.map((id) => nameIn(pack, id)));
  return pack.steps.find(({ id }) => id === object)?.say ?? nameIn(pack, object);
}

/** Tightening order: for holes on a circle, or holes measured one by one. */
import type { Around, Field, Input } from "../fields";
import { Refused } from "../../../domain/refused";
import type { Calculator } from "../calculator";
import { OrderDrawing } from "../order-drawing";
import { by } from "./bench";
import { length, torque } from "./shared";

const FULL = torque("target_nm", "Full torque", { hint: "as the maker prints it" });
const LOWEST = torque("wrench_low_nm", "Lowest mark of the wrench", { optional: true });

/** Places on a circle, the first on top, clockwise as seen. */
export function onCircle(count: number, diameterMm: number): [number, number][] {
  return Array.from({ length: count }, (_, n) => {
    const turn = (2 * Math.PI * n) / count - Math.PI / 2;
    return [(diameterMm / 2) * Math.cos(turn), (diameterMm / 2) * Math.sin(turn)];
  });
}

const HOLES: Field = {
  kind: "rows", key: "holes", label: "Holes", row: "hole", least: 1, most: 30, hint: "measured from any corner: to the right, and down",
  columns: [length("x", "To the right"), length("y", "Down"), length("length_mm", "Length of its fastener", { optional: true })],
};

type Placed = { at: [number, number]; length_mm: number | null; label: null };
const placed = (holes: Input[]): Placed[] => holes.map(({ x, y, length_mm }: Input) => ({ at: [x, y], length_mm: length_mm ?? null, label: null }));

const plan = (input: Input, positions: Placed[]) => by("tightening_plan")({ target_nm: input["target_nm"], wrench_low_nm: input["wrench_low_nm"] ?? 0, positions: positions.map(({ at }) => at) });

function saidOf(values: any, positions: Placed[], { place }: Around): ReturnType<Calculator["said"]> {
  const order = values.order as number[];
  return {
    hero: { about: `Hole to begin with, of ${order.length}`, text: String(order[0]), unit: "" },
    lines: [`Order: ${order.join(", ")}.`], below: <OrderDrawing key={JSON.stringify(values)} place={place} positions={positions} passes={values.passes} />,
  };
}

export const ORDER: Calculator[] = [
  {
    name: "tightening-circle", title: "Holes on a circle", line: "Crosswise, in stages, then once around.", group: "order",
    fields: [{ kind: "number", key: "count", label: "How many holes" }, length("diameter_mm", "Diameter of their circle", { start: "100 mm", hint: "need not be exact" }),
      { kind: "list", key: "lengths_mm", label: "Lengths of the fasteners", of: "length", unit: "mm", optional: true, hint: "from hole 1 clockwise, with ; in between; one for all" }, FULL, LOWEST],
    work: (input) => plan(input, circle(input)), said: (values, input, around) => saidOf(values, circle(input), around),
  },
  {
    name: "tightening-holes", title: "Holes of any cover", line: "Rectangle, row or irregular, from where they lie.", group: "order",
    fields: [HOLES, FULL, LOWEST], work: (input) => plan(input, placed(input["holes"])), said: (values, input, around) => saidOf(values, placed(input["holes"]), around),
  },
];

/** A count that is no whole number from 1 to 40 is given on as nothing, so that the calculation refuses it. */
function circle({ count, diameter_mm, lengths_mm = [] }: Input): Placed[] {
  const holes = Number.isInteger(count) && count >= 1 && count <= 40 ? onCircle(count, diameter_mm) : [];
  if (lengths_mm.length > 1 && lengths_mm.length !== holes.length) throw new Refused("lengths_not_holes", { lengths: String(lengths_mm.length), holes: String(holes.length) });
  return holes.map((at, n) => ({ at, length_mm: lengths_mm[lengths_mm.length === 1 ? 0 : n] ?? null, label: null }));
}

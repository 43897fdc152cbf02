/** In which order the drawing of a joint numbers its places: the map's own list, else the order generated for its pattern. */
import { Refused } from "../domain/refused";
import { tighteningOrder } from "../domain/tightening-order";
import type { Joint } from "../store/bench";

type Placed = Pick<Joint, "positions" | "order" | "pattern">;

/** Positions, counted from 1, in the order to tighten; null where the map asks for none, or where no order can be told. */
export function turnOrder({ positions, order, pattern }: Placed): number[] | null {
  if (positions.length < 2 || (order === null && (pattern === "any" || pattern === "listed"))) return null;
  try {
    const { values } = tighteningOrder({ positions: positions.map(({ at }) => at), listed: order });
    return pattern === "circle" && order === null ? values.around : values.order;
  } catch (error) {
    if (error instanceof Refused) return null;
    throw error;
  }
}

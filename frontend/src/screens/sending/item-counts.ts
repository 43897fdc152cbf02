/** How many entries and photos stand in each of the five states. Reads signals; call it inside a component or computed. */
import { itemState, jobs, journalOf, photosInHand, type ItemState } from "../../store/bench";

export type Counts = Record<ItemState, { entries: number; photos: number }>;

export function itemCounts(): Counts {
  const zero = () => ({ entries: 0, photos: 0 });
  const counts: Counts = { draft: zero(), saved: zero(), sending: zero(), received: zero(), attention: zero() };
  for (const { job } of jobs.value) {
    for (const event of journalOf(job).value) {
      counts[itemState(event.id)].entries += 1;
      if (event.kind === "PhotoTaken") counts[itemState(String(event.body["sha256"]))].photos += 1;
    }
  }
  for (const { message } of photosInHand.value) counts[message ? "attention" : "draft"].photos += 1;
  return counts;
}

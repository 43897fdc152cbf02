/** The door to what a job has beside its steps: the way out, the picture of what comes off, what else is due. It comes in one piece of its
 * own, kept on the phone with the app, so that no step waits for it. */
import type { ComponentChild, ComponentChildren } from "preact";
import { Problem, refusal } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { doorWords as words } from "../../text/door-words";

type Rooms = typeof import("./rooms");
let opened: Rooms | null = null;

async function open(): Promise<Rooms> {
  try {
    return (opened ??= await import("./rooms"));
  } catch (error) {
    throw refusal("piece_not_loaded", { detail: error instanceof Error ? error.message : String(error) });
  }
}

/** `meanwhile`: what stands there until the piece is read from the phone; without it, words. */
export function Beside({ show, meanwhile }: { show: (rooms: Rooms) => ComponentChild; meanwhile?: ComponentChildren }) {
  const { value, problem } = useLoaded("beside", open).value;
  const rooms = value ?? opened;
  if (rooms) return <>{show(rooms)}</>;
  if (meanwhile !== undefined) return <>{meanwhile}</>;
  return problem ? <Problem message={problem} /> : <p role="status">{words.openingPart}</p>;
}

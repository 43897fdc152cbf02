/** The tray of a job made ready for its drawing. Knows the view of a job; nothing of the page. */
import type { TrayFasteners, TrayPart } from "../../drawings/tray-drawing";
import type { JobView } from "./job-view";

/** Parts off or aside, the last one off first. */
export const partsOf = ({ tray }: JobView): TrayPart[] =>
  tray.parts
    .map(({ part, name, count, place, renew }) => ({
      id: part,
      name: count > 1 ? `${count} × ${name}` : name,
      aside: place === "aside",
      renew,
    }))
    .reverse();

export const fastenersOf = ({ tray, pack }: JobView): TrayFasteners[] =>
  tray.fasteners.map(({ joint, name, lengths, renew }) => ({
    id: joint,
    name,
    renew,
    threaded: pack.joints[joint]?.kind === "threaded",
    groups: lengths.map(({ count, length_mm }) => ({ count, lengthMm: length_mm })),
  }));

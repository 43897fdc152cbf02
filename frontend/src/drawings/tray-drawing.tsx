/** The tray: the parts off the machine as a stack with the last one off on top, and their fasteners drawn as long as they are. */
import { trayWords as words } from "../text/drawing-words";
import { Bolt } from "./bolt";

export type TrayPart = { id: string; name: string; aside: boolean; renew: boolean };
export type TrayFasteners = {
  id: string;
  name: string;
  threaded: boolean;
  renew: boolean;
  groups: { count: number; lengthMm: number | null }[];
};

export function TrayDrawing({ parts, fasteners }: { parts: TrayPart[]; fasteners: TrayFasteners[] }) {
  if (parts.length + fasteners.length === 0) return <p>{words.empty}</p>;
  return (
    <div class="tray">
      {parts.length > 0 && <h3>{words.parts}</h3>}
      <ol class="stack-of-parts">
        {parts.map(({ id, name, aside, renew }) => (
          <li key={id} class={renew ? "odd" : aside ? "aside" : ""}>
            {name}
            {(aside || renew) && <span class="small"> ({renew ? words.renew : words.aside})</span>}
          </li>
        ))}
      </ol>
      {fasteners.length > 0 && <h3>{words.fasteners}</h3>}
      <ul class="cells">
        {fasteners.map(({ id, name, threaded, renew, groups }) => (
          <li key={id}>
            <p>
              {name}
              {renew && <span class="small"> ({words.renew})</span>}
            </p>
            {groups.map(({ count, lengthMm }) => (
              <p key={lengthMm} class="cell-bolts">
                <Bolt lengthMm={lengthMm} threaded={threaded} />
                {threaded ? words.of(count, lengthMm) : words.pieces(count)}
              </p>
            ))}
          </li>
        ))}
      </ul>
    </div>
  );
}

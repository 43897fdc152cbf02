/** The head of a fastener: how far it turns on from snug, flat by flat; or its size across the flats with the threads it may have. */
import { drawnWords as words } from "../text/numbers-words";

const [X, Y] = [164, 96];

function headPath(sides: number, radius: number, turn: number): string {
  const corners = Array.from({ length: sides }, (_, n) => (turn + 180 / sides + (360 * n) / sides - 90) * (Math.PI / 180));
  return `${corners.map((at, n) => `${n ? "L" : "M"}${(X + radius * Math.cos(at)).toFixed(1)} ${(Y + radius * Math.sin(at)).toFixed(1)}`).join("")}Z`;
}

/** Turned from the dashed to the drawn head; a whole turn and more is told in words. */
export function FlatsTurned({ angleDeg, sides, text }: { angleDeg: number; sides: number; text: string }) {
  const shown = Math.min(angleDeg, 350);
  const at = (deg: number, radius: number) => `${(X + radius * Math.sin((deg * Math.PI) / 180)).toFixed(1)} ${(Y - radius * Math.cos((deg * Math.PI) / 180)).toFixed(1)}`;
  return (
    <svg class="drawing flats" viewBox="0 0 328 208" role="img" aria-label={words.turned(angleDeg, sides, text)}>
      <path class="before" d={headPath(sides, 56, 0)} />
      <path class="head" d={headPath(sides, 56, angleDeg)} />
      <path d={`M${at(0, 50)}L${at(0, 84)}`} class="before" />
      <path d={`M${at(angleDeg, 20)}L${at(angleDeg, 46)}`} />
      <path class="turn" d={`M${at(0, 76)}A76 76 0 ${shown > 180 ? 1 : 0} 1 ${at(shown, 76)}`} />
      <path class="tip" d="M0 0l-12 -7v14z" transform={`translate(${at(shown, 76)}) rotate(${shown})`} />
      <text x={X} y="200" text-anchor="middle" class="reading">
        {text}
      </text>
    </svg>
  );
}

/** The head to scale with each thread that it may sit on. */
export function SocketHead({ socketMm, diametersMm }: { socketMm: number; diametersMm: readonly number[] }) {
  const scale = 116 / socketMm;
  return (
    <svg class="drawing flats" viewBox="0 0 328 204" role="img" aria-label={words.head(socketMm, diametersMm)}>
      <path class="head" d={headPath(6, 58 / Math.cos(Math.PI / 6), 0)} />
      {diametersMm.map((mm) => (
        <circle key={mm} cx={X} cy={Y} r={(mm * scale) / 2} class="before" />
      ))}
      <path class="dimension" d={`M${X - 84} ${Y - 58}h-16M${X - 84} ${Y + 58}h-16M${X - 92} ${Y - 58}v116`} />
      <text x={X - 100} y={Y + 5} text-anchor="end">
        {words.acrossFlats(socketMm)}
      </text>
      <text x={X + 82} y={Y + 5} class="reading">
        {diametersMm.map((mm) => `M${mm}`).join(", ")}
      </text>
    </svg>
  );
}

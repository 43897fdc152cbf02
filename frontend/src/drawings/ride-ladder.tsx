/** What was listed before riding home, the worst first, each with its sign: a cross, a dash, a tick. The worst decides. */
import { drawnWords as words } from "../text/numbers-words";

/** `how` it is, and `so` in words what that alone would mean. */
export type Rung = { name: string; how: string; so: string; verdict: "ride" | "slow" | "do_not_ride" };
const SIGN: Record<Rung["verdict"], string> = { do_not_ride: "M-8 -8l16 16M8 -8l-16 16", slow: "M-9 0h18", ride: "M-9 0l6 7 11 -14" };
const ORDER = ["do_not_ride", "slow", "ride"];
const MOST = 12;
const STEP = 70;

export function RideLadder({ rungs }: { rungs: readonly Rung[] }) {
  const sorted = [...rungs].sort((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict));
  const shown = sorted.slice(0, MOST);
  return (
    <svg class="drawing ladder" viewBox={`0 0 328 ${shown.length * STEP + 2}`} role="img" aria-label={words.ladder(sorted)}>
      {shown.map(({ name, how, so, verdict }, n) => (
        <g key={n} class={verdict === sorted[0]?.verdict ? "decides" : ""}>
          <path class="box" d={`M12 ${n * STEP + 10}h40v40h-40z`} />
          <path class="sign" d={SIGN[verdict]} transform={`translate(32 ${n * STEP + 30})`} />
          {[so, name.length > 26 ? `${name.slice(0, 25)}…` : name, how].map((line, at) => (
            <text key={at} x="66" y={n * STEP + 18 + at * 19} class={at === 0 ? "reading" : ""}>
              {line}
            </text>
          ))}
        </g>
      ))}
    </svg>
  );
}

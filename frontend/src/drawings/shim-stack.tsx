/** One valve from the side: cam, gap, shim, valve stem. Gap and shim are drawn much thicker than they are, and say their measure. */
import { drawnWords as words } from "../text/numbers-words";

export type ShimDrawn = { name: string; gapMm: number; shimMm: number; within: boolean };

export function ShimStack({ valves }: { valves: readonly ShimDrawn[] }) {
  const rows = valves.slice(0, 12);
  return (
    <svg class="drawing shims" viewBox={`0 0 328 ${rows.length * 126}`} role="img" aria-label={rows.map(words.shim).join(" ")}>
      {rows.map((valve, n) => (
        <Valve key={n} valve={valve} top={n * 126} />
      ))}
    </svg>
  );
}

function Valve({ valve, top }: { valve: ShimDrawn; top: number }) {
  const gap = Math.max(5, Math.min(22, valve.gapMm * 70));
  const shim = Math.max(8, Math.min(30, valve.shimMm * 9));
  const shimTop = top + 44 + gap;
  return (
    <g>
      <path class="cam" d={`M40 ${top + 4}a40 40 0 0 0 80 0z`} />
      <path class={valve.within ? "shim" : "shim odd"} d={`M50 ${shimTop}h60v${shim}h-60z`} />
      <path class="stem" d={`M66 ${shimTop + shim}h28V${top + 120}h-28z`} />
      <path class="dimension" d={`M120 ${top + 44}h14M120 ${shimTop}h14M134 ${shimTop + shim}h-14`} />
      <text x="142" y={top + 42}>
        {words.gap(valve.gapMm)}
      </text>
      <text x="142" y={shimTop + shim / 2 + 12} class="reading">
        {words.shimShort(valve.shimMm)}
      </text>
      <text x="142" y={top + 112}>
        {valve.name}
      </text>
    </g>
  );
}

/** What comes off, in layers: each part, unit, fluid or joint as a block, with where it is now as a shape and a word. What leaves as one has
 * a double edge. Nothing is told by colour. */
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { comesOffWords as words } from "../text/beside-words";
import { linesOf } from "./text-lines";

export type DrawnBlock = { number: number; name: string; as: string; more: string[]; state: string; layer: number; restsOn: number[] };

const SHAPES: Record<string, string> = {
  on: "M2 2h12v12H2z",
  off: "M2 11v3h12v-3M8 11V2M4.500 5.500L8 2l3.500 3.500",
  aside: "M1 2h14M8 2v5a4 4 0 1 1-4 4",
  loose: "M8 2a6 6 0 1 0 .01 0M8 2v12",
  back: "M2 8l4 4 8-9",
  drained: "M8 2c3 4 4.500 6 4.500 8a4.500 4.500 0 0 1-9 0c0-2 1.500-4 4.500-8z",
  unchecked: "M8 2c3 4 4.500 6 4.500 8a4.500 4.500 0 0 1-9 0c0-2 1.500-4 4.500-8zM3.500 9h9",
};
const [LINE, INSIDE, GAP, HEAD] = [17, 8, 8, 22];
// wider than any usual face at their sizes, so that a line never leaves its block; names are bold
const LETTERS: Record<string, number> = { name: 8.8, more: 7.4 };
const LEAST = 138;

type Row = { text: string; kind: "state" | "name" | "more" };
type Placed = { block: DrawnBlock; x: number; y: number; width: number; height: number; rows: Row[] };

function rowsOf(block: DrawnBlock, width: number): Row[] {
  const room = width - 2 * INSIDE;
  const rows = (text: string, kind: Row["kind"]): Row[] => linesOf(text, room / LETTERS[kind]!).map((line) => ({ text: line, kind }));
  const after = block.restsOn.length > 0 ? [words.after(block.restsOn)] : [];
  return [
    { text: `${block.number} · ${words.state[block.state] ?? block.state}`, kind: "state" },
    ...rows(block.name.charAt(0).toUpperCase() + block.name.slice(1), "name"),
    ...[...block.more, ...after].flatMap((text) => rows(text, "more")),
  ];
}

/** Where everything lies on a sheet of this width. */
export function laidOut(blocks: DrawnBlock[], width: number): { bands: { layer: number; y: number; height: number; blocks: Placed[] }[]; height: number } {
  const columns = Math.max(1, Math.floor((width - GAP) / (LEAST + GAP)));
  const blockWidth = (width - GAP) / columns - GAP;
  let y = 0;
  const bands = [...new Set(blocks.map(({ layer }) => layer))].sort((a, b) => a - b).map((layer) => {
    const mine = blocks.filter((block) => block.layer === layer);
    let top = y + HEAD;
    const placed: Placed[] = [];
    for (let from = 0; from < mine.length; from += columns) {
      const row = mine.slice(from, from + columns).map((block, column) => ({ block, rows: rowsOf(block, blockWidth), x: GAP + column * (blockWidth + GAP) }));
      const height = Math.max(...row.map(({ rows }) => rows.length)) * LINE + 2 * INSIDE;
      placed.push(...row.map((one) => ({ ...one, y: top, width: blockWidth, height })));
      top += height + GAP;
    }
    const band = { layer, y, height: top - y, blocks: placed };
    y = top + 4;
    return band;
  });
  return { bands, height: y };
}

function BlockShown({ block, x, y, width, height, rows }: Placed) {
  return (
    <g class={`off-block ${block.as} is-${block.state}`}>
      <rect x={x} y={y} width={width} height={height} />
      {block.as === "unit" && <rect class="inner" x={x + 3.5} y={y + 3.5} width={width - 7} height={height - 7} />}
      {rows.map((row, at) => (
        <text key={at} class={`off-${row.kind}`} x={x + INSIDE + (row.kind === "state" ? 20 : 0)} y={y + INSIDE + at * LINE + 13}>
          {row.text}
        </text>
      ))}
      <path class="off-mark" transform={`translate(${x + INSIDE} ${y + INSIDE + 1})`} d={SHAPES[block.state] ?? ""} />
    </g>
  );
}

/** The whole in sentences, for who cannot see it. */
export function inSentences(blocks: DrawnBlock[]): string {
  const layers = [...new Set(blocks.map(({ layer }) => layer))].sort((a, b) => a - b);
  const said = ({ number, name, more, state }: DrawnBlock) => `${number} ${name}${more.length ? ` (${more.join("; ")})` : ""}: ${words.state[state] ?? state}`;
  return layers.map((layer) => `${words.layer(layer)}. ${blocks.filter((block) => block.layer === layer).map(said).join("; ")}.`).join(" ");
}

export function ComesOffDrawing({ name, blocks }: { name: string; blocks: DrawnBlock[] }) {
  const frame = useRef<HTMLDivElement>(null);
  // one unit of the drawing is a pixel at the usual size of text, and grows with it
  const unit = useSignal(1);
  const width = useSignal(312);
  useEffect(() => {
    if (!frame.current || typeof ResizeObserver === "undefined") return;
    const watch = new ResizeObserver(([seen]) => {
      unit.value = Math.max(1, parseFloat(getComputedStyle(document.documentElement).fontSize) / 16 || 1);
      width.value = Math.max(150, Math.floor((seen?.contentRect.width ?? 312) / unit.value));
    });
    watch.observe(frame.current);
    return () => watch.disconnect();
  }, []);
  const { bands, height } = laidOut(blocks, width.value);
  return (
    <div ref={frame} class="off-frame">
      <svg class="off-drawing" width={width.value * unit.value} height={height * unit.value} viewBox={`0 0 ${width.value} ${height}`} role="img" aria-label={`${name}. ${inSentences(blocks)}`}>
        {bands.map((band) => (
          <g key={band.layer}>
            <rect class="off-band" x="0" y={band.y} width={width.value} height={band.height} />
            <text class="off-layer" x={GAP} y={band.y + 16}>
              {words.layer(band.layer)}
            </text>
            {band.blocks.map((placed) => (
              <BlockShown key={placed.block.number} {...placed} />
            ))}
          </g>
        ))}
      </svg>
    </div>
  );
}

/** What comes off, in layers from the outside in: each operation as a block in the layer of what it rests on. Every kind of act has a
 * mark of its own shape and its word; what leaves as one is one block around the parts that stay on it. Nothing is told by colour. */
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { linesOf } from "./text-lines";

export type LayerBlock = {
  number: number;
  words: string;
  verb: string;
  layer: number;
  restsOn: number[];
  /** Poses that the machine gets into for this operation. */
  poses: string[];
  /** Fluids that the pose keeps in, though this is opened under them. */
  keeps: string[];
  /** Names of the parts that leave with it, if it leaves as one; null if it is no unit. */
  unit: string[] | null;
};

type Mark = { word: string; path: string };
const MARKS: Record<string, Mark> = {
  undo: { word: "undo", path: "M8 1l6 3.5v7L8 15l-6-3.5v-7zM5.5 8h5" },
  remove: { word: "take off", path: "M2 10h12v4H2zM8 8V1M4.5 4.5L8 1l3.5 3.5" },
  hang: { word: "hang aside", path: "M8 1v5a4 4 0 1 1-4 4M1 1h14" },
  drain: { word: "drain", path: "M8 1c3 4 5 6.5 5 9a5 5 0 0 1-10 0c0-2.5 2-5 5-9z" },
  renew: { word: "renew", path: "M13 8a5 5 0 1 1-2-4M11 1v3.500H7.5" },
  check: { word: "check", path: "M1 8l7-7 7 7-7 7zM5 8l2.3 2.500L11 6" },
  set: { word: "set", path: "M2 3h12M2 8h12M2 13h12M5 1v4M11 6v4M7 11v4" },
};
const UNIT: Mark = { word: "leaves as one", path: "M1 1h14v14H1zM4 4h8v8H4z" };
const POSE = "M1 13h14M3 13l3-8 6 3M6 5a1.5 1.5 0 1 0 0-3 1.5 1.5 0 0 0 0 3";

const LINE = 18;
const INSIDE = 10;
const GAP = 10;
const HEAD = 24;
const LEAST_BLOCK = 210;
// wider than any usual face at 14 px, so that a line never leaves its block
const LETTER = 7.7;

type Row = { text: string; kind: "mark" | "words" | "part" | "pose" | "rests"; path?: string };
type Placed = { block: LayerBlock; x: number; y: number; width: number; height: number; rows: Row[] };
type Band = { layer: number; y: number; height: number; blocks: Placed[] };

const upper = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
const markOf = (block: LayerBlock): Mark => (block.unit ? UNIT : (MARKS[block.verb] ?? { word: block.verb, path: "M4 8h8" }));

function rowsOf(block: LayerBlock, width: number): Row[] {
  const room = width - 2 * INSIDE;
  const lines = (text: string, kind: Row["kind"], less = 0) => linesOf(text, (room - less) / LETTER).map((line) => ({ text: line, kind }));
  const mark = markOf(block);
  return [
    ...block.poses.flatMap((pose) =>
      lines(`machine: ${pose}`, "pose", 24).map((row, at) => (at === 0 ? { ...row, path: POSE } : row)),
    ),
    { text: `${block.number} · ${mark.word}`, kind: "mark", path: mark.path },
    ...lines(upper(block.words), "words"),
    ...block.keeps.flatMap((fluid) => lines(`stays in, not drained: ${fluid}`, "part")),
    ...(block.unit ?? []).flatMap((part) => lines(`stays on it: ${part}`, "part", 12)),
    ...(block.restsOn.length ? lines(`after ${block.restsOn.join(", ")}`, "rests") : []),
  ];
}

/** Where everything lies on a sheet of this width. */
export function layersLaid(blocks: LayerBlock[], width: number): { bands: Band[]; height: number } {
  const columns = Math.max(1, Math.floor((width - GAP) / (LEAST_BLOCK + GAP)));
  const blockWidth = (width - GAP) / columns - GAP;
  const bands: Band[] = [];
  let y = 0;
  for (const layer of [...new Set(blocks.map((block) => block.layer))].sort((a, b) => a - b)) {
    const band: Band = { layer, y, height: 0, blocks: [] };
    const mine = blocks.filter((block) => block.layer === layer);
    let top = y + HEAD;
    for (let from = 0; from < mine.length; from += columns) {
      const row = mine.slice(from, from + columns).map((block, column) => {
        const rows = rowsOf(block, blockWidth);
        return { block, rows, x: GAP + column * (blockWidth + GAP), y: top, width: blockWidth, height: rows.length * LINE + 2 * INSIDE };
      });
      const tallest = Math.max(...row.map((placed) => placed.height));
      band.blocks.push(...row.map((placed) => ({ ...placed, height: tallest })));
      top += tallest + GAP;
    }
    band.height = top - y;
    bands.push(band);
    y = top + 4;
  }
  return { bands, height: y };
}

function Block({ block, x, y, width, height, rows }: Placed) {
  return (
    <g class={`layer-block ${block.unit ? "as-one" : block.verb}`} data-number={block.number}>
      <rect x={x} y={y} width={width} height={height} />
      {block.unit && <rect class="inner" x={x + 4} y={y + 4} width={width - 8} height={height - 8} />}
      {rows.map((row, at) => {
        const top = y + INSIDE + at * LINE;
        const indent = row.kind === "mark" || row.kind === "pose" ? 24 : row.kind === "part" && block.unit ? 12 : 0;
        return (
          <g key={at}>
            {row.path && <path transform={`translate(${x + INSIDE} ${top + 1})`} d={row.path} />}
            <text class={`row-${row.kind}`} x={x + INSIDE + indent} y={top + 13}>
              {row.text}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** The whole in sentences, for who cannot see it. */
export function layersSaid(blocks: LayerBlock[]): string {
  const layers = [...new Set(blocks.map((block) => block.layer))].sort((a, b) => a - b);
  const said = (block: LayerBlock) =>
    `${block.number} ${block.words}` +
    (block.unit?.length ? ` with ${block.unit.join(", ")}` : "") +
    (block.keeps.length ? `, ${block.keeps.join(", ")} stays in` : "") +
    (block.poses.length ? `, machine ${block.poses.join(", ")}` : "");
  return layers.map((layer) => `Layer ${layer}: ${blocks.filter((block) => block.layer === layer).map(said).join("; ")}.`).join(" ");
}

export function PlanLayers({ id, name, blocks }: { id: string; name: string; blocks: LayerBlock[] }) {
  const frame = useRef<HTMLDivElement>(null);
  const width = useSignal(320);
  useEffect(() => {
    const watch = new ResizeObserver(([seen]) => (width.value = Math.max(230, Math.floor(seen?.contentRect.width ?? 320))));
    if (frame.current) watch.observe(frame.current);
    return () => watch.disconnect();
  }, []);
  const { bands, height } = layersLaid(blocks, width.value);
  return (
    <div ref={frame} class="layers-frame">
      <svg class="plan-layers" width={width.value} height={height} viewBox={`0 0 ${width.value} ${height}`} role="img" aria-labelledby={`${id}-t ${id}-d`}>
        <title id={`${id}-t`}>{name}</title>
        <desc id={`${id}-d`}>{layersSaid(blocks)}</desc>
        {bands.map((band) => (
          <g key={band.layer}>
            <rect class="layer-band" x="0" y={band.y} width={width.value} height={band.height} />
            <text class="layer-name" x={GAP} y={band.y + 17}>
              Layer {band.layer}
              {band.layer === 1 ? ": rests on nothing" : ""}
            </text>
            {band.blocks.map((placed) => (
              <Block key={placed.block.number} {...placed} />
            ))}
          </g>
        ))}
      </svg>
    </div>
  );
}

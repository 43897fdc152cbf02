// The face of a joint: where each fastener sits, placed by tapping on a photo or a blank face. Millimetres, x to the right, y down; hole 1 is the origin.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Editing } from "./editing";
import { tryEdit } from "./use-editing";
import { setValue, valueAt, type Value } from "./yaml-text";

type Hole = { [key: string]: Value };
type Point = [number, number];

const ORDER = ["at", "length_mm", "label", "blind"];
const MARGIN_SHARE = 0.12;

const pointOf = (hole: Hole): Point => {
  const at = hole["at"];
  return Array.isArray(at) ? [Number(at[0]) || 0, Number(at[1]) || 0] : [0, 0];
};

export function JointFace({ editing, joint, order }: { editing: Editing; joint: string; order: readonly string[] }) {
  const place = ["joints", joint, "positions"];
  const value = valueAt(editing.readable.value.data, place);
  const holes = (Array.isArray(value) ? value : []).filter((hole): hole is Hole => typeof hole === "object" && !Array.isArray(hole));
  const wide = useSignal(widthFor(holes));
  const origin = useSignal<Point | null>(null);
  const photo = useSignal("");
  const chosen = useSignal(-1);
  const moving = useSignal<Point | null>(null);
  const svg = useRef<SVGSVGElement>(null);
  useEffect(() => () => void (photo.peek() && URL.revokeObjectURL(photo.peek())), []);
  const put = (next: Hole[], field: string) => tryEdit(editing, (text) => setValue(text, place, next, order), `${place.join("/")} ${field}`);
  const [left, top] = origin.value ?? startOf(holes, wide.value);
  const tall = wide.value * 0.75;
  const at = (event: PointerEvent): Point => {
    const box = svg.current!.getBoundingClientRect();
    return [Math.round(((event.clientX - box.left) / box.width) * wide.value - left), Math.round(((event.clientY - box.top) / box.height) * tall - top)];
  };
  const tap = (event: PointerEvent) => {
    const point = at(event);
    const blank = holes.length === 1 && origin.value === null && photo.value !== "" && chosen.value === -1;
    if (holes.length === 0 || blank) {
      origin.value = [left + point[0], top + point[1]];
      put([{ ...(holes[0] ?? {}), at: ["0", "0"] }], "first");
      chosen.value = 0;
      return;
    }
    put([...holes, { at: point.map(String) }], "add");
    chosen.value = holes.length;
  };
  const moveTo = (n: number, point: Point) => put(holes.map((hole, m) => (m === n ? { ...hole, at: point.map(String) } : hole)), `move ${n}`);
  const onKey = (event: KeyboardEvent, n: number) => {
    const step = event.shiftKey ? 10 : 1;
    const by: Record<string, Point> = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] };
    const way = by[event.key];
    if (event.key === "Delete") takeOut(n);
    else if (way) moveTo(n, [pointOf(holes[n]!)[0] + way[0], pointOf(holes[n]!)[1] + way[1]]);
    else return;
    event.preventDefault();
  };
  const takeOut = (n: number) => {
    if (holes.length === 1) return;
    put(holes.filter((_, m) => m !== n), "out");
    chosen.value = -1;
  };
  /** What was tapped becomes as large as it is: one distance measured on the machine sets all of them. */
  const scale = (distance: number) => {
    const by = distance / apart(holes);
    if (!Number.isFinite(by) || by <= 0) return;
    origin.value = [left * by, top * by];
    wide.value = Math.round(wide.value * by * 10) / 10;
    put(holes.map((hole) => ({ ...hole, at: pointOf(hole).map((mm) => String(Math.round(mm * by * 10) / 10)) })), "scale");
  };
  const read = (file: File | undefined) => {
    if (photo.value) URL.revokeObjectURL(photo.value);
    photo.value = file ? URL.createObjectURL(file) : "";
  };
  const r = wide.value / 40;
  return (
    <fieldset class="joint-face">
      <legend>Where its fasteners sit</legend>
      <div class="in-line">
        <label class="file">
          A photo of the face, taken straight on
          <input type="file" accept="image/*" onChange={(e) => read(e.currentTarget.files?.[0])} />
        </label>
        <label>
          What is shown is so wide, mm
          <input type="number" step="any" min={10} max={3000} value={wide.value} onInput={(e) => (wide.value = Math.min(3000, Math.max(10, e.currentTarget.valueAsNumber || 200)))} />
        </label>
      </div>
      <p class="quiet">Tap where a fastener sits. The first is 0, 0; a chosen one moves by drawing it or with the arrow keys (with Shift by 10 mm).</p>
      {holes.length > 1 && apart(holes) > 0 && (
        <label class="face-scale">
          Measured from 1 to 2, middle to middle, mm
          <input type="number" min={1} max={3000} step="any" value={Math.round(apart(holes) * 10) / 10} onChange={(e) => scale(e.currentTarget.valueAsNumber)} />
        </label>
      )}
      <svg
        ref={svg}
        viewBox={`0 0 ${wide.value} ${tall}`}
        role="group"
        aria-label={`The face with ${holes.length} fasteners`}
        onPointerUp={(event) => {
          if (moving.value && chosen.value >= 0) {
            moveTo(chosen.value, at(event));
            moving.value = null;
          } else if (event.target === svg.current || (event.target as Element).classList.contains("face-ground")) tap(event);
        }}
        onPointerMove={(event) => moving.value && (moving.value = at(event))}
      >
        <rect class="face-ground" width={wide.value} height={tall} />
        {photo.value && <image class="face-ground" href={photo.value} width={wide.value} height={tall} preserveAspectRatio="xMidYMid meet" />}
        {holes.map((hole, n) => {
          const [x, y] = moving.value && chosen.value === n ? moving.value : pointOf(hole);
          return (
            <g
              key={n}
              class={chosen.value === n ? "face-hole chosen" : "face-hole"}
              tabIndex={0}
              role="button"
              aria-label={`Fastener ${n + 1} at ${x}, ${y} mm`}
              transform={`translate(${left + x} ${top + y})`}
              onPointerDown={(event) => {
                event.stopPropagation();
                chosen.value = n;
                moving.value = [x, y];
                svg.current!.setPointerCapture(event.pointerId);
              }}
              onFocus={() => (chosen.value = n)}
              onKeyDown={(event) => onKey(event, n)}
            >
              <circle r={r} />
              <text font-size={r * 1.2} dy={r * 0.42}>
                {n + 1}
              </text>
            </g>
          );
        })}
      </svg>
      <ol class="hole-rows">
        {holes.map((hole, n) => (
          <HoleRow key={n} hole={hole} n={n} many={holes.length > 1} put={(next) => put(holes.map((one, m) => (m === n ? next : one)), `hole ${n}`)} takeOut={() => takeOut(n)} />
        ))}
      </ol>
      <div class="step-acts">
        <button onClick={() => put([...holes, { at: [String(20 * holes.length), "0"] }], "add")}>Add a fastener</button>
      {holes.length > 1 && holes[0]!["length_mm"] && (
        <button onClick={() => put(holes.map((hole) => inOrder({ ...hole, length_mm: holes[0]!["length_mm"]! })), "all")}>All as long as the first</button>
      )}
      </div>
    </fieldset>
  );
}

function HoleRow({ hole, n, many, put, takeOut }: { hole: Hole; n: number; many: boolean; put: (hole: Hole) => void; takeOut: () => void }) {
  const [x, y] = pointOf(hole);
  const set = (key: string, value: string) => {
    const { [key]: _, ...rest } = hole;
    put(inOrder(value === "" ? rest : { ...rest, [key]: value }));
  };
  return (
    <li value={n + 1}>
      <label>
        x, mm
        <input type="number" value={x} onChange={(e) => put({ ...hole, at: [String(e.currentTarget.valueAsNumber || 0), String(y)] })} />
      </label>
      <label>
        y, mm
        <input type="number" value={y} onChange={(e) => put({ ...hole, at: [String(x), String(e.currentTarget.valueAsNumber || 0)] })} />
      </label>
      <label>
        Length, mm
        <input type="number" min={0.1} step="any" value={String(hole["length_mm"] ?? "")} onChange={(e) => set("length_mm", e.currentTarget.value)} />
      </label>
      <label>
        Where
        <input value={String(hole["label"] ?? "")} onChange={(e) => set("label", e.currentTarget.value.replace(/\s+/g, " ").trim())} />
      </label>
      <label class="tick-line">
        <input type="checkbox" checked={hole["blind"] === "true"} onChange={(e) => set("blind", e.currentTarget.checked ? "true" : "")} />
        Blind hole
      </label>
      <button disabled={!many} aria-label={`Take out fastener ${n + 1}`} onClick={takeOut}>
        Take out
      </button>
    </li>
  );
}

const apart = (holes: Hole[]): number => (holes.length < 2 ? 0 : Math.hypot(pointOf(holes[1]!)[0] - pointOf(holes[0]!)[0], pointOf(holes[1]!)[1] - pointOf(holes[0]!)[1]));

const inOrder = (hole: Hole): Hole => Object.fromEntries(Object.entries(hole).sort(([a], [b]) => ORDER.indexOf(a) - ORDER.indexOf(b)));

/** So wide that all holes are seen with a margin; the face is three quarters as tall. */
const widthFor = (holes: Hole[]): number => {
  const [across, down] = spread(holes);
  return Math.max(120, Math.ceil(across * 1.4), Math.ceil((down * 1.4) / 0.75));
};

function spread(holes: Hole[]): Point {
  const points = holes.map(pointOf);
  if (points.length === 0) return [0, 0];
  return [0, 1].map((axis) => Math.max(...points.map((point) => point[axis]!)) - Math.min(...points.map((point) => point[axis]!))) as Point;
}

/** Where hole 1 stands so that all holes are in the middle. */
function startOf(holes: Hole[], wide: number): Point {
  const points = holes.map(pointOf);
  const middle = (axis: 0 | 1) => (points.length === 0 ? 0 : (Math.max(...points.map((point) => point[axis])) + Math.min(...points.map((point) => point[axis]))) / 2);
  return points.length < 2 ? [wide * MARGIN_SHARE, wide * MARGIN_SHARE] : [wide / 2 - middle(0), (wide * 0.75) / 2 - middle(1)];
}

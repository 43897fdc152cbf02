// Crops a picture and draws arrows and numbers on it. What is taken is a new picture; the one it came from stays as it was.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { asJpeg, fitted, opened } from "./pictures";

type Point = [number, number];
type Mark = { kind: "arrow"; from: Point; to: Point } | { kind: "number"; at: Point; number: number };
type Box = { from: Point; to: Point };
type Tool = "arrow" | "number" | "crop";

const INK = "#c8102e";
const WORDS: Record<Tool, string> = { arrow: "Arrow: press where it begins, let go at its tip", number: "Number: press where it stands", crop: "Crop: draw a box round what stays" };

export function PictureMarks({ source, busy, take, close }: { source: Blob; busy: boolean; take: (made: Blob) => void; close: () => void }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const picture = useSignal<ImageBitmap | null>(null);
  const unreadable = useSignal(false);
  const tool = useSignal<Tool>("arrow");
  const marks = useSignal<Mark[]>([]);
  const crop = useSignal<Box | null>(null);
  const from = useSignal<Point | null>(null);
  const to = useSignal<Point | null>(null);
  useEffect(() => {
    let current = true;
    void opened(source).then((found) => {
      if (!current) return;
      picture.value = found;
      unreadable.value = found === null;
    });
    return () => void (current = false);
  }, [source]);
  useEffect(() => {
    if (canvas.current && picture.value) draw(canvas.current, picture.value, marks.value, crop.value, from.value && to.value && tool.value !== "number" ? { from: from.value, to: to.value } : null, tool.value);
  }, [picture.value, marks.value, crop.value, from.value, to.value]);
  const place = (event: PointerEvent): Point => {
    const box = canvas.current!.getBoundingClientRect();
    return [((event.clientX - box.left) / box.width) * canvas.current!.width, ((event.clientY - box.top) / box.height) * canvas.current!.height];
  };
  const down = (event: PointerEvent) => {
    event.preventDefault();
    canvas.current!.setPointerCapture(event.pointerId);
    from.value = to.value = place(event);
  };
  const up = (event: PointerEvent) => {
    if (!from.value) return;
    const [start, end] = [from.value, place(event)];
    from.value = to.value = null;
    const far = Math.hypot(end[0] - start[0], end[1] - start[1]) > 12;
    if (tool.value === "number") marks.value = [...marks.value, { kind: "number", at: end, number: marks.value.filter(({ kind }) => kind === "number").length + 1 }];
    else if (tool.value === "arrow" && far) marks.value = [...marks.value, { kind: "arrow", from: start, to: end }];
    else if (tool.value === "crop" && far) crop.value = { from: [Math.min(start[0], end[0]), Math.min(start[1], end[1])], to: [Math.max(start[0], end[0]), Math.max(start[1], end[1])] };
  };
  const done = async () => {
    const made = await flattened(picture.value!, marks.value, crop.value);
    if (made) take(made);
  };
  if (unreadable.value) return <p class="look-word">This file is no picture that can be shown. Choose a JPEG, PNG or WebP.</p>;
  return (
    <div class="picture-marks">
      <div role="group" aria-label="What to draw">
        {(["arrow", "number", "crop"] as const).map((one) => (
          <button key={one} aria-pressed={tool.value === one} onClick={() => (tool.value = one)}>
            {one === "arrow" ? "Arrow" : one === "number" ? "Number" : "Crop"}
          </button>
        ))}
        <button disabled={marks.value.length === 0} onClick={() => (marks.value = marks.value.slice(0, -1))}>
          Take the last mark back
        </button>
        <button disabled={!crop.value} onClick={() => (crop.value = null)}>
          Whole picture
        </button>
      </div>
      <p class="quiet">{WORDS[tool.value]}.</p>
      <canvas ref={canvas} role="img" aria-label={`The picture with ${marks.value.length} marks`} onPointerDown={down} onPointerMove={(e) => from.value && (to.value = place(e))} onPointerUp={up} />
      <div class="in-line">
        <button class="press" disabled={busy || !picture.value} onClick={() => void done()}>
          {busy ? "Sending …" : "Take this picture"}
        </button>
        <button onClick={close}>Leave it</button>
      </div>
    </div>
  );
}

function draw(canvas: HTMLCanvasElement, picture: ImageBitmap, marks: Mark[], crop: Box | null, moving: Box | null, tool: Tool): void {
  const [width, height] = fitted(picture.width, picture.height);
  canvas.width = width;
  canvas.height = height;
  const pen = canvas.getContext("2d")!;
  pen.drawImage(picture, 0, 0, width, height);
  for (const mark of marks) drawMark(pen, mark, width);
  if (moving && tool === "arrow") drawMark(pen, { kind: "arrow", ...moving }, width);
  const box = moving && tool === "crop" ? moving : crop;
  if (!box) return;
  pen.fillStyle = "rgba(0, 0, 0, 0.55)";
  const [x, y, w, h] = [Math.min(box.from[0], box.to[0]), Math.min(box.from[1], box.to[1]), Math.abs(box.to[0] - box.from[0]), Math.abs(box.to[1] - box.from[1])];
  pen.fillRect(0, 0, width, y);
  pen.fillRect(0, y + h, width, height - y - h);
  pen.fillRect(0, y, x, h);
  pen.fillRect(x + w, y, width - x - w, h);
}

function drawMark(pen: CanvasRenderingContext2D, mark: Mark, width: number): void {
  const size = Math.max(16, width / 28);
  pen.lineCap = "round";
  pen.lineJoin = "round";
  // a white rim keeps the mark legible on any picture
  for (const [colour, wide] of [["#ffffff", size / 2.2], [INK, size / 4]] as const) {
    pen.strokeStyle = colour;
    pen.lineWidth = wide;
    pen.beginPath();
    if (mark.kind === "arrow") {
      const turn = Math.atan2(mark.to[1] - mark.from[1], mark.to[0] - mark.from[0]);
      pen.moveTo(...mark.from);
      pen.lineTo(...mark.to);
      for (const side of [-1, 1]) {
        pen.moveTo(...mark.to);
        pen.lineTo(mark.to[0] - size * Math.cos(turn + side * 0.5), mark.to[1] - size * Math.sin(turn + side * 0.5));
      }
    } else pen.arc(mark.at[0], mark.at[1], size, 0, 2 * Math.PI);
    pen.stroke();
  }
  if (mark.kind !== "number") return;
  pen.beginPath();
  pen.fillStyle = "#ffffff";
  pen.arc(mark.at[0], mark.at[1], size, 0, 2 * Math.PI);
  pen.fill();
  pen.fillStyle = "#111111";
  pen.font = `bold ${size * 1.2}px sans-serif`;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  pen.fillText(String(mark.number), ...mark.at);
}

/** The picture with its marks, cut to the box, as one JPEG. */
async function flattened(picture: ImageBitmap, marks: Mark[], crop: Box | null): Promise<Blob | null> {
  const whole = document.createElement("canvas");
  draw(whole, picture, marks, null, null, "arrow");
  if (!crop) return asJpeg(whole);
  const cut = document.createElement("canvas");
  const [x, y] = [Math.max(0, crop.from[0]), Math.max(0, crop.from[1])];
  cut.width = Math.round(Math.min(whole.width, crop.to[0]) - x);
  cut.height = Math.round(Math.min(whole.height, crop.to[1]) - y);
  cut.getContext("2d")!.drawImage(whole, x, y, cut.width, cut.height, 0, 0, cut.width, cut.height);
  return asJpeg(cut);
}

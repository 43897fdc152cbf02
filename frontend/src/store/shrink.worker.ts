/**
 * Makes the copy of a picture that may leave the phone: at most 2048 px on its longer side, JPEG, upright, without any metadata.
 * A worker, because decoding 48 megapixels takes a second or more and the page must stay alive meanwhile.
 */
import { pictureSize, type Size } from "./picture-size";

export type ShrinkRequest = { id: number; data: ArrayBuffer; mime: string };
export type ShrinkReply =
  | { id: number; data: ArrayBuffer; width: number; height: number }
  | { id: number; failed: string };

const LONGEST_PX = 2048;
const QUALITY = 0.82;
const MOST_PIXELS = 48_500_000 * 1.05;

addEventListener("message", (event: MessageEvent<ShrinkRequest>) => {
  const { id, data, mime } = event.data;
  shrink(data, mime).then(
    (made) => postReply({ id, ...made }, [made.data]),
    (error: unknown) => postReply({ id, failed: error instanceof Error ? `${error.name}: ${error.message}` : String(error) }, []),
  );
});

function postReply(reply: ShrinkReply, transfer: Transferable[]): void {
  (postMessage as (message: unknown, transfer: Transferable[]) => void)(reply, transfer);
}

/**
 * Never drawn at full size: iOS draws nothing over 16.7 megapixels of canvas (offline.md 4.5). The browser decodes to the stored width
 * scaled down and turns the picture upright by its own reading of the orientation; a turned one comes out larger and is fitted when drawn.
 */
async function shrink(data: ArrayBuffer, mime: string): Promise<{ data: ArrayBuffer; width: number; height: number }> {
  const file = new Blob([data], { type: mime });
  const stored = await storedSize(data, file, mime);
  if (stored.width * stored.height > MOST_PIXELS) throw new RangeError(`${stored.width} × ${stored.height} pixels`);
  const scale = Math.min(1, LONGEST_PX / Math.max(stored.width, stored.height));
  const small = await createImageBitmap(file, { imageOrientation: "from-image", resizeWidth: Math.max(1, Math.round(stored.width * scale)), resizeQuality: "high" });
  const turned = small.width > small.height !== stored.width > stored.height;
  const [wide, high] = [stored.width, stored.height].map((side) => Math.max(1, Math.round(side * scale))) as [number, number];
  const [width, height] = turned ? [high, wide] : [wide, high];
  const blob = await encoded(small, width, height);
  await proved(blob, width, height);
  return { data: await blob.arrayBuffer(), width, height };
}

/** From the header where we can read it; a HEIC (which only some browsers decode) has to be decoded to learn its size. */
async function storedSize(data: ArrayBuffer, file: Blob, mime: string): Promise<Size> {
  if (mime !== "image/heic") {
    const size = pictureSize(new Uint8Array(data));
    if (!size || size.width === 0 || size.height === 0) throw new RangeError("no size in the file's header");
    return size;
  }
  const whole = await createImageBitmap(file);
  const { width, height } = whole;
  whole.close();
  return { width, height };
}

async function encoded(picture: ImageBitmap, width: number, height: number): Promise<Blob> {
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext("2d", { alpha: false });
  if (!context) throw new TypeError("no drawing surface");
  // white under transparent PNGs; black would hide dark line drawings
  context.fillStyle = "#fff";
  context.fillRect(0, 0, width, height);
  context.drawImage(picture, 0, 0, width, height);
  picture.close();
  return canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
}

/** Decodes the copy again: the original may only be given up for a copy that is known to open. */
async function proved(blob: Blob, width: number, height: number): Promise<void> {
  if (blob.type !== "image/jpeg") throw new TypeError(`made ${blob.type || "nothing"} instead of JPEG`);
  const again = await createImageBitmap(blob);
  const same = again.width === width && again.height === height;
  again.close();
  if (!same) throw new RangeError("the copy has another size");
}

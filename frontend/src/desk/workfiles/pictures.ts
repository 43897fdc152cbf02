// Pictures of a workfile: sent, listed, addressed. Knows the server's calls and how a picture is made small enough.
import { call } from "../api";

export type WorkPicture = { name: string; sha256: string; mime: string; bytes: number };

const LONG_SIDE = 1600;
const MOST_BYTES = 1_900_000;

export const pictureAddress = (workfile: string, name: string): string => `/api/v1/desk/workfiles/${workfile}/pictures/${encodeURIComponent(name.split("/").at(-1)!)}`;

export const picturesOf = async (workfile: string): Promise<WorkPicture[]> =>
  (await call<{ pictures: WorkPicture[] }>("GET", `/desk/workfiles/${workfile}/pictures`)).pictures;

export async function sendPicture(workfile: string, name: string, content: Blob): Promise<WorkPicture> {
  return call<WorkPicture>("POST", `/desk/workfiles/${workfile}/pictures`, { name, base64: await base64Of(content) });
}

async function base64Of(content: Blob): Promise<string> {
  const bytes = new Uint8Array(await content.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

/** A file as a picture to draw on; null when the browser cannot show it. */
export async function opened(file: Blob): Promise<ImageBitmap | null> {
  try {
    return await createImageBitmap(file);
  } catch {
    return null;
  }
}

/** What a canvas shows, as a JPEG that phones can load. */
export async function asJpeg(canvas: HTMLCanvasElement): Promise<Blob | null> {
  for (const quality of [0.9, 0.8, 0.65]) {
    const made = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (!made || made.size <= MOST_BYTES) return made;
  }
  return null;
}

export const fitted = (width: number, height: number): [number, number] => {
  const scale = Math.min(1, LONG_SIDE / Math.max(width, height));
  return [Math.round(width * scale), Math.round(height * scale)];
};

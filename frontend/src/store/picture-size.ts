/** Width and height of a picture from its header, so that a huge one is refused before it is decoded. Pure. */

export type Size = { width: number; height: number };

/** Pixels as stored (before any turning), or null when the header has none. `bytes`: JPEG, PNG or WebP. */
export function pictureSize(bytes: Uint8Array): Size | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  try {
    if (bytes[0] === 0xff) return jpegSize(view);
    if (bytes[0] === 0x89) return { width: view.getUint32(16), height: view.getUint32(20) };
    return webpSize(view);
  } catch {
    return null; // the header ends before the size: a truncated file
  }
}

/** Walks the segments to the frame header. Source: ITU-T T.81, B.1.1.4 and B.2.2 (SOF0 to SOF15 without DHT, JPG, DAC). */
function jpegSize(view: DataView): Size | null {
  for (let at = 2; view.getUint8(at) === 0xff; ) {
    const marker = view.getUint8(at + 1);
    const frame = marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
    if (frame) return { height: view.getUint16(at + 5), width: view.getUint16(at + 7) };
    at += marker === 0xff ? 1 : 2 + view.getUint16(at + 2);
  }
  return null;
}

/** Source: RFC 9649, section 2.7 (VP8X), 3.4 (VP8L); RFC 6386, section 9.1 (VP8 frame header). */
function webpSize(view: DataView): Size | null {
  const kind = String.fromCharCode(view.getUint8(12), view.getUint8(13), view.getUint8(14), view.getUint8(15));
  if (kind === "VP8 ") return { width: view.getUint16(26, true) & 0x3fff, height: view.getUint16(28, true) & 0x3fff };
  if (kind === "VP8L") {
    const bits = view.getUint32(21, true);
    return { width: 1 + (bits & 0x3fff), height: 1 + ((bits >> 14) & 0x3fff) };
  }
  if (kind === "VP8X") return { width: 1 + threeBytes(view, 24), height: 1 + threeBytes(view, 27) };
  return null;
}

function threeBytes(view: DataView, at: number): number {
  return view.getUint8(at) | (view.getUint8(at + 1) << 8) | (view.getUint8(at + 2) << 16);
}

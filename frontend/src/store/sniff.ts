/** What a file is, by its first bytes; names and declared types lie. Pure. */

export type Sniffed = "image/jpeg" | "image/png" | "image/webp" | "image/heic" | null;

const HEIC_BRANDS = new Set(["heic", "heix", "heim", "heis", "hevc", "mif1", "msf1", "avif"]);

/**
 * The kind of picture, or null for anything else.
 * Source: JPEG SOI marker (ITU-T T.81, B.1.1.3), PNG signature (RFC 2083, 3.1), WebP container (RFC 9649, 2.4), file type box (ISO/IEC 14496-12, 4.3).
 */
export function sniffed(head: Uint8Array): Sniffed {
  if (head[0] === 0xff && head[1] === 0xd8 && head[2] === 0xff) return "image/jpeg";
  if (startsWith(head, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return "image/png";
  if (text(head, 0, 4) === "RIFF" && text(head, 8, 12) === "WEBP") return "image/webp";
  if (text(head, 4, 8) === "ftyp" && HEIC_BRANDS.has(text(head, 8, 12))) return "image/heic";
  return null;
}

function startsWith(head: Uint8Array, signature: number[]): boolean {
  return signature.every((byte, at) => head[at] === byte);
}

function text(head: Uint8Array, from: number, to: number): string {
  return String.fromCharCode(...head.subarray(from, to));
}

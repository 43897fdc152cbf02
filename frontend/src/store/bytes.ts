/** Bytes, text and hashes. Knows encodings; nothing of what the bytes mean. */
import { refused } from "./refusal";

const encoder = new TextEncoder();

export type Bytes = Uint8Array<ArrayBuffer>;

/** UTF-8 bytes of a text. */
export function utf8(text: string): Bytes {
  return encoder.encode(text);
}

/** Lower-case hex SHA-256 of bytes or of a text's UTF-8. Refused("insecure_page") where the browser withholds Web Cryptography. */
export async function sha256Hex(data: ArrayBuffer | Bytes | string): Promise<string> {
  const bytes = typeof data === "string" ? utf8(data) : data;
  const digest = await subtle().digest("SHA-256", bytes);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Web Cryptography, which browsers give only to pages loaded over https or from this very device. */
export function subtle(): SubtleCrypto {
  const found: SubtleCrypto | undefined = globalThis.crypto?.subtle;
  if (!found) throw refused("insecure_page");
  return found;
}

/** Base64 of bytes, in slices so that a photo does not overflow the argument list. */
export function toBase64(data: ArrayBuffer | Bytes): string {
  const bytes = data instanceof Uint8Array ? data : new Uint8Array(data);
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

/** Bytes of a base64url text; null when it is not one. */
export function fromBase64Url(text: string): Bytes | null {
  if (!/^[A-Za-z0-9_-]*={0,2}$/.test(text)) return null;
  try {
    const plain = atob(text.replace(/=+$/, "").replace(/-/g, "+").replace(/_/g, "/"));
    return Uint8Array.from(plain, (char) => char.charCodeAt(0));
  } catch {
    return null;
  }
}

/** Hex SHA-256 as base64, as Upload-Checksum wants it. */
export function hexToBase64(hex: string): string {
  return toBase64(Uint8Array.from(hex.match(/../g) ?? [], (pair) => parseInt(pair, 16)));
}

export function isSha256(text: unknown): text is string {
  return typeof text === "string" && /^[0-9a-f]{64}$/.test(text);
}

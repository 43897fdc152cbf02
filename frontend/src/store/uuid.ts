/** Identifiers made on the phone. Knows RFC 9562; order never rests on them. */

/**
 * A UUID version 7: 48 bits of Unix time in ms, then random bits. `now_ms` 0 to 2^48 − 1.
 * Source: RFC 9562, section 5.7.
 */
export function uuidV7(nowMs: number, random: (bytes: Uint8Array<ArrayBuffer>) => void = (bytes) => void crypto.getRandomValues(bytes)): string {
  const bytes = new Uint8Array(16);
  random(bytes);
  let rest = Math.max(0, Math.floor(nowMs));
  for (let at = 5; at >= 0; at--) {
    bytes[at] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = 0x70 | (bytes[6]! & 0x0f);
  bytes[8] = 0x80 | (bytes[8]! & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/** The device's wall clock as ISO 8601 with its offset, to the second: "2026-11-25T07:15:00+01:00". */
export function wallText(nowMs: number, offsetMinutes: number = -new Date(nowMs).getTimezoneOffset()): string {
  const local = new Date(nowMs + offsetMinutes * 60_000).toISOString().slice(0, 19);
  const size = Math.abs(offsetMinutes);
  const two = (n: number) => String(Math.floor(n)).padStart(2, "0");
  return `${local}${offsetMinutes < 0 ? "-" : "+"}${two(size / 60)}:${two(size % 60)}`;
}

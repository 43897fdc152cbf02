/**
 * Hashes over events: of one envelope, and the digest by which two sides see that they hold the same events.
 * Knows canonical form and SHA-256 (shared/README.md §8 and §9); must not know what events mean. Asynchronous, as Web Cryptography is.
 */
import { canonicalJson } from "./canonical-json";

/** SHA-256 of the canonical JSON of the whole envelope, lower-case hex; `prev` of the device's next event. Throws Refused("no_canonical_form"). */
export async function eventHash(event: object): Promise<string> {
  return sha256Hex(canonicalJson(event));
}

/** Count and SHA-256 of the event ids, each once, sorted as ASCII, joined by line feeds. */
export async function jobDigest(ids: Iterable<string>): Promise<{ count: number; sha256: string }> {
  const once = [...new Set(ids)].sort();
  return { count: once.length, sha256: await sha256Hex(once.join("\n")) };
}

async function sha256Hex(text: string): Promise<string> {
  const bytes = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

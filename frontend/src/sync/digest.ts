/** The digest of a job: what both sides hold equal after each round. Pure but for Web Cryptography. */
import { sha256Hex } from "../store/bytes";

/** Count and SHA-256 of the event ids, sorted as ASCII, joined by line feeds (shared/README.md §9). */
export async function jobDigest(ids: string[]): Promise<{ count: number; sha256: string }> {
  const sorted = [...new Set(ids)].sort();
  return { count: sorted.length, sha256: await sha256Hex(sorted.join("\n")) };
}

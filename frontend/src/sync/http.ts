/**
 * Requests with a limit on time, and answers that are believed only when they come from a Benchtrail server.
 * Knows fetch and its faults; nothing of notes, photos or packs.
 */

/** Nothing usable came back: no connection, too slow, or an answer that only looks like one (a sign-in page answering for the dealer). */
export class Unreached extends Error {
  override name = "Unreached";
}

export type Reply = { status: number; body: unknown; retryAfterMs: number | null };

export const JSON_MS = 10_000;
export const STALL_MS = 15_000;
const LATEST_RETRY_MS = 3600_000;

export async function getJson(path: string, timeoutMs = JSON_MS): Promise<Reply> {
  return json(path, { method: "GET", headers: { Accept: "application/json" } }, timeoutMs);
}

export async function postJson(path: string, value: unknown, timeoutMs = JSON_MS): Promise<Reply> {
  const headers = { "Content-Type": "application/json", Accept: "application/json", "X-Benchtrail": "1" };
  return json(path, { method: "POST", headers, body: JSON.stringify(value) }, timeoutMs);
}

export async function deleteJson(path: string, timeoutMs = JSON_MS): Promise<Reply> {
  return json(path, { method: "DELETE", headers: { Accept: "application/json", "X-Benchtrail": "1" } }, timeoutMs);
}

async function json(path: string, init: RequestInit, timeoutMs: number): Promise<Reply> {
  return limited(timeoutMs, async (signal) => {
    const response = await fetch(path, { ...init, signal, cache: "no-store", credentials: "same-origin", redirect: "error" });
    // A captive portal answers 200 with HTML: only our own content type counts as an answer.
    if (!isJson(response.headers.get("Content-Type"))) throw new Unreached(`${path} answered ${response.status} without JSON`);
    return { status: response.status, body: await response.json(), retryAfterMs: retryAfterMs(response.headers.get("Retry-After"), Date.now()) };
  });
}

/** The bytes at a path, at most `limit` of them. Gives up after 15 s in which nothing arrives, so that a slow line is not a dead one. */
export async function getBytes(path: string, limit: number, onBytes: (count: number) => void, stop?: AbortSignal): Promise<ArrayBuffer | null> {
  const control = new AbortController();
  const halt = () => control.abort();
  stop?.addEventListener("abort", halt);
  let timer = setTimeout(halt, STALL_MS);
  try {
    const response = await fetch(path, { signal: control.signal, credentials: "same-origin", redirect: "error" });
    if (response.status === 404) return null;
    if (!response.ok || !response.body) throw new Unreached(`${path} answered ${response.status}`);
    return await collected(response.body, limit, (count) => {
      clearTimeout(timer);
      timer = setTimeout(halt, STALL_MS);
      onBytes(count);
    });
  } catch (error) {
    throw unreached(error);
  } finally {
    clearTimeout(timer);
    stop?.removeEventListener("abort", halt);
  }
}

async function collected(body: ReadableStream<Uint8Array>, limit: number, onBytes: (count: number) => void): Promise<ArrayBuffer> {
  const pieces: Uint8Array[] = [];
  let size = 0;
  const reader = body.getReader();
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    size += next.value.length;
    // one byte past the limit already proves that it is not what was announced; the verdict is the caller's
    pieces.push(next.value);
    onBytes(next.value.length);
    if (size > limit) {
      await reader.cancel();
      break;
    }
  }
  const whole = new Uint8Array(size);
  pieces.reduce((at, piece) => (whole.set(piece, at), at + piece.length), 0);
  return whole.buffer;
}

async function limited<T>(timeoutMs: number, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const control = new AbortController();
  const timer = setTimeout(() => control.abort(), timeoutMs);
  try {
    return await work(control.signal);
  } catch (error) {
    throw unreached(error);
  } finally {
    clearTimeout(timer);
  }
}

function unreached(error: unknown): Error {
  if (error instanceof Unreached) return error;
  return new Unreached(error instanceof Error ? `${error.name}: ${error.message}` : String(error));
}

export function isJson(contentType: string | null): boolean {
  return /^application\/(problem\+)?json\b/i.test(contentType ?? "");
}

/** How long the server asks to wait, from seconds or an HTTP date; at most an hour. Source: RFC 9110, section 10.2.3. */
export function retryAfterMs(header: string | null, nowMs: number): number | null {
  if (header === null) return null;
  const waitMs = /^\d+$/.test(header.trim()) ? Number(header) * 1000 : Date.parse(header) - nowMs;
  return Number.isNaN(waitMs) ? null : Math.min(Math.max(0, waitMs), LATEST_RETRY_MS);
}

/** Asks the server to repeat a random word: nothing that merely stands in the way can. Gives the server's time. */
export async function probe(nonce: string): Promise<number> {
  const reply = await getJson(`/api/v1/probe?nonce=${nonce}`);
  const body = reply.body as { benchtrail?: unknown; now?: unknown } | null;
  const nowMs = typeof body?.now === "string" ? Date.parse(body.now) : NaN;
  if (reply.status !== 200 || body?.benchtrail !== nonce || Number.isNaN(nowMs)) throw new Unreached("the probe's word did not come back");
  return nowMs;
}

export function newNonce(): string {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The engine's requests over HTTP (shared/README.md §9). Turns every fault of the way into Unreached; judges nothing else. */
import { hexToBase64, isSha256, toBase64, utf8, type Bytes } from "../store/bytes";
import type { JournalEvent } from "../store/pack-types";
import type { Answers, PhotoReceipt, PhotoToSend, Pulled, Result } from "./engine-types";
import { getJson, newNonce, postJson, probe, STALL_MS, Unreached, isJson, JSON_MS, retryAfterMs } from "./http";

/** Bytes of a photo, and their own hash. */
export type Piece = { data: Bytes; sha256: string };

/** What the runner needs from the network; the tests' simulated server implements the same. */
export interface Transport {
  probe(): Promise<Answers["probe"]>;
  push(events: JournalEvent[], waiting: number): Promise<Answers["push"]>;
  receipt(sha256: string): Promise<Answers["receipt"]>;
  create(photo: PhotoToSend, first: Piece | null): Promise<Answers["create"]>;
  offset(upload: string): Promise<Answers["offset"]>;
  piece(upload: string, offset: number, piece: Piece): Promise<Answers["piece"]>;
  pull(after: string | null): Promise<Answers["pull"]>;
  digest(job: string): Promise<Answers["digest"]>;
}

const TUS = { "Tus-Resumable": "1.0.0", "X-Benchtrail": "1" };
type Body = Record<string, unknown> | null;

export const httpTransport: Transport = {
  probe: async () => ({ serverMs: await probe(newNonce()) }),
  push: async (events, waiting) => {
    const { status, body, retryAfterMs } = await postJson("/api/v1/events", { events, waiting });
    const made = body as Body;
    const results = Array.isArray(made?.results) ? made.results.filter(isResult) : null;
    if (status !== 200 || results === null) return { status, retryAfterMs };
    return { status, retryAfterMs, results, high: typeof made?.high === "number" ? made.high : 0 };
  },
  receipt: async (sha256) => {
    const { status, body, retryAfterMs } = await getJson(`/api/v1/photos/${sha256}/receipt`);
    const receipt = status === 200 ? receiptOf(body) : null;
    return receipt ? { status, receipt } : { status, retryAfterMs };
  },
  create,
  offset: async (upload) => {
    const { status, headers } = await bare(upload, { method: "HEAD", headers: TUS });
    return { status, retryAfterMs: retryAfterMs(headers.get("Retry-After"), Date.now()), ...offsetOf(headers.get("Upload-Offset")) };
  },
  piece,
  pull: async (after) => {
    const { status, body, retryAfterMs } = await getJson(`/api/v1/events${after === null ? "" : `?after=${encodeURIComponent(after)}`}`);
    return status === 200 && isPulled(body) ? { status, pulled: body } : { status, retryAfterMs };
  },
  digest: async (job) => {
    const { status, body, retryAfterMs } = await getJson(`/api/v1/jobs/${job}/digest`);
    const made = body as Body;
    const sound = status === 200 && typeof made?.count === "number" && typeof made?.sha256 === "string";
    return sound ? { status, count: made.count as number, sha256: made.sha256 as string } : { status, retryAfterMs };
  },
};

async function create(photo: PhotoToSend, first: Piece | null): Promise<Answers["create"]> {
  const pairs = { sha256: photo.sha256, mime: photo.mime, job: photo.job };
  const metadata = Object.entries(pairs).map(([key, value]) => `${key} ${toBase64(utf8(value))}`).join(",");
  const { place, ...answer } = await carry("POST", "/api/v1/photos", { "Upload-Length": String(photo.bytes), "Upload-Metadata": metadata }, first);
  const upload = sameOriginPath(place);
  return { ...answer, ...(upload === null ? {} : { upload }) };
}

/** A redirect to another host would hand a customer's photo to it: only a path on our own server is followed. */
export function sameOriginPath(location: string | null, base: string = globalThis.location?.href ?? "http://phone.invalid/"): string | null {
  if (location === null) return null;
  try {
    const target = new URL(location, base);
    return target.origin === new URL(base).origin && target.pathname.startsWith("/api/v1/photos/") ? target.pathname : null;
  } catch {
    return null;
  }
}

async function bare(path: string, init: RequestInit): Promise<Response> {
  const control = new AbortController();
  const timer = setTimeout(() => control.abort(), JSON_MS);
  try {
    const response = await fetch(path, { ...init, signal: control.signal, cache: "no-store", credentials: "same-origin", redirect: "error" });
    if (!response.headers.has("Tus-Resumable") && !isJson(response.headers.get("Content-Type"))) throw new Unreached(`${path} was not answered by the dealer`);
    await response.arrayBuffer(); // empty, or an error's words; read to its end so that the connection is free again
    return response;
  } catch (error) {
    throw error instanceof Unreached ? error : new Unreached(String(error));
  } finally {
    clearTimeout(timer);
  }
}

function piece(upload: string, offset: number, piece: Piece): Promise<Answers["piece"]> {
  return carry("PATCH", upload, { "Upload-Offset": String(offset) }, piece);
}

/**
 * Carries bytes of a photo. XMLHttpRequest, because fetch does not say how far an upload is: on a slow line a piece may take long and still
 * be moving, and only 15 s without any progress is a dead line.
 */
function carry(method: string, path: string, about: Record<string, string>, piece: Piece | null): Promise<Answers["piece"] & { place: string | null }> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    let timer: ReturnType<typeof setTimeout>;
    const moved = () => {
      clearTimeout(timer);
      timer = setTimeout(() => request.abort(), STALL_MS);
    };
    const failed = (why: string) => () => (clearTimeout(timer), reject(new Unreached(`${method} ${path}: ${why}`)));
    const read = (name: string) => request.getResponseHeader(name);
    request.open(method, path);
    const bytes = piece === null ? {} : { "Content-Type": "application/offset+octet-stream", "Upload-Checksum": `sha256 ${hexToBase64(piece.sha256)}` };
    for (const [name, value] of Object.entries({ ...TUS, ...about, ...bytes })) request.setRequestHeader(name, value);
    request.upload.onprogress = moved;
    request.onerror = failed("connection lost");
    request.onabort = failed("no progress for 15 s");
    request.onload = () => {
      clearTimeout(timer);
      if (read("Tus-Resumable") === null && !isJson(read("Content-Type"))) return failed("not answered by the dealer")();
      const receipt = receiptOf(jsonOf(read("Benchtrail-Receipt")));
      resolve({
        status: request.status, retryAfterMs: retryAfterMs(read("Retry-After"), Date.now()), place: read("Location"), ...offsetOf(read("Upload-Offset")), ...(receipt && { receipt }),
      });
    };
    moved();
    request.send(piece?.data ?? null);
  });
}

function jsonOf(text: string | null): unknown {
  try {
    return text && JSON.parse(text);
  } catch {
    return null;
  }
}

/** Null for anything that is not a receipt, whole. */
function receiptOf(body: unknown): PhotoReceipt | null {
  const made = body as Partial<PhotoReceipt> | null;
  const sound = isSha256(made?.sha256) && typeof made?.bytes === "number" && typeof made.received_at === "string";
  return sound ? { sha256: made.sha256 as string, bytes: made.bytes as number, received_at: made.received_at as string } : null;
}

function offsetOf(header: string | null): { offset?: number } {
  return header !== null && /^\d+$/.test(header) ? { offset: Number(header) } : {};
}

const STATUSES = new Set(["stored", "duplicate", "quarantined"]);

function isResult(item: unknown): item is Result {
  const made = item as Partial<Result> | null;
  return typeof made?.id === "string" && typeof made.status === "string" && STATUSES.has(made.status) && isSha256(made.sha256) && typeof made.received_at === "string";
}

function isPulled(body: unknown): body is Pulled {
  const made = body as Partial<Pulled> | null;
  return Array.isArray(made?.events) && typeof made.cursor === "string" && typeof made.epoch === "string" && typeof made.more === "boolean";
}

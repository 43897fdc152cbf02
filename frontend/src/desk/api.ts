// The desk's calls to the server. Knows the error body and the write header; nothing of screens.

export type Message = { happened: string; means: string; do: string };

/** What the server refused, in its own three-part words. */
export class Problem extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    readonly words: Message,
    readonly values: Record<string, unknown> = {},
  ) {
    super(words.happened);
  }
}

const NOT_REACHED: Message = {
  happened: "The server did not answer.",
  means: "Nothing was changed.",
  do: "Check the connection, then do it again.",
};
const NOT_OURS: Message = {
  happened: "The answer did not come from the Benchtrail server.",
  means: "A network sign-in page may stand between. Nothing was changed.",
  do: "Open any other page to sign in to the network, then do it again.",
};

/** One call to `/api/v1`; answers the JSON body, or throws a Problem. */
export async function call<T>(method: "GET" | "POST" | "PATCH" | "DELETE", path: string, body?: unknown): Promise<T> {
  const headers: Record<string, string> = { Accept: "application/json" };
  if (method !== "GET") {
    headers["X-Benchtrail"] = "1";
    headers["Content-Type"] = "application/json";
  }
  const answer = await send(path, {
    method,
    headers,
    credentials: "same-origin",
    cache: "no-store",
    signal: AbortSignal.timeout(20_000),
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
  if (answer.status === 204) return undefined as T;
  const content = await readJson(answer);
  if (!answer.ok) throw problemOf(answer.status, content);
  return content as T;
}

/** A file to `/api/v1` as it is, whole; `more`: headers that differ. Answers and throws as `call`. */
export async function sendFile<T>(path: string, file: Blob, more: Record<string, string> = {}): Promise<T> {
  const answer = await send(path, {
    method: "POST",
    headers: { Accept: "application/json", "X-Benchtrail": "1", "Content-Type": "application/json", ...more },
    credentials: "same-origin",
    cache: "no-store",
    signal: AbortSignal.timeout(600_000),
    body: file,
  });
  const content = await readJson(answer);
  if (!answer.ok) throw problemOf(answer.status, content);
  return content as T;
}

async function send(path: string, request: RequestInit): Promise<Response> {
  try {
    return await fetch(`/api/v1${path}`, request);
  } catch {
    throw new Problem(0, "not_reached", NOT_REACHED);
  }
}

async function readJson(answer: Response): Promise<unknown> {
  if (!(answer.headers.get("Content-Type") ?? "").includes("json")) throw new Problem(answer.status, "not_ours", NOT_OURS);
  return answer.json();
}

function problemOf(status: number, content: unknown): Problem {
  const body = (content ?? {}) as { code?: string; message?: Message; values?: Record<string, unknown> };
  return new Problem(status, body.code ?? "unknown", body.message ?? NOT_OURS, body.values ?? {});
}

/** The words of anything thrown. */
export function wordsOf(error: unknown): Message {
  if (error instanceof Problem) return error.words;
  throw error;
}

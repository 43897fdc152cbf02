/** What a dealer's link to one procedure for one machine opens. Knows the server's answer; nothing of screens or of what is kept. */
import { postJson, Unreached } from "../sync/http";
import { BenchError, refused } from "./refusal";
import type { OpenedLink } from "./types";

/** Refused("link_not_reached"), or the server's own refusal with its words. */
export async function openJobLink(token: string): Promise<OpenedLink> {
  const reply = await postJson("/api/v1/job-links", { token }).catch((error: unknown) => {
    throw error instanceof Unreached ? refused("link_not_reached") : error;
  });
  const body = reply.body as OpenedLink & { code: string; message: { happened: string; means: string; do: string } };
  if (reply.status !== 200) throw new BenchError({ code: body.code, values: {}, ...body.message });
  return body;
}

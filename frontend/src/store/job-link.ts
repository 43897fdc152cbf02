/** What a dealer's link to one procedure for one machine opens. Knows the server's answer; nothing of screens or of what is kept. */
import { postJson, Unreached } from "../sync/http";
import { serverRefusal } from "./enrolment";
import { refused } from "./refusal";
import type { OpenedLink } from "./types";

/** Refused("library_not_reached"), or the server's own refusal with its words. */
export async function openJobLink(token: string): Promise<OpenedLink> {
  const { status, body } = await postJson("/api/v1/job-links", { token }).catch((error: unknown) => {
    throw error instanceof Unreached ? refused("library_not_reached") : error;
  });
  if (status !== 200) throw serverRefusal(body);
  return body as OpenedLink;
}

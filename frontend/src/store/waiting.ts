/** The outbox row of an event that is to be sent, for the first time or again. Pure. */
import { canonicalJson } from "../domain/canonical-json";
import { utf8 } from "./bytes";
import type { OutboxRow } from "./schema";

export function waitingAgain(event: { id: string; job: string; device: string; seq: number }): OutboxRow {
  return { id: event.id, kind: "event", job: event.job, device: event.device, order: event.seq, bytes: utf8(canonicalJson(event)).length, attention: null };
}

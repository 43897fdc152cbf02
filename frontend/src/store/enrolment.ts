/** Joining this phone to a dealer with a one-time code; the credential itself is a cookie that no script can read. */
import { postJson, Unreached } from "../sync/http";
import { announce } from "./changes";
import { readMeta, writeStrict } from "./database";
import { deviceId } from "./device";
import { rereadOutbox } from "./memory";
import { BenchError, message, refused } from "./refusal";
import type { EnrolmentRow } from "./schema";
import { enrolment } from "./signals";
import { wallText } from "./uuid";
import { wellFormed } from "./well-formed";

export async function showEnrolment(): Promise<void> {
  enrolment.value = (await readMeta("enrolment")) ?? null;
}

/** Refused("enrol_code_form"), ("enrol_label"), ("enrol_not_reached"), or the server's own refusal with its message. Gives the dealer's slug. */
export async function enrol(code: string, label: string): Promise<string> {
  const typed = code.toUpperCase().replace(/[\s-]/g, "");
  const name = wellFormed(label.trim());
  if (!/^[A-Z0-9]{8,64}$/.test(typed)) throw refused("enrol_code_form");
  if (name === "") throw refused("enrol_label");
  const body = await sent({ code: typed, device: await deviceId(), label: name });
  const row: EnrolmentRow = { dealer: body.dealer, label: body.label, device: body.device, enrolledWall: wallText(Date.now()), revoked: false };
  const before = await readMeta("enrolment");
  // another dealer's server knows nothing of the cursor and the comparisons made with the one before
  const afresh = before !== undefined && before.dealer !== row.dealer ? (["sync", "settled", "healed"] as const) : [];
  await writeStrict(["meta", "attention"], (tx) => Promise.all([
    tx.objectStore("meta").put(row, "enrolment"),
    ...afresh.map((key) => tx.objectStore("meta").delete(key)),
    ...["device-restored", "device-revoked"].map((id) => tx.objectStore("attention").delete(id)),
  ]));
  await told();
  return row.dealer;
}

async function sent(body: { code: string; device: string; label: string }): Promise<{ dealer: string; label: string; device: string }> {
  const reply = await postJson("/api/v1/devices/enrol", body).catch((error: unknown) => {
    throw error instanceof Unreached ? refused("enrol_not_reached") : error;
  });
  const made = reply.body as { dealer?: unknown; label?: unknown; device?: unknown } | null;
  if (reply.status !== 201) throw serverRefusal(reply.body);
  if (typeof made?.dealer !== "string" || typeof made.device !== "string") throw refused("enrol_answer");
  return { dealer: made.dealer, device: made.device, label: typeof made.label === "string" ? made.label : body.label };
}

/** The server's error body already holds its three sentences (shared/README.md §9). */
export function serverRefusal(body: unknown): BenchError {
  const made = body as { code?: unknown; values?: unknown; message?: { happened?: unknown; means?: unknown; do?: unknown } } | null;
  const { happened, means, do: act } = made?.message ?? {};
  if (typeof made?.code !== "string" || typeof happened !== "string" || typeof means !== "string" || typeof act !== "string") return refused("enrol_answer");
  return new BenchError({ code: made.code, values: {}, happened, means, do: act });
}

/**
 * The server no longer takes this phone's notes: they stay here, are counted as waiting, and go out after joining again.
 * Said and marked in one transaction: a word that stood alone would stay when a restored server takes the notes again.
 */
export async function markRevoked(): Promise<void> {
  const marked = await writeStrict(["meta", "attention"], async (tx) => {
    const row = (await tx.objectStore("meta").get("enrolment")) as EnrolmentRow | undefined;
    if (!row || row.revoked) return false;
    const trouble = { id: "device-revoked", job: null, what: "phone" as const, message: message("device_revoked", { dealer: row.dealer }) };
    await Promise.all([tx.objectStore("attention").put(trouble), tx.objectStore("meta").put({ ...row, revoked: true }, "enrolment")]);
    return true;
  });
  if (marked) await told();
}

async function told(): Promise<void> {
  await Promise.all([showEnrolment(), rereadOutbox()]);
  announce({ type: "changed", part: "enrolment" });
}

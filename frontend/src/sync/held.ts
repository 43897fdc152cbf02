/**
 * Telling the dealer which packs this phone keeps, so that the desk can say whom a change concerns. Told once for each change of what is
 * kept; when it does not go through, the next round tells it.
 */
import { sha256Hex } from "../store/bytes";
import { readMeta, writeMeta } from "../store/database";
import { heldHashes } from "../store/shelf";
import { postJson, Unreached } from "./http";

const MOST_PACKS = 2000;

export async function tellHeld(): Promise<void> {
  const [enrolment, sync, told, [packs]] = await Promise.all([readMeta("enrolment"), readMeta("sync"), readMeta("told"), heldHashes()]);
  if (!enrolment || enrolment.revoked) return;
  const held = [...packs].sort().slice(0, MOST_PACKS);
  // a server that was restored, or a phone with a new id, is told anew
  const now = await sha256Hex([sync?.epoch, enrolment.device, ...held].join("\n"));
  if (told === now) return;
  const reply = await postJson("/api/v1/devices/me/packs", { packs: held }).catch((error: unknown) => {
    if (error instanceof Unreached) return null;
    throw error;
  });
  if (reply?.status === 200) await writeMeta("told", now);
}

/** The engine's storage in memory: the same behaviour as outbox.ts, held to it by storage-contract.test.ts. For simulations of many phones. */
import { canonicalJson } from "../../domain/canonical-json";
import { sha256Hex, utf8, type Bytes } from "../../store/bytes";
import type { JournalEvent } from "../../store/pack-types";
import { jobDigest } from "../../domain/event-hash";
import type { Answers, JobDigest, PhotoReceipt, Pulled, Result } from "../engine-types";
import type { SyncStorage } from "../storage-port";

type Event = { event: JournalEvent; sha256: string; waiting: boolean; held: string | null; receipt: Result | null };
type Photo = { sha256: string; job: string; data: Bytes; upload: string | null; sent: boolean; held: string | null; receipt: PhotoReceipt | null };
export const BATCH_BYTES = 64_000;

export class MemoryStorage implements SyncStorage {
  events = new Map<string, Event>();
  photos = new Map<string, Photo>();
  sync = { cursor: null as string | null, epoch: null as string | null };
  settled = new Map<string, string>();
  healed = new Map<string, string>();
  troubles: string[] = [];
  enrolled = true;
  seq = 0;
  prev: string | null = null;
  constructor(readonly device: string) {}

  /** Records one event, as store/journal.ts does. */
  async record(job: string, kind: string, body: Record<string, unknown>, id: string = crypto.randomUUID()): Promise<JournalEvent> {
    const seq = ++this.seq;
    const event: JournalEvent = {
      id, device: this.device, seq, job, kind, body, hlc: `${String(seq).padStart(15, "0")}-0000-${this.device.slice(0, 8)}`,
      wall: "2026-11-25T08:00:00+00:00", pack: "a".repeat(64), prev: this.prev, schema: 1,
    };
    const sha256 = await sha256Hex(canonicalJson(event));
    this.prev = sha256;
    this.events.set(id, { event, sha256, waiting: true, held: null, receipt: null });
    return event;
  }

  async addPhoto(job: string, data: Bytes): Promise<string> {
    const sha256 = await sha256Hex(data);
    this.photos.set(sha256, { sha256, job, data, upload: null, sent: false, held: null, receipt: null });
    return sha256;
  }

  async batch(max: number): Promise<Answers["batch"]> {
    const waiting = [...this.events.values()].filter((row) => row.waiting);
    const free = waiting.filter((row) => row.held === null).sort((a, b) => (a.event.device === b.event.device ? a.event.seq - b.event.seq : a.event.device < b.event.device ? -1 : 1));
    const events: JournalEvent[] = [];
    let size = 0;
    for (const { event } of free.slice(0, max)) {
      size += utf8(canonicalJson(event)).length + 1;
      if (events.length > 0 && size > BATCH_BYTES) break;
      events.push(event);
    }
    const photos = [...this.photos.values()].filter((photo) => photo.receipt === null).length;
    return { enrolled: this.enrolled, epochKnown: this.sync.epoch !== null, events, left: waiting.length - events.length, photos };
  }

  async keepResults(results: Result[]): Promise<number> {
    const sound = results.filter((result) => this.events.get(result.id)?.sha256 === result.sha256);
    for (const result of sound) {
      const row = this.events.get(result.id)!;
      this.events.set(result.id, { ...row, waiting: false, receipt: result });
      if (result.status === "quarantined") this.troubles.push(result.id);
    }
    return sound.length;
  }

  async hold(what: "note" | "photo", id: string, code: string): Promise<void> {
    const rows: Map<string, { held: string | null }> = what === "note" ? this.events : this.photos;
    const row = rows.get(id);
    if (row) row.held = code;
  }

  async photo(skip: string[]): Promise<Answers["photo"]> {
    const ready = [...this.photos.values()].filter((photo) => photo.receipt === null && photo.held === null && !skip.includes(photo.sha256));
    const [first] = ready;
    if (!first) return { photo: null, left: 0 };
    return { photo: { sha256: first.sha256, bytes: first.data.length, mime: "image/jpeg", job: first.job, upload: first.upload, sent: first.sent }, left: ready.length - 1 };
  }

  async keepUpload(sha256: string, upload: string | null): Promise<void> {
    const photo = this.photos.get(sha256);
    if (photo) photo.upload = upload;
  }

  async piece(sha256: string, offset: number, bytes: number): Promise<{ data: Bytes; sha256: string } | null> {
    const photo = this.photos.get(sha256);
    if (!photo || (await sha256Hex(photo.data)) !== sha256) return null;
    const data = photo.data.slice(offset, offset + bytes);
    return { data, sha256: await sha256Hex(data) };
  }

  async keepReceipt(receipt: PhotoReceipt): Promise<boolean> {
    const photo = this.photos.get(receipt.sha256);
    if (!photo || photo.receipt !== null || photo.data.length !== receipt.bytes) return false;
    photo.receipt = receipt;
    return true;
  }

  async cursor(): Promise<string | null> {
    return this.sync.cursor;
  }

  async keepPulled(pulled: Pulled): Promise<boolean> {
    for (const event of pulled.events) {
      const sha256 = await sha256Hex(canonicalJson(event));
      const known = this.events.get(event.id);
      if (known && known.sha256 !== sha256) this.troubles.push(`differs:${event.id}`);
      if (!known) this.events.set(event.id, { event, sha256, waiting: false, held: null, receipt: null });
    }
    const restored = this.sync.epoch !== null && this.sync.epoch !== pulled.epoch;
    if (restored) {
      this.settled.clear();
      this.healed.clear();
      for (const photo of this.photos.values()) Object.assign(photo, { sent: photo.sent || photo.receipt !== null, receipt: null, upload: null });
    }
    this.sync = { cursor: pulled.cursor, epoch: pulled.epoch };
    return restored;
  }

  async restartPull(): Promise<void> {
    this.sync.cursor = null;
  }

  async compare(): Promise<JobDigest[]> {
    const jobs = new Set([...this.events.values()].map((row) => row.event.job));
    const open = new Set([...this.events.values()].filter((row) => row.waiting).map((row) => row.event.job));
    const all = await Promise.all([...jobs].filter((job) => !open.has(job)).map(async (job) => ({ job, ...(await jobDigest(this.idsOf(job))) })));
    return all.filter((mine) => this.settled.get(mine.job) !== mine.sha256);
  }

  idsOf(job: string): string[] {
    return [...this.events.values()].filter((row) => row.event.job === job).map((row) => row.event.id).sort();
  }

  async settle(mine: JobDigest): Promise<void> {
    this.settled.set(mine.job, mine.sha256);
    this.healed.delete(mine.job);
    this.troubles = this.troubles.filter((trouble) => trouble !== `job:${mine.job}`);
  }

  async heal(mine: JobDigest, theirs: { count: number; sha256: string }): Promise<boolean> {
    const difference = `${mine.count} ${mine.sha256} ${theirs.count} ${theirs.sha256}`;
    if (this.healed.get(mine.job) === difference) {
      this.troubles.push(`job:${mine.job}`);
      return false;
    }
    this.healed.set(mine.job, difference);
    for (const row of this.events.values()) if (row.event.job === mine.job && (row.receipt || row.event.kind === "ReplyWritten")) row.waiting = true;
    this.sync.cursor = null;
    return true;
  }
}

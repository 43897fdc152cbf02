/** The server's rules in memory (shared/README.md §9, services/receive_events.py), and a way to it that loses, doubles, delays and cuts. Tests only. */
import { canonicalJson } from "../../domain/canonical-json";
import { sha256Hex, type Bytes } from "../../store/bytes";
import type { JournalEvent } from "../../store/pack-types";
import { jobDigest } from "../../domain/event-hash";
import type { PhotoReceipt, Result } from "../engine-types";
import { Unreached } from "../http";
import type { Piece, Transport } from "../transport";
import type { Chance } from "./chance";

type Stored = { event: JournalEvent; sha256: string; position: number; received_at: string };
type Upload = { sha256: string; bytes: number; data: number[] };
type Held = { events: Map<string, Stored>; joins: Map<string, number>; photos: Map<string, Bytes>; uploads: Map<string, Upload>; quarantine: { id: string; sha256: string; device: string; job: string }[]; position: number };

export class SimulatedServer {
  held: Held = { events: new Map(), joins: new Map(), photos: new Map(), uploads: new Map(), quarantine: [], position: 0 };
  epoch = 1;
  stores = 0;
  pieceBytes = 0;
  poison = (_event: JournalEvent) => false;

  snapshot(): Held {
    return structuredClone(this.held);
  }
  /** The server comes back from a backup: what came later is gone, and the epoch says so. */
  restore(backup: Held): void {
    this.held = structuredClone(backup);
    this.epoch += 1;
  }

  async receive(device: string, events: JournalEvent[]): Promise<{ results: Result[]; high: number }> {
    const results: Result[] = [];
    for (const event of events) results.push(await this.receiveOne(device, event));
    return { results, high: 0 };
  }

  private async receiveOne(device: string, event: JournalEvent): Promise<Result> {
    const sha256 = await sha256Hex(canonicalJson(event));
    const result = (status: Result["status"], received_at = "2026-11-25T09:00:00Z", reason: string | null = null): Result => ({ id: event.id, status, sha256, received_at, reason });
    const known = this.held.events.get(event.id);
    const sameNumber = [...this.held.events.values()].find((other) => other.event.device === event.device && other.event.seq === event.seq);
    if (known?.sha256 === sha256) {
      this.join(device, event.job);
      return result("duplicate", known.received_at);
    }
    const reason = event.device !== device ? "event_of_another_device" : known ? "event_id_reused" : sameNumber ? "event_number_reused" : null;
    if (reason !== null) {
      if (!this.held.quarantine.some((kept) => kept.sha256 === sha256 && kept.device === device)) this.held.quarantine.push({ id: event.id, sha256, device, job: event.job });
      return result("quarantined", undefined, reason);
    }
    this.stores += 1;
    this.held.events.set(event.id, { event: structuredClone(event), sha256, position: ++this.held.position, received_at: "2026-11-25T09:00:00Z" });
    this.join(device, event.job);
    return result("stored");
  }

  join(device: string, job: string): void {
    const key = `${device} ${job}`;
    if (!this.held.joins.has(key)) this.held.joins.set(key, this.held.position);
  }

  pull(device: string, after: string | null) {
    const [epoch, seen, place] = (after ?? `${this.epoch}.0.0`).split(".").map(Number) as [number, number, number];
    if (epoch !== this.epoch) return { status: 409 };
    const visible = [...this.held.events.values()].flatMap((stored) => {
      const joined = this.held.joins.get(`${device} ${stored.event.job}`);
      return joined === undefined ? [] : [{ stored, seen: Math.max(stored.position, joined) }];
    });
    const due = visible.filter((one) => one.seen > seen || (one.seen === seen && one.stored.position > place)).sort((a, b) => a.seen - b.seen || a.stored.position - b.stored.position);
    const page = due.slice(0, 3);
    const last = page.at(-1);
    const cursor = last ? `${this.epoch}.${last.seen}.${last.stored.position}` : `${this.epoch}.${seen}.${place}`;
    return { status: 200, pulled: { events: page.map((one) => structuredClone(one.stored.event)), cursor, epoch: String(this.epoch), more: due.length > page.length } };
  }

  async digest(device: string, job: string) {
    const ids = [...this.held.events.values()].filter((stored) => stored.event.job === job).map((stored) => stored.event.id);
    const kept = this.held.quarantine.filter((item) => item.job === job && item.device === device).map((item) => item.id);
    if (!this.held.joins.has(`${device} ${job}`)) return { status: 404 };
    return { status: 200, ...(await jobDigest([...ids, ...kept])) };
  }

  receipt(sha256: string): { status: number; receipt?: PhotoReceipt } {
    const data = this.held.photos.get(sha256);
    return data ? { status: 200, receipt: { sha256, bytes: data.length, received_at: "2026-11-25T09:00:00Z" } } : { status: 404 };
  }

  async create(sha256: string, bytes: number, first: Piece | null) {
    if (this.held.photos.has(sha256)) return { status: 201, upload: `/api/v1/photos/${sha256}`, offset: bytes, ...this.receiptAlong(sha256) };
    const upload = `/api/v1/photos/u${this.held.uploads.size + 1}-${this.epoch}`;
    this.held.uploads.set(upload, { sha256, bytes, data: [] });
    return first === null ? { status: 201, upload } : { ...(await this.piece(upload, 0, first)), status: 201, upload };
  }

  private receiptAlong(sha256: string): { receipt?: PhotoReceipt } {
    const { receipt } = this.receipt(sha256);
    return receipt ? { receipt } : {};
  }

  offset(upload: string) {
    const photo = this.held.photos.get(upload.split("/").at(-1)!);
    if (photo) return { status: 200, offset: photo.length };
    const found = this.held.uploads.get(upload);
    return found ? { status: 200, offset: found.data.length } : { status: 404 };
  }

  async piece(upload: string, offset: number, { data, sha256 }: Piece) {
    const found = this.held.uploads.get(upload);
    this.pieceBytes += data.length;
    if (!found) return { status: 404 };
    if (found.data.length !== offset) return { status: 409 };
    if ((await sha256Hex(data)) !== sha256) return { status: 460 };
    for (const byte of data) found.data.push(byte);
    if (found.data.length === found.bytes) {
      const whole = Uint8Array.from(found.data);
      if ((await sha256Hex(whole)) !== found.sha256) return { status: 422 };
      this.held.photos.set(found.sha256, whole);
    }
    return { status: 204, offset: found.data.length, ...this.receiptAlong(found.sha256) };
  }
}

export const FAULTS = ["none", "request lost", "reply lost", "doubled", "late", "500 before", "500 after", "slow down", "sign-in page"] as const;
export type Fault = (typeof FAULTS)[number];

/** The way to the server for one phone. Each request meets the fault that `choose` names; "late" ones arrive before some later request. */
export function wayTo(server: SimulatedServer, device: string, choose: (call: string) => Fault, chance: Chance): Transport {
  const late: (() => Promise<unknown>)[] = [];
  const through = async <T extends { status?: number }>(call: string, work: () => Promise<T> | T): Promise<T> => {
    if (late.length > 0 && chance.often(0.5)) await late.splice(chance.below(late.length), 1)[0]!();
    switch (choose(call)) {
      case "none": return work();
      case "request lost": throw new Unreached(call);
      case "reply lost": await work(); throw new Unreached(call);
      case "sign-in page": throw new Unreached(call);
      case "doubled": await work(); return work();
      case "late": late.push(async () => work()); throw new Unreached(call);
      case "500 before": return { status: 500 } as T;
      case "500 after": await work(); return { status: 500 } as T;
      case "slow down": return { status: 429, retryAfterMs: 5000 } as unknown as T;
    }
  };
  return {
    probe: async () => {
      const { status } = await through("probe", () => ({ status: 200 }));
      if (status !== 200) throw new Unreached("probe");
      return { serverMs: Date.parse("2026-11-25T09:00:00Z") };
    },
    push: (events) => through("push", async () => {
      if (events.some((event) => server.poison(event))) return { status: 400 };
      return { status: 200, ...(await server.receive(device, structuredClone(events))) };
    }),
    pull: (after) => through("pull", () => server.pull(device, after)),
    digest: (job) => through("digest", () => server.digest(device, job)),
    receipt: (sha256) => through("receipt", () => server.receipt(sha256)),
    create: (photo, first) => through("create", () => server.create(photo.sha256, photo.bytes, first)),
    offset: (upload) => through("offset", () => server.offset(upload)),
    piece: (upload, offset, piece) => through("piece", () => server.piece(upload, offset, piece)),
  };
}

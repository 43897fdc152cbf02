import { describe, expect, test } from "vitest";
import { sha256Hex } from "../store/bytes";
import { PIECE_BYTES } from "./engine-photos";
import { newRunner, type Runner } from "./runner";
import { chanceOf, type Chance } from "./testing/chance";
import { MemoryStorage } from "./testing/memory-storage";
import { FAULTS, SimulatedServer, wayTo, type Fault } from "./testing/simulated-server";

/** One simulated phone: real engine and runner, storage in memory, a faulty way to the server, a clock that only moves when told. */
class Phone {
  storage: MemoryStorage;
  fault: (call: string) => Fault = () => "none";
  nowMs = 0;
  runner: Runner;
  notes: string[] = [];
  photos: string[] = [];
  constructor(readonly server: SimulatedServer, readonly chance: Chance, device: string) {
    this.storage = new MemoryStorage(device);
    this.runner = this.boot();
  }
  /** A page that died leaves nothing but its storage. */
  boot(): Runner {
    const transport = wayTo(this.server, this.storage.device, (call) => this.fault(call), this.chance);
    return newRunner(this.storage, transport, { nowMs: () => this.nowMs, chance: () => this.chance.next() }, () => undefined, () => undefined);
  }
  async round(): Promise<void> {
    this.nowMs += 120_000;
    this.runner.wake("timer");
    while (this.runner.busy()) await new Promise((go) => setImmediate(go));
  }
  async note(job: string, text: string): Promise<void> {
    this.notes.push((await this.storage.record(job, "NoteWritten", { step: null, text })).id);
  }
  async photo(job: string, size: number): Promise<void> {
    const data = new Uint8Array(size).map(() => this.chance.below(256));
    this.photos.push(await this.storage.addPhoto(job, data));
  }
}

async function settle(phones: Phone[]): Promise<void> {
  for (const phone of phones) phone.fault = () => "none";
  for (let turn = 0; turn < 6; turn++) for (const phone of phones) await phone.round();
}

/** Nothing lost, nothing doubled, everybody holds the same. */
async function check(server: SimulatedServer, phones: Phone[], jobs: string[]): Promise<void> {
  const numbers = [...server.held.events.values()].map((stored) => `${stored.event.device} ${stored.event.seq}`);
  expect(new Set(numbers).size).toBe(numbers.length);
  expect(server.held.quarantine).toEqual([]);
  for (const phone of phones) {
    for (const id of phone.notes) expect(server.held.events.get(id)?.sha256).toBe(phone.storage.events.get(id)?.sha256);
    for (const id of phone.notes) expect(phone.storage.events.get(id)).toMatchObject({ waiting: false, receipt: { id } });
    for (const sha256 of phone.photos) {
      expect(await sha256Hex(server.held.photos.get(sha256) ?? "")).toBe(sha256);
      expect(phone.storage.photos.get(sha256)?.receipt?.sha256).toBe(sha256);
    }
    expect(phone.storage.troubles).toEqual([]);
    for (const job of jobs.filter((candidate) => phone.storage.idsOf(candidate).length > 0)) {
      expect(phone.storage.idsOf(job)).toEqual([...server.held.events.values()].filter((stored) => stored.event.job === job).map((stored) => stored.event.id).sort());
    }
  }
}

const JOBS = ["11111111-0000-4000-8000-000000000000", "22222222-0000-4000-8000-000000000000"];
const DEVICES = ["aaaaaaaa-0000-4000-8000-000000000001", "bbbbbbbb-0000-4000-8000-000000000002", "cccccccc-0000-4000-8000-000000000003"];

/** One history: phones write, sync through faults, die and come back, the server is restored; then the faults end and all is counted. */
async function history(seed: number, steps: number): Promise<void> {
  const chance = chanceOf(seed);
  const server = new SimulatedServer();
  const phones = DEVICES.map((device) => new Phone(server, chance, device));
  let backup = server.snapshot();
  for (let step = 0; step < steps; step++) {
    const phone = chance.pick(phones);
    phone.fault = () => (chance.often(0.25) ? chance.pick(FAULTS) : "none");
    const act = chance.below(20);
    if (act < 8) await phone.note(chance.pick(JOBS), `note ${seed}.${step}`);
    else if (act < 10) await phone.photo(chance.pick(JOBS), 1 + chance.below(PIECE_BYTES / 32));
    else if (act === 10) phone.runner = phone.boot();
    else if (act === 11) backup = server.snapshot();
    else if (act === 12 && chance.often(0.3)) server.restore(backup);
    else await phone.round();
  }
  await settle(phones);
  await check(server, phones, JOBS);
}

describe("random histories of three phones on two jobs, with every fault at every request", () => {
  test.each(Array.from({ length: 60 }, (_, n) => n + 1))("seed %i: nothing lost, nothing doubled, all converge", async (seed) => {
    await history(seed, 60);
  });
});

describe("one fault, at each request of a round", () => {
  const CALLS = ["probe", "push", "receipt", "create", "piece", "pull", "digest"];
  test.each(CALLS.flatMap((call) => FAULTS.map((fault) => [call, fault] as const)))("%s: %s", async (call, fault) => {
    const chance = chanceOf(7);
    const server = new SimulatedServer();
    const phone = new Phone(server, chance, DEVICES[0]!);
    await phone.note(JOBS[0]!, "before");
    await phone.photo(JOBS[0]!, 1000);
    let times = 1;
    phone.fault = (now) => (now === call && times-- > 0 ? fault : "none");
    await phone.round();
    await phone.note(JOBS[0]!, "after");
    await settle([phone]);
    await check(server, [phone], JOBS);
    expect(server.stores).toBe(2);
  });
});

test("a photo cut at any piece sends at most one piece again", async () => {
  for (let cut = 1; cut <= 4; cut++) {
    const chance = chanceOf(cut);
    const server = new SimulatedServer();
    const phone = new Phone(server, chance, DEVICES[0]!);
    await phone.photo(JOBS[0]!, 3 * PIECE_BYTES + 5);
    let piece = 0;
    phone.fault = (call) => (call === "piece" && ++piece === cut ? "reply lost" : "none");
    await phone.round();
    await settle([phone]);
    expect(server.held.photos.size).toBe(1);
    expect(server.pieceBytes).toBeLessThanOrEqual(4 * PIECE_BYTES + 5);
  }
});

test("notes are on the server before the first photo begins", async () => {
  const server = new SimulatedServer();
  const phone = new Phone(server, chanceOf(1), DEVICES[0]!);
  await phone.photo(JOBS[0]!, 10);
  for (let n = 0; n < 150; n++) await phone.note(JOBS[0]!, String(n));
  const seen: number[] = [];
  phone.fault = (call) => {
    if (call === "create") seen.push(server.held.events.size);
    return "none";
  };
  await phone.round();
  expect(seen).toEqual([150]);
});

test("an event the server cannot take blocks none of the others and stays on the phone", async () => {
  const server = new SimulatedServer();
  const phone = new Phone(server, chanceOf(1), DEVICES[0]!);
  for (let n = 0; n < 30; n++) await phone.note(JOBS[0]!, String(n));
  server.poison = (event) => event.body.text === "17";
  for (let turn = 0; turn < 3; turn++) await phone.round();
  expect(server.held.events.size).toBe(29);
  const poison = [...phone.storage.events.values()].find((row) => row.event.body.text === "17");
  expect(poison).toMatchObject({ waiting: true, held: "note_refused" });
});

test("another fact under the same number is kept on both sides and shown", async () => {
  const server = new SimulatedServer();
  const phone = new Phone(server, chanceOf(1), DEVICES[0]!);
  const clone = new Phone(server, chanceOf(2), DEVICES[0]!);
  await phone.note(JOBS[0]!, "from the phone");
  await clone.note(JOBS[0]!, "from its clone");
  await phone.round();
  await clone.round();
  expect(server.held.quarantine).toMatchObject([{ id: clone.notes[0] }]);
  expect(clone.storage.troubles).toContain(clone.notes[0]);
  expect(clone.storage.events.get(clone.notes[0]!)?.event.body.text).toBe("from its clone");
});

test("after the server came back from an old backup, the phone sends again what it had lost", async () => {
  const server = new SimulatedServer();
  const phone = new Phone(server, chanceOf(1), DEVICES[0]!);
  await phone.note(JOBS[0]!, "one");
  await phone.round();
  const backup = server.snapshot();
  await phone.note(JOBS[0]!, "two");
  await phone.note(JOBS[1]!, "three");
  await phone.round();
  server.restore(backup);
  await settle([phone]);
  expect(server.held.events.size).toBe(3);
});

import { describe, expect, test } from "vitest";
import { advance, newEngine, PUSH_EVENTS } from "./engine";
import type { Answer, Answers, AskName, Effect, EngineState, Input, Tell, Why } from "./engine-types";
import type { JournalEvent } from "../store/pack-types";

const event = (id: string) => ({ id }) as JournalEvent;
const asked = (effects: Effect[]) => effects.find((effect) => "do" in effect)?.do ?? null;
const tells = (effects: Effect[], kind: Tell["tell"]) => effects.filter((effect): effect is Tell => "tell" in effect && effect.tell === kind);

/** Drives the engine by hand: wake, answer, lose. */
class Desk {
  state: EngineState = newEngine();
  effects: Effect[] = [];
  nowMs = 1_000_000;
  feed(input: Input): this {
    [this.state, this.effects] = advance(this.state, input, { nowMs: this.nowMs, chance: 0 });
    return this;
  }
  wake(why: Why = "saved"): this {
    return this.feed({ type: "wake", why });
  }
  answer<N extends AskName>(of: N, answer: Answers[N]): this {
    return this.feed({ type: "answer", answer: { ...answer, op: this.state.op, of } as unknown as Answer });
  }
  get asks(): string | null {
    return asked(this.effects);
  }
}

const toBatch = (why: Why = "start") => new Desk().wake(why).answer("probe", { serverMs: 5 });
const toPush = (ids: string[]) => toBatch().answer("batch", { enrolled: true, epochKnown: true, events: ids.map(event), left: 0, photos: 0 });
const nothing = { enrolled: true, epochKnown: true, events: [], left: 0, photos: 0 };

describe("a round", () => {
  test("probes, sends notes, then photos, then pulls, then compares, and ends", () => {
    const desk = new Desk().wake("start");
    const order: (string | null)[] = [desk.asks];
    order.push(desk.answer("probe", { serverMs: 5 }).asks);
    order.push(desk.answer("batch", { enrolled: true, epochKnown: true, events: [event("a")], left: 0, photos: 1 }).asks);
    order.push(desk.answer("push", { status: 200, results: [], high: 1 }).asks);
    order.push(desk.answer("keep-results", { settled: 1 }).asks);
    order.push(desk.answer("batch", nothing).asks);
    order.push(desk.answer("photo", { photo: null, left: 0 }).asks);
    order.push(desk.answer("pull", { status: 200, pulled: { events: [], cursor: "1", epoch: "e", more: false } }).asks);
    order.push(desk.answer("keep-pulled", { restored: false }).asks);
    order.push(desk.answer("compare", { jobs: [{ job: "j", count: 1, sha256: "s" }] }).asks);
    order.push(desk.answer("digest", { status: 200, count: 1, sha256: "s" }).asks);
    order.push(desk.answer("settle", {}).asks);
    expect(order).toEqual(["probe", "batch", "push", "keep-results", "batch", "photo", "pull", "keep-pulled", "compare", "digest", "settle", null]);
    expect(desk.state.open).toBeNull();
  });

  test("tells the server how much waits besides the batch", () => {
    const desk = toBatch().answer("batch", { enrolled: true, epochKnown: true, events: [event("a")], left: 3, photos: 2 });
    expect(desk.effects).toContainEqual(expect.objectContaining({ do: "push", waiting: 5 }));
  });

  test("of a phone that has not joined sends nothing and ends", () => {
    const desk = toBatch().answer("batch", { enrolled: false, epochKnown: true, events: [event("a")], left: 0, photos: 0 });
    expect([desk.asks, desk.state.open]).toEqual([null, null]);
  });

  test("that was woken in the middle goes round once more", () => {
    const desk = toBatch().wake("saved").answer("batch", { ...nothing, enrolled: false });
    expect(tells(desk.effects, "wake-in")).toHaveLength(1);
  });

  test("skips the probe when the server answered less than a minute ago, but not when the person asks", () => {
    const desk = toBatch().answer("batch", { ...nothing, enrolled: false });
    expect(desk.wake("saved").asks).toBe("batch");
    expect(toBatch().answer("batch", { ...nothing, enrolled: false }).wake("button").asks).toBe("probe");
  });
});

describe("an answer", () => {
  test("that comes twice is taken once", () => {
    const desk = toPush(["a"]);
    const op = desk.state.op;
    desk.answer("push", { status: 200, results: [], high: 0 });
    const [state, effects] = advance(desk.state, { type: "answer", answer: { of: "push", op, status: 200, results: [] } }, { nowMs: 0, chance: 0 });
    expect([state, effects]).toEqual([desk.state, []]);
  });

  test("that comes after the round was given up is passed over", () => {
    const desk = toPush(["a"]);
    const op = desk.state.op;
    desk.feed({ type: "lost", op });
    desk.feed({ type: "answer", answer: { of: "push", op, status: 200, results: [] } });
    expect(desk.effects).toEqual([]);
  });

  test("to an earlier question of the same kind is passed over", () => {
    const desk = toPush(["a"]);
    const op = desk.state.op;
    desk.feed({ type: "lost", op }).wake("button").answer("probe", { serverMs: 6 }).answer("batch", { ...nothing, events: [event("b")] });
    expect(desk.asks).toBe("push");
    desk.feed({ type: "answer", answer: { of: "push", op, status: 200, results: [], high: 0 } });
    expect([desk.effects, desk.state.open?.do]).toEqual([[], "push"]);
  });

  test("to another question than the open one is passed over", () => {
    const desk = toPush(["a"]);
    desk.answer("probe", { serverMs: 1 });
    expect(desk.effects).toEqual([]);
  });
});

describe("after a fault", () => {
  const delays = (chance: number) => {
    let state = newEngine();
    const found: number[] = [];
    for (let n = 0; n < 8; n++) {
      [state] = advance(state, { type: "wake", why: "button" }, { nowMs: 0, chance });
      const [next, effects] = advance(state, { type: "lost", op: state.op }, { nowMs: 0, chance });
      state = next;
      found.push((tells(effects, "wake-in")[0] as { delayMs: number }).delayMs);
    }
    return found;
  };

  test("the wait doubles from 2 s up to 45 s, and chance takes off up to half", () => {
    expect(delays(1)).toEqual([2000, 4000, 8000, 16000, 32000, 45000, 45000, 45000]);
    expect(delays(0)).toEqual([1000, 2000, 4000, 8000, 16000, 22500, 22500, 22500]);
  });

  test("a saved note does not cut the wait short; the person, or a returning connection, does", () => {
    const desk = new Desk().wake("start").feed({ type: "lost", op: 1 });
    expect(desk.wake("saved").asks).toBeNull();
    expect(desk.wake("online").asks).toBe("probe");
  });

  test("a server that asks to wait is not pressed, not even by the person", () => {
    const desk = toPush(["a"]).answer("push", { status: 429, retryAfterMs: 30_000 });
    expect(tells(desk.effects, "wake-in")).toEqual([{ tell: "wake-in", delayMs: 30_000 }]);
    expect(desk.wake("button").asks).toBeNull();
    desk.nowMs += 30_001;
    expect(desk.wake("timer").asks).not.toBeNull();
  });

  test.each([408, 423, 425, 429, 500, 502, 503])("of kind %i the batch is neither dropped nor taken apart", (status) => {
    const desk = toPush(["a", "b"]).answer("push", { status });
    expect([desk.asks, desk.state.pushLimit, desk.state.failures]).toEqual([null, PUSH_EVENTS, 1]);
  });

  test("401 ends the round, says that the phone was shut out, and plans nothing", () => {
    const desk = toPush(["a"]).answer("push", { status: 401 });
    expect(tells(desk.effects, "revoked")).toHaveLength(1);
    expect(tells(desk.effects, "wake-in")).toHaveLength(0);
  });

  test("of this phone's storage the round ends and the fault is said", () => {
    const desk = toPush(["a"]).answer("push", { status: 200, results: [], high: 0 });
    desk.feed({ type: "broke", op: desk.state.op });
    expect(tells(desk.effects, "problem")).toEqual([{ tell: "problem", code: "sync_storage_failed" }]);
  });

  test("a reply that settles nothing does not turn in a circle", () => {
    const desk = toPush(["a"]).answer("push", { status: 200, results: [], high: 0 }).answer("keep-results", { settled: 0 });
    expect([desk.asks, desk.state.open]).toEqual([null, null]);
    expect(tells(desk.effects, "wake-in")).toHaveLength(1);
  });
});

test("one event that the server refuses among 8 is found by halving, held, and the rest go on", () => {
  const waiting = Array.from({ length: 8 }, (_, n) => `e${n}`);
  const held: string[] = [];
  const sent: string[] = [];
  const desk = toBatch();
  for (let turn = 0; turn < 60 && desk.state.open?.do !== "photo"; turn++) {
    const open = desk.state.open!;
    if (open.do === "batch") desk.answer("batch", { ...nothing, events: waiting.filter((id) => !held.includes(id)).slice(0, open.max).map(event) });
    else if (open.do === "push") {
      const ids = open.events.map((one) => one.id);
      desk.answer("push", ids.includes("e5") ? { status: 400 } : { status: 200, results: [], high: 0 });
      if (!ids.includes("e5")) {
        ids.forEach((id) => waiting.splice(waiting.indexOf(id), 1));
        sent.push(...ids);
      }
    } else if (open.do === "keep-results") desk.answer("keep-results", { settled: 1 });
    else if (open.do === "hold") {
      held.push(open.id);
      desk.answer("hold", {});
    }
  }
  expect(held).toEqual(["e5"]);
  expect(sent.sort()).toEqual(["e0", "e1", "e2", "e3", "e4", "e6", "e7"]);
});

describe("a photo", () => {
  const photo = { sha256: "s", bytes: 600_000, mime: "image/jpeg", job: "j", upload: null as string | null, sent: false };
  const receipt = { sha256: "s", bytes: 600_000, received_at: "t" };
  const toPhoto = (upload: string | null = null) => toBatch().answer("batch", nothing).answer("photo", { photo: { ...photo, upload }, left: 0 });

  test("the server already has is not sent again", () => {
    const desk = toPhoto().answer("create", { status: 201, upload: "/s", offset: 600_000 }).answer("keep-upload", {});
    expect(desk.asks).toBe("receipt");
    expect(desk.answer("receipt", { status: 200, receipt: { sha256: "s", bytes: 600_000, received_at: "t" } }).asks).toBe("keep-receipt");
  });

  test("is sent in pieces of 256 KiB, and only a receipt that names its hash ends it", () => {
    const desk = toPhoto().answer("create", { status: 201, upload: "/u" }).answer("keep-upload", {});
    const pieces: number[][] = [];
    while (desk.state.open?.do === "piece") {
      pieces.push([desk.state.open.offset, desk.state.open.bytes]);
      desk.answer("piece", { status: 204, offset: desk.state.open.offset + desk.state.open.bytes });
    }
    expect(pieces).toEqual([[0, 262144], [262144, 262144], [524288, 75712]]);
    expect(desk.asks).toBe("receipt");
    desk.answer("receipt", { status: 200, receipt: { sha256: "another", bytes: 600_000, received_at: "t" } });
    expect(desk.asks).not.toBe("keep-receipt");
  });

  test("is announced with its first piece, and one that the server had once without", () => {
    expect(toPhoto().state.open).toMatchObject({ do: "create", bytes: 262144 });
    const had = toBatch().answer("batch", nothing).answer("photo", { photo: { ...photo, sent: true }, left: 0 });
    expect(had.state.open).toMatchObject({ do: "create", bytes: 0 });
  });

  test("goes on behind the piece that was announced with it, and is settled by the receipt that comes with the last answer", () => {
    const desk = toPhoto().answer("create", { status: 201, upload: "/u", offset: 262144 }).answer("keep-upload", {});
    expect(desk.state.open).toMatchObject({ do: "piece", offset: 262144 });
    desk.answer("piece", { status: 204, offset: 524288 });
    expect(desk.answer("piece", { status: 204, offset: 600_000, receipt }).state.open).toMatchObject({ do: "keep-receipt", receipt });
  });

  test("is settled by its announcement when that brings its receipt, and not when it brings another's", () => {
    expect(toPhoto().answer("create", { status: 201, upload: "/s", offset: 600_000, receipt }).asks).toBe("keep-receipt");
    const other = { ...receipt, sha256: "another" };
    expect(toPhoto().answer("create", { status: 201, upload: "/s", offset: 600_000, receipt: other }).answer("keep-upload", {}).asks).toBe("receipt");
    const last = toPhoto("/u").answer("offset", { status: 200, offset: 524288 });
    expect(last.answer("piece", { status: 204, offset: 600_000, receipt: other }).asks).toBe("receipt");
  });

  test("whose bytes were not taken with the announcement is announced alone before it counts as refused", () => {
    const desk = toPhoto().answer("create", { status: 400 });
    expect(desk.state.open).toMatchObject({ do: "create", bytes: 0 });
    expect(desk.answer("create", { status: 400 }).state.open).toMatchObject({ do: "hold", what: "photo" });
  });

  test("whose bytes changed on this phone is not announced", () => {
    expect(toPhoto().answer("create", { status: 0, damaged: true }).state.open).toMatchObject({ do: "hold", code: "photo_damaged_unsent" });
  });

  test("goes on where the server stands", () => {
    const desk = toPhoto("/u").answer("offset", { status: 200, offset: 262144 });
    expect(desk.state.open).toMatchObject({ do: "piece", offset: 262144 });
  });

  test("whose upload the server forgot begins a new one", () => {
    const desk = toPhoto("/u").answer("offset", { status: 404 });
    expect(desk.state.open).toMatchObject({ do: "keep-upload", upload: null });
    expect(desk.answer("keep-upload", {}).asks).toBe("create");
  });

  test.each([409, 460])("piece answered with %i makes the phone ask where the server stands", (status) => {
    expect(toPhoto("/u").answer("offset", { status: 200, offset: 0 }).answer("piece", { status }).asks).toBe("offset");
  });

  test("that never gets anywhere is left for a later round, and the next one goes on", () => {
    const desk = toPhoto("/u");
    for (let turn = 0; turn < 30 && desk.asks !== "photo" && desk.asks !== null; turn++) {
      if (desk.state.open?.do === "offset") desk.answer("offset", { status: 200, offset: 0 });
      else desk.answer("piece", { status: 204, offset: 0 });
    }
    expect(desk.state.open).toMatchObject({ do: "photo", skip: ["s"] });
  });

  test("that the server refuses is held and shown, and the next one goes on", () => {
    const desk = toPhoto("/u").answer("offset", { status: 200, offset: 0 }).answer("piece", { status: 415 });
    expect(desk.state.open).toMatchObject({ do: "hold", what: "photo", id: "s" });
    expect(desk.answer("hold", {}).state.open).toMatchObject({ do: "photo", skip: ["s"] });
  });

  test("whose bytes changed on this phone is not sent", () => {
    const desk = toPhoto("/u").answer("offset", { status: 200, offset: 0 }).answer("piece", { status: 0, damaged: true });
    expect(desk.state.open).toMatchObject({ do: "hold", code: "photo_damaged_unsent" });
  });
});

describe("the server's epoch", () => {
  test("is learnt before anything is sent for the first time", () => {
    const desk = toBatch().answer("batch", { ...nothing, epochKnown: false, events: [event("a")] });
    expect(desk.asks).toBe("pull");
    desk.answer("pull", { status: 200, pulled: { events: [], cursor: "1", epoch: "e", more: false } });
    expect(desk.answer("keep-pulled", { restored: false }).asks).toBe("batch");
  });

  test("that changed makes the phone ask for the receipts of its photos again", () => {
    const desk = toBatch("button").answer("batch", nothing).answer("photo", { photo: null, left: 0 });
    desk.answer("pull", { status: 200, pulled: { events: [], cursor: "1", epoch: "f", more: false } });
    expect(desk.answer("keep-pulled", { restored: true }).asks).toBe("photo");
  });
});

describe("pulling and comparing", () => {
  const toPull = () => toBatch("button").answer("batch", nothing).answer("photo", { photo: null, left: 0 });
  const page = { events: [event("x")], cursor: "1", epoch: "e", more: true };

  test("goes on while there is more, each page kept before the next is asked for", () => {
    const desk = toPull().answer("pull", { status: 200, pulled: page });
    expect(desk.asks).toBe("keep-pulled");
    expect(desk.answer("keep-pulled", { restored: false }).asks).toBe("pull");
  });

  test("with a cursor the server does not know begins again, once", () => {
    const desk = toPull().answer("pull", { status: 409 });
    expect(desk.asks).toBe("restart-pull");
    expect(desk.answer("restart-pull", {}).answer("pull", { status: 409 }).state.open).toBeNull();
  });

  const toDigest = () => toPull().answer("pull", { status: 200, pulled: { ...page, more: false } }).answer("keep-pulled", { restored: false }).answer("compare", { jobs: [{ job: "j", count: 2, sha256: "mine" }] });
  test.each([
    ["another hash", { status: 200, count: 2, sha256: "theirs" }],
    ["another count", { status: 200, count: 1, sha256: "mine" }],
    ["no such job", { status: 404 }],
  ])("with %s is healed, never settled", (_, answer) => {
    expect(toDigest().answer("digest", answer).asks).toBe("heal");
  });

  test("a difference that was healed leads to another round", () => {
    const desk = toDigest().answer("digest", { status: 404 }).answer("heal", { again: true });
    expect(tells(desk.effects, "wake-in")).toHaveLength(1);
  });

  test("a difference that cannot be healed does not", () => {
    const desk = toDigest().answer("digest", { status: 404 }).answer("heal", { again: false });
    expect(tells(desk.effects, "wake-in")).toHaveLength(0);
  });
});

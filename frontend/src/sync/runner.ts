/**
 * Carries out what the engine asks for: one request at a time, its answer fed back. Thin on purpose; all decisions are the engine's.
 * Knows ports only, so that the same engine runs over real HTTP and IndexedDB, and in tests over a simulated server and memory.
 */
import { advance, newEngine } from "./engine";
import type { Answer, Ask, Effect, EngineState, Input, Tell, Why } from "./engine-types";
import { Unreached } from "./http";
import type { SyncStorage } from "./storage-port";
import type { Transport } from "./transport";

export type Clock = { nowMs(): number; chance(): number };
export type Runner = { wake(why: Why): void; busy(): boolean; state(): EngineState };

/** A runner that starts idle. `told` hears everything that is not a request; `wake-in` is for it to plan. */
export function newRunner(storage: SyncStorage, transport: Transport, clock: Clock, told: (tell: Tell) => void, broke: (error: unknown) => void): Runner {
  let state = newEngine();
  const feed = (input: Input) => {
    const [next, effects] = advance(state, input, { nowMs: clock.nowMs(), chance: clock.chance() });
    state = next;
    effects.forEach(carryOut);
  };
  const carryOut = (effect: Effect) => {
    if ("tell" in effect) return told(effect);
    const { op } = effect;
    perform(effect, storage, transport).then(
      (answer) => feed({ type: "answer", answer: { ...answer, op, of: effect.do } as Answer }),
      (error: unknown) => {
        if (!(error instanceof Unreached)) broke(error);
        feed({ type: error instanceof Unreached ? "lost" : "broke", op });
      },
    ).catch(broke);
  };
  return { wake: (why) => feed({ type: "wake", why }), busy: () => state.open !== null, state: () => state };
}

/** One request, done. The exhaustive switch does not compile when a kind of request is forgotten. */
async function perform(ask: Ask, storage: SyncStorage, transport: Transport): Promise<object> {
  switch (ask.do) {
    case "probe": return transport.probe();
    case "batch": return storage.batch(ask.max);
    case "push": return transport.push(ask.events, ask.waiting);
    case "keep-results": return { settled: await storage.keepResults(ask.results, ask.high) };
    case "hold": return storage.hold(ask.what, ask.id, ask.code).then(done);
    case "photo": return storage.photo(ask.skip);
    case "receipt": return transport.receipt(ask.sha256);
    case "create": {
      const first = ask.bytes === 0 ? null : await storage.piece(ask.photo.sha256, 0, ask.bytes);
      return ask.bytes > 0 && first === null ? { status: 0, damaged: true } : transport.create(ask.photo, first);
    }
    case "keep-upload": return storage.keepUpload(ask.sha256, ask.upload).then(done);
    case "offset": return transport.offset(ask.upload);
    case "piece": {
      const piece = await storage.piece(ask.sha256, ask.offset, ask.bytes);
      return piece === null ? { status: 0, damaged: true } : transport.piece(ask.upload, ask.offset, piece);
    }
    case "keep-receipt": return { settled: await storage.keepReceipt(ask.receipt) };
    case "pull": return transport.pull(await storage.cursor());
    case "keep-pulled": return { restored: await storage.keepPulled(ask.pulled) };
    case "restart-pull": return storage.restartPull().then(done);
    case "compare": return { jobs: await storage.compare() };
    case "digest": return transport.digest(ask.job);
    case "settle": return storage.settle(ask.mine).then(done);
    case "heal": return { again: await storage.heal(ask.mine, ask.theirs) };
  }
}

function done(): object {
  return {};
}

/**
 * The sync engine: what to do next, given what was just learnt. A plain function; no clock, no timers, no storage, no network.
 * One round: probe → notes → photos → pull → compare. Every answer may be missing, late or doubled: a late or doubled one carries an
 * old `op` and is passed over, a missing one ends the round, and the next round asks the storage anew what still has no receipt.
 */
import { comparing } from "./engine-compare";
import { photoAnswers } from "./engine-photos";
import { ask, fail, finish, generalFault } from "./engine-steps";
import type { Answer, Answers, AskName, At, EngineState, Input, Step, Tell, Why } from "./engine-types";

export const PUSH_EVENTS = 100;
export const CONTACT_FRESH_MS = 60_000;

export function newEngine(): EngineState {
  return {
    op: 0, open: null, why: "start", again: null, failures: 0, notBeforeMs: 0, serverAsked: false, contactMs: -Infinity, pulledMs: -Infinity,
    pushLimit: PUSH_EVENTS, notesSent: 0, photosSent: 0, photo: null, photosLeft: 0, skip: [], pullRestarted: false, pullFirst: false, toCompare: [],
  };
}

/** The next state and what to do. */
export function advance(state: EngineState, input: Input, at: At): Step {
  if (input.type === "wake") return wake(state, input.why, at);
  const op = input.type === "answer" ? input.answer.op : input.op;
  if (state.open === null || op !== state.op) return [state, []];
  if (input.type === "lost") return fail({ ...state, contactMs: -Infinity }, at, null, [{ tell: "reached", reached: false }]);
  if (input.type === "broke") return fail(state, at, null, [{ tell: "problem", code: "sync_storage_failed" }]);
  if (input.answer.of !== state.open.do) return [state, []];
  return answered(state, input.answer, at);
}

function wake(state: EngineState, why: Why, at: At): Step {
  if (state.open !== null) return [{ ...state, again: state.again === "button" ? "button" : why }, []];
  const waitMs = state.notBeforeMs - at.nowMs;
  const pressing = why === "button" || why === "online" || why === "start" || why === "visible";
  if (waitMs > 0 && (state.serverAsked || !pressing)) return [state, [{ tell: "wake-in", delayMs: waitMs }]];
  return start({ ...state, why }, at);
}

function start(state: EngineState, at: At): Step {
  const fresh: EngineState = { ...state, again: null, notesSent: 0, photosSent: 0, photo: null, skip: [], pullRestarted: false, pullFirst: false, toCompare: [] };
  const recent = at.nowMs - state.contactMs < CONTACT_FRESH_MS && state.why !== "button";
  return recent ? ask(fresh, { do: "batch", max: fresh.pushLimit }) : ask(fresh, { do: "probe" });
}

type Handlers = { [N in AskName]?: (state: EngineState, answer: Answers[N], at: At) => Step };

const noteAnswers: Handlers = {
  probe: (state, { serverMs }, at) => {
    const reached = { ...state, contactMs: at.nowMs };
    return ask(reached, { do: "batch", max: state.pushLimit }, [{ tell: "reached", reached: true }, { tell: "library", serverMs, why: state.why }]);
  },
  batch: (state, { enrolled, epochKnown, events, left, photos }, at) => {
    if (!enrolled) return finish(state, at);
    // Before the first receipt of all the phone must know the server's epoch: it could not tell later that the server was restored since.
    if (!epochKnown) return ask({ ...state, pullFirst: true }, { do: "pull" });
    if (events.length === 0) return ask(state, { do: "photo", skip: state.skip });
    const total = state.notesSent + events.length + left;
    const tell: Tell = { tell: "sending", what: "notes", done: state.notesSent, total, ids: events.map((event) => event.id) };
    return ask(state, { do: "push", events, waiting: left + photos }, [tell]);
  },
  push: pushed,
  // Nothing settled means that the next batch would be the same again: wait instead of turning in a circle.
  "keep-results": (state, { settled }, at) => {
    if (settled === 0) return fail(state, at, null, [{ tell: "problem", code: "sync_no_receipts" }]);
    const pushLimit = Math.min(PUSH_EVENTS, state.pushLimit * 2);
    return ask({ ...state, pushLimit, notesSent: state.notesSent + settled }, { do: "batch", max: pushLimit });
  },
  hold: (state) => (state.photo
    ? ask({ ...state, photo: null, skip: [...state.skip, state.photo.photo.sha256] }, { do: "photo", skip: [...state.skip, state.photo.photo.sha256] })
    : ask(state, { do: "batch", max: state.pushLimit })),
};

/**
 * A refused batch is halved until the one event that the server cannot take stands alone; that one is held, shown to the person and
 * kept, and the others go on. A note must never block those behind it.
 */
function pushed(state: EngineState, answer: Answers["push"], at: At): Step {
  const general = generalFault(state, answer, at);
  if (general) return general;
  if (answer.status === 200 && answer.results) return ask(state, { do: "keep-results", results: answer.results, high: answer.high ?? 0 });
  const events = state.open?.do === "push" ? state.open.events : [];
  if (answer.status < 400) return fail(state, at, null);
  if (events.length > 1) {
    const pushLimit = Math.ceil(events.length / 2);
    return ask({ ...state, pushLimit }, { do: "batch", max: pushLimit });
  }
  return ask(state, { do: "hold", what: "note", id: events[0]?.id ?? "", code: "note_refused" });
}

const handlers: Handlers = { ...noteAnswers, ...photoAnswers, ...comparing };

function answered(state: EngineState, answer: Answer, at: At): Step {
  const handle = handlers[answer.of] as ((state: EngineState, answer: Answer, at: At) => Step) | undefined;
  return handle ? handle(state, answer, at) : [state, []];
}

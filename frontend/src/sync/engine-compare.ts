/**
 * The end of a round: take in what other devices wrote, then compare each job's digest with the server's.
 * A difference is healed by sending the job's events again and reading from the beginning; neither side ever deletes.
 */
import { ask, fail, finish, generalFault } from "./engine-steps";
import type { Answers, AskName, At, EngineState, Step } from "./engine-types";

type Handlers = { [N in AskName]?: (state: EngineState, answer: Answers[N], at: At) => Step };

export const comparing: Handlers = {
  pull: (state, answer, at) => {
    if (answer.status === 200 && answer.pulled) return ask(state, { do: "keep-pulled", pulled: answer.pulled });
    const general = generalFault(state, answer, at);
    if (general) return general;
    // A cursor the server does not know (it was restored): read from the beginning, once.
    return state.pullRestarted ? fail(state, at, null) : ask({ ...state, pullRestarted: true }, { do: "restart-pull" });
  },
  "restart-pull": (state) => ask(state, { do: "pull" }),
  "keep-pulled": (state, { restored }, at) => {
    const more = state.open?.do === "keep-pulled" && state.open.pulled.more && state.open.pulled.events.length > 0;
    if (more) return ask(state, { do: "pull" });
    const pulled: EngineState = { ...state, pulledMs: at.nowMs, pullFirst: false };
    if (state.pullFirst) return ask(pulled, { do: "batch", max: state.pushLimit });
    // a restored server may have lost photos too: their receipts are asked for again
    return restored ? ask(pulled, { do: "photo", skip: state.skip }) : ask(pulled, { do: "compare" });
  },
  compare: (state, { jobs }, at) => nextDigest({ ...state, toCompare: jobs }, at),
  digest: (state, answer, at) => {
    const mine = state.toCompare[0]!;
    const general = generalFault(state, answer, at);
    if (general) return general;
    if (answer.status === 404) return ask(state, { do: "heal", mine, theirs: { count: 0, sha256: "" } });
    if (answer.status !== 200 || answer.count === undefined || answer.sha256 === undefined) return fail(state, at, null);
    if (answer.sha256 === mine.sha256 && answer.count === mine.count) return ask(state, { do: "settle", mine });
    return ask(state, { do: "heal", mine, theirs: { count: answer.count, sha256: answer.sha256 } });
  },
  settle: (state, _, at) => nextDigest({ ...state, toCompare: state.toCompare.slice(1) }, at),
  heal: (state, { again }, at) => {
    const next: EngineState = { ...state, toCompare: state.toCompare.slice(1), again: again ? (state.again ?? "again") : state.again };
    return nextDigest(again ? { ...next, pulledMs: -Infinity } : next, at);
  },
};

function nextDigest(state: EngineState, at: At): Step {
  const next = state.toCompare[0];
  return next ? ask(state, { do: "digest", job: next.job }) : finish(state, at);
}

// Folds random logs and random actions in TypeScript; tests/domain/test_both_languages.py compares the answers with Python's.
import { readFileSync } from "node:fs";

const domain = new URL("../../frontend/src/domain/", import.meta.url);
const load = (name) => import(new URL(`${name}.ts`, domain).href);
const { applyAction, forVariant, startState } = await load("bench-state");
const { canonicalJson } = await load("canonical-json");
const { endItems, ledger, tray } = await load("end-items");
const { eventHash, jobDigest } = await load("event-hash");
const { eventProblems } = await load("event-problems");
const { mergeHlc, nextHlc } = await load("hlc");
const { derivedLists, figuresOfSteps, progress } = await load("job-lists");
const { foldJournal } = await load("journal");
const { verdict } = await load("verdict");

const { pack, logs, walks, values, clocks, readings } = JSON.parse(readFileSync(0, "utf8"));

function ofLog(events) {
  const fold = foldJournal(pack, events);
  const whole = forVariant(pack, fold.variant);
  return {
    fold, end_items: endItems(whole, fold.state), ledger: ledger(whole, fold.state), tray: tray(whole, fold.state), progress: progress(pack, fold),
    problems: events.map((event) => eventProblems(event)),
  };
}

function ofWalk({ variant, actions }) {
  const whole = forVariant(pack, variant);
  const state = actions.reduce((now, action) => applyAction(whole, now, action), startState(whole));
  return {
    state, end_items: endItems(whole, state), ledger: ledger(whole, state), tray: tray(whole, state),
    lists: derivedLists(whole), sheet: figuresOfSteps(whole),
  };
}

const ofClock = ({ last, foreign, now_ms, device }) => ({ next: nextHlc(last, now_ms, device), merged: mergeHlc(last, foreign, now_ms) });
const texts = values.map((value) => canonicalJson(value));
console.log(JSON.stringify({
  logs: logs.map(ofLog), walks: walks.map(ofWalk), texts, hashes: await Promise.all(values.map((value) => eventHash({ value }))),
  digest: await jobDigest(texts), clocks: clocks.map(ofClock), verdicts: readings.map(({ step, value }) => verdict(pack, step, value)),
}));

/** Taking a reading: the limits as published, the number typed, both outcomes always in sight, the verdict in words. */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { TextField } from "../../components/fields";
import { LimitsShown } from "../../components/limits-shown";
import { say } from "../../components/said";
import { verdict } from "../../domain/readings";
import { LimitsBar } from "../../drawings/limits-bar";
import { clearDraft, readDraft, record, writeDraft, type Limits, type ProcedurePack } from "../../store/bench";
import { stepWords as words } from "../../text/job-words";
import type { Reading } from "./job-view";
import { highBound, inUnit, limitFigures, lowBound, takenFrom, unitToType } from "./reading";

type Props = { job: string; step: string; pack: ProcedurePack; limits: Limits; reading: Reading | null; locked: boolean };

export function ReadingEntry({ job, step, pack, limits, reading, locked }: Props) {
  const again = useSignal(false);
  const figures = limitFigures(pack, limits);
  const unit = unitToType(figures, limits);
  const taken = reading && !again.value ? reading : null;
  const drawn = (value: number | null) => inUnit(value, limits.unit, unit);
  return (
    <div class="reading">
      <LimitsShown {...figures} />
      {taken && <LimitsBar low={drawn(lowBound(figures.low))} high={drawn(highBound(figures.high))} reading={drawn(taken.value)} unit={unit} />}
      {taken && <Verdict reading={taken} needs={limits.fail_needs} />}
      <Outcomes limits={limits} verdict={taken?.verdict ?? null} />
      {!taken && !locked && <Entry {...{ job, step, pack, limits, unit }} onKept={() => (again.value = false)} />}
      {taken && !locked && (
        <button type="button" class="press" onClick={() => (again.value = true)}>
          {words.changeReading}
        </button>
      )}
    </div>
  );
}

function Entry({ job, step, pack, limits, unit, onKept }: Omit<Props, "reading" | "locked"> & { unit: string; onKept: () => void }) {
  const key = `reading:${job}:${step}`;
  const text = useSignal("");
  const attempt = useAttempt();
  useEffect(() => {
    void readDraft(key).then((draft) => text.peek() === "" && (text.value = draft));
  }, [key]);
  const keep = async (event: Event) => {
    event.preventDefault();
    const kept = await attempt.run(async () => {
      const { value, asTyped } = takenFrom(text.value, unit, limits.kind);
      await record(job, "ReadingTaken", { step, check: limits.check, value, unit: limits.unit, as_typed: asTyped, verdict: verdict(pack, limits, value) });
      await clearDraft(key);
    });
    if (!kept) return;
    say(words.saved);
    onKept();
  };
  return (
    <form class="entry" onSubmit={keep} noValidate>
      <TextField label={words.reading(unit)} value={text.value} numeric max={60} onText={(typed) => { text.value = typed; writeDraft(key, typed); }} />
      <button type="submit" class="press main" disabled={attempt.busy.value}>
        {words.keepReading}
      </button>
      <Problem message={attempt.problem.value} />
    </form>
  );
}

function Verdict({ reading, needs }: { reading: Reading; needs: Limits["fail_needs"] }) {
  const say = { within: words.within, outside: words.outside, unknown: words.unknownLimit }[reading.verdict];
  return (
    <p class="verdict" role="status">
      {say(reading.as_typed)} {reading.verdict === "outside" && words.needs(needs)}
    </p>
  );
}

function Outcomes({ limits, verdict }: { limits: Limits; verdict: Reading["verdict"] | null }) {
  return (
    <ul class="outcomes">
      <li class={verdict === "within" ? "held" : verdict ? "out" : ""}>
        <strong>{words.ifWithin}</strong> {limits.pass}
      </li>
      <li class={verdict === "outside" ? "held" : verdict ? "out" : ""}>
        <strong>{words.ifOutside}</strong> {limits.fail}
      </li>
    </ul>
  );
}

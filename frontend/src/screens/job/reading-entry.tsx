/** Taking a reading: the limits as published, the number typed, both outcomes always in sight, the verdict in words. */
import { useSignal } from "@preact/signals";
import { Problem, refusal, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { TextField } from "../../components/fields";
import { LimitsShown } from "../../components/limits-shown";
import { say } from "../../components/said";
import { readingLimits, verdict } from "../../domain/verdict";
import { LimitsBar } from "../../drawings/limits-bar";
import { record, type ProcedurePack } from "../../store/bench";
import { stepWords as words } from "../../text/job-words";
import type { Reading } from "./job-view";
import { inUnit, takenFrom, unitToType, type AskedReading } from "./reading";

type Props = { job: string; step: string; pack: ProcedurePack; asked: AskedReading; reading: Reading | null; locked: boolean };

export function ReadingEntry({ job, step, pack, asked, reading, locked }: Props) {
  const again = useSignal(false);
  const unit = unitToType(asked);
  const taken = reading && !again.value ? reading : null;
  return (
    <div class="reading">
      {taken && <Verdict reading={taken} outcomes={asked.outcomes} />}
      {taken && <Bar pack={pack} step={step} canonical={asked.unit} unit={unit} value={taken.value} />}
      <LimitsShown low={asked.low} high={asked.high} missing={asked.missing} />
      {!taken && !locked && <Entry {...{ job, step, pack, asked, unit }} onKept={() => (again.value = false)} />}
      {asked.outcomes && !taken && <Outcomes outcomes={asked.outcomes} />}
      {taken && !locked && (
        <button type="button" class="press" onClick={() => (again.value = true)}>
          {words.changeReading}
        </button>
      )}
    </div>
  );
}

function Bar({
  pack,
  step,
  canonical,
  unit,
  value,
}: {
  pack: ProcedurePack;
  step: string;
  canonical: string;
  unit: string;
  value: number;
}) {
  const limits = readingLimits(pack, step);
  if (!limits?.known) return null;
  const drawn = (each: number | null) => inUnit(each, canonical, unit);
  return <LimitsBar low={drawn(limits.low)} high={drawn(limits.high)} reading={drawn(value)} unit={unit} />;
}

function Entry({ job, step, pack, asked, unit, onKept }: Omit<Props, "reading" | "locked"> & { unit: string; onKept: () => void }) {
  const draft = useDraft(`reading:${job}:${step}`);
  const attempt = useAttempt();
  const keep = async (event: Event) => {
    event.preventDefault();
    const kept = await attempt.run(async () => {
      const taken = takenFrom(draft.text.value, unit, asked.kind);
      if (!taken) throw refusal("reading_range");
      const { value, asTyped } = taken;
      await record(job, "ReadingTaken", {
        step,
        check: asked.check,
        value,
        unit: asked.unit,
        as_typed: asTyped,
        verdict: verdict(pack, step, value),
      });
      await draft.clear();
    });
    if (!kept) return;
    say(words.saved);
    onKept();
  };
  return (
    <form class="entry" onSubmit={keep} noValidate>
      <TextField label={words.reading(unit)} value={draft.text.value} numeric max={60} onText={draft.type} />
      <button type="submit" class="press main" disabled={attempt.busy.value}>
        {words.keepReading}
      </button>
      <Problem message={attempt.problem.value} />
    </form>
  );
}

/** What the reading comes to, with the author's own words for what follows. */
function Verdict({ reading, outcomes }: { reading: Reading; outcomes: AskedReading["outcomes"] }) {
  const inWords = { within: words.within, outside: words.outside, unknown: outcomes ? words.unknownLimit : words.noLimit }[reading.verdict];
  const follows = { within: outcomes?.pass, outside: outcomes?.fail, unknown: null }[reading.verdict];
  return (
    <div class={`verdict ${reading.verdict}`} role="status">
      <p>{inWords(reading.as_typed)}</p>
      {follows && <p>{follows}</p>}
    </div>
  );
}

function Outcomes({ outcomes }: { outcomes: NonNullable<AskedReading["outcomes"]> }) {
  return (
    <ul class="outcomes">
      <li>
        <strong>{words.ifWithin}</strong> {outcomes.pass}
      </li>
      <li>
        <strong>{words.ifOutside}</strong> {outcomes.fail}
      </li>
    </ul>
  );
}

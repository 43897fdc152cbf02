/** A timer for steps that wait or run. It goes on while the phone sleeps, as only the moment it was started is kept. */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { useNowMs } from "../../components/hooks";
import { Icon } from "../../components/icon";
import { say } from "../../components/said";
import { Sheet } from "../../components/sheet";
import { clearDraft, readDraft, record, writeDraft } from "../../store/bench";
import { moreWords, stepWords, timerWords as words } from "../../text/job-words";
import { clockInWords } from "../../text/say";

export function StepTimer({ job, step, minutes, kept }: { job: string; step: string; minutes: number | null; kept: number | null }) {
  const key = `timer:${job}:${step}`;
  const startedMs = useSignal<number | null>(null);
  const attempt = useAttempt();
  const nowMs = useNowMs(startedMs.value !== null);
  useEffect(() => {
    void readDraft(key).then((text) => text !== "" && (startedMs.value = Number(text)));
  }, [key]);
  const start = () => {
    startedMs.value = Date.now();
    writeDraft(key, String(startedMs.value));
  };
  const stop = () =>
    attempt.run(async () => {
      const seconds = Math.max(0, Math.round((Date.now() - (startedMs.peek() ?? Date.now())) / 1000));
      await record(job, "TimerRun", { step, seconds });
      await clearDraft(key);
      startedMs.value = null;
      say(stepWords.saved);
    });
  const seconds = startedMs.value === null ? 0 : (nowMs - startedMs.value) / 1000;
  const over = minutes !== null && startedMs.value !== null && seconds >= minutes * 60;
  return (
    <div class="timer">
      <p class="timer-clock" role="timer">
        {clockInWords(startedMs.value === null ? (kept ?? 0) : seconds)}
        {minutes !== null && <span class="timer-of"> {words.of(minutes)}</span>}
      </p>
      {over && <p role="status">{words.over}</p>}
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={startedMs.value === null ? start : () => void stop()}>
        <Icon name="clock" />
        {startedMs.value !== null ? words.stop : kept ? words.again : words.start}
      </button>
    </div>
  );
}

export function TimerSheet({ job, step, kept }: { job: string; step: string; kept: number | null }) {
  return (
    <Sheet title={moreWords.timer} close={moreWords.back}>
      <StepTimer job={job} step={step} minutes={null} kept={kept} />
    </Sheet>
  );
}

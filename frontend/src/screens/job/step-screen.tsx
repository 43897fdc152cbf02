/** One step of a job. */
import { useEffect, useRef } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { useKeys } from "../../components/hooks";
import { Icon } from "../../components/icon";
import { say } from "../../components/said";
import { go, sheet } from "../../components/where";
import { record, type Step } from "../../store/bench";
import { skipWords, stepWords as words } from "../../text/job-words";
import { classesInWords } from "../../text/library-words";
import { Beside } from "../beside/door";
import { JobFrame } from "./job-frame";
import { JobGate } from "./job-gate";
import { awayNow, mayWriteBack, useJob, type JobView } from "./job-view";
import { MoreSheet } from "./more-sheet";
import { NoteSheet } from "./note-sheet";
import { PictureSheet } from "./pack-picture";
import { PhotoSheet } from "./photo-sheet";
import { PlaceTicks } from "./place-ticks";
import { placesOf } from "./names";
import { ResumePanel } from "./resume-panel";
import { SkipSheet } from "./skip-sheet";
import { StepBody } from "./step-body";
import { afterStep, blockedBy, pathOf, safetyOf } from "./step-way";
import { TimerSheet } from "./step-timer";

export function StepScreen({ job, step: id }: { job: string; step: string }) {
  const loaded = useJob(job);
  return <JobGate loaded={loaded}>{(view) => <StepAt key={id} view={view} id={id} />}</JobGate>;
}

function StepAt({ view, id }: { view: JobView; id: string }) {
  const at = view.steps.findIndex((step) => step.id === id);
  const step = view.steps[at];
  if (!step) return <NoStep view={view} />;
  return <StepHere view={view} step={step} at={at} />;
}

function NoStep({ view }: { view: JobView }) {
  return (
    <main class="page-body">
      <div class="problem">
        <p class="problem-happened">{words.otherStep}</p>
        <p>{words.otherStepDo}</p>
      </div>
      <a class="press main" href={`/job/${view.job}`}>
        {words.toPlace}
      </a>
    </main>
  );
}

function StepHere({ view, step, at }: { view: JobView; step: Step; at: number }) {
  const attempt = useAttempt();
  const body = useRef<HTMLElement>(null);
  const through = view.fold.done[step.id] !== undefined || view.closed;
  const over = useSheet({ view, step });
  const covered = over !== null;
  const blocked = through ? null : blockedBy(view, step);
  const resuming = sheet.value === "resume";
  useEffect(() => {
    document.title = `${words.at(at + 1, view.steps.length)} · Benchtrail`;
    body.current?.focus({ preventScroll: true });
  }, [step.id]);
  const goOn = () =>
    attempt.run(async () => {
      if (view.fold.paused && !view.closed) await record(view.job, "JobResumed", { step: step.id });
      go(pathOf(view.job, step.id), true);
    });
  const forward = () => go(view.steps[at + 1] ? pathOf(view.job, view.steps[at + 1]!.id) : `/job/${view.job}/close`);
  const back = () => go(at > 0 ? pathOf(view.job, view.steps[at - 1]!.id) : "/");
  const done = async () => {
    if (through) return forward();
    if (blocked !== null) return say(blocked);
    if (!(await attempt.run(() => record(view.job, "StepDone", { step: step.id, away_s: awayNow(view.job) })))) return;
    say(words.saved);
    go(afterStep(view, step.id));
  };
  const open = !covered && !resuming;
  useKeys({
    PageDown: () => open && !scrolledBy(body.current, 1) && forward(),
    PageUp: () => open && !scrolledBy(body.current, -1) && back(),
    Enter: () => (resuming ? void goOn() : open && void done()),
  });
  const acts = resuming ? (
    <button type="button" class="press main grow" onClick={goOn}>
      {words.goOn}
    </button>
  ) : (
    <StepActs view={view} step={step} over={through} blocked={blocked !== null} busy={attempt.busy.value} onBack={back} onDone={done} />
  );
  return (
    <>
      <JobFrame view={view} at={at} covered={covered} acts={acts}>
        <article
          class="step"
          ref={body}
          tabIndex={-1}
          aria-label={words.rule(at + 1, view.steps.length, view.counts.done, view.counts.skipped)}
        >
          {resuming && <ResumePanel view={view} at={at} />}
          <Problem message={attempt.problem.value} />
          <StepBody view={view} step={step} />
        </article>
      </JobFrame>
      {over}
    </>
  );
}

/** Scrolls a step that does not fit its screen by most of a screen; false when there is nothing more that way. */
function scrolledBy(step: HTMLElement | null, way: 1 | -1): boolean {
  const box = step?.parentElement;
  if (!box) return false;
  const left = way === 1 ? box.scrollHeight - box.clientHeight - box.scrollTop : box.scrollTop;
  if (left < 8) return false;
  box.scrollBy({ top: way * box.clientHeight * 0.8 });
  return true;
}

type ActsProps = { view: JobView; step: Step; over: boolean; blocked: boolean; busy: boolean; onBack: () => void; onDone: () => void };

function StepActs({ view, step, over, blocked, busy, onBack, onDone }: ActsProps) {
  const here = pathOf(view.job, step.id);
  return (
    <>
      {!view.closed && (
        <div class="thumb-extra">
          <a class="press" href={`${here}?note`}>
            <Icon name="note" />
            {words.note}
          </a>
          <a class="press" href={`${here}?photo`}>
            <Icon name="photo" />
            {words.photo}
          </a>
        </div>
      )}
      <div class="thumb-main">
        <button type="button" class="press upright" onClick={onBack}>
          <Icon name="back" />
          {words.back}
        </button>
        <a class="press upright" href={`${here}?more`}>
          <Icon name="more" />
          {words.more}
        </a>
        <button type="button" class="press main grow" aria-disabled={blocked || busy} onClick={onDone}>
          <Icon name={over ? "open" : "done"} />
          {over ? words.next : words.done}
        </button>
      </div>
    </>
  );
}

/** The sheet named in the address, if it belongs to this step. */
function useSheet({ view, step }: { view: JobView; step: Step }) {
  const attempt = useAttempt();
  const name = sheet.value;
  const { job, pack, closed } = view;
  const pause = () =>
    attempt.run(async () => {
      if (!closed && !view.fold.paused) await record(job, "JobPaused", { step: step.id, away_s: awayNow(job) });
      go("/");
    });
  if (name === "more")
    return <MoreSheet job={job} step={step.id} here={pathOf(job, step.id)} locked={closed} onPause={pause} problem={attempt.problem.value} />;
  if (name === "stop") return <Beside show={({ StopSheet }) => <StopSheet view={view} onPause={pause} problem={attempt.problem.value} />} />;
  if (name === "picture" && step.picture) return <PictureSheet pack={pack} picture={step.picture} />;
  const place = placesOf(pack, step).find(({ id }) => name === `places-${id}`);
  if (place)
    return <PlaceTicks {...place} job={job} step={step.id} ticked={view.fold.positions[step.id]?.[place.id] ?? []} locked={closed} />;
  if (closed && !mayWriteBack(view)) return null;
  if (name === "note") return <NoteSheet job={job} step={step.id} />;
  if (closed) return null;
  if (name === "photo")
    return <PhotoSheet job={job} step={step.id} about={step.do.find(({ verb }) => verb === "photograph")?.object ?? ""} />;
  if (name === "timer") return <TimerSheet job={job} step={step.id} kept={view.fold.seconds[step.id] ?? null} />;
  if (name === "skip") {
    const safety = classesInWords(safetyOf(pack, step));
    const careful = safety ? skipWords.careful(safety) : step.cautions.length > 0 ? skipWords.cautioned : null;
    return <SkipSheet job={job} step={step.id} careful={careful} onSkipped={() => go(afterStep(view, step.id), true)} />;
  }
  return null;
}

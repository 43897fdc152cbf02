/** What a step shows, in the order it is needed: cautions, the act, its figure, its reading, drawings, what to look for. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { CautionCard, worstFirst } from "../../components/caution-card";
import { FigureShown, FigureUnknown } from "../../components/figure-shown";
import { TextField } from "../../components/fields";
import { Icon } from "../../components/icon";
import { say } from "../../components/said";
import { go } from "../../components/where";
import { BoltPattern } from "../../drawings/bolt-pattern";
import { WrenchScale } from "../../drawings/wrench-scale";
import { unreadOf } from "../../domain/journal";
import { record, type Caution, type Figure, type Step } from "../../store/bench";
import { answerWords, moreWords, stepWords as words } from "../../text/job-words";
import { counted } from "../../text/say";
import { Beside } from "../beside/door";
import { NumbersOfStep, WithMyWrench } from "../numbers/leads";
import { awayNow, type JobView } from "./job-view";
import { placesOf, tightenedTo, wrenchOf } from "./names";
import { PictureThumb } from "./pack-picture";
import { nextPlace, orderFor } from "./place-ticks";
import { askedReading } from "./reading";
import { ReadingEntry } from "./reading-entry";
import { StepActions } from "./step-actions";
import { StepTimer } from "./step-timer";
import { afterStep, blockedBy, pathOf, readingAt } from "./step-way";

export function StepBody({ view, step }: { view: JobView; step: Step }) {
  const { pack, fold, job, closed } = view;
  const asked = tightenedTo(pack, step);
  const reading = askedReading(pack, step);
  const wrench = wrenchOf(pack, step, asked);
  const cautions = worstFirst(step.cautions.map((id) => pack.cautions[id]).filter((caution): caution is Caution => caution !== undefined));
  const minutes = step.do.find(({ verb }) => verb === "wait")?.minutes ?? null;
  const timed = minutes !== null || step.do.some(({ verb }) => verb === "run");
  const newer = asked?.figure ? newerFigure(view, step, asked.figure.id) : null;
  return (
    <>
      {cautions.map((caution) => (
        <CautionCard key={caution.id} caution={caution} />
      ))}
      <AnsweredHere view={view} step={step} />
      <ChangedHere view={view} step={step} />
      <h1 class={asked || reading ? "say beside" : "say"}>{step.say}</h1>
      {asked &&
        (asked.known ? (
          <FigureShown figure={asked.figure} name={asked.name} newer={newer} stage={asked.stage} />
        ) : (
          <FigureUnknown name={asked.name} />
        ))}
      {wrench && <WrenchScale {...wrench} />}
      {reading && (
        <ReadingEntry
          key={step.id}
          job={job}
          step={step.id}
          pack={pack}
          asked={reading}
          reading={readingAt(view, step.id)}
          locked={closed}
        />
      )}
      {step.limits && !closed && blockedBy(view, step) === words.outsideFirst && <GoOnAnyway view={view} step={step} />}
      <Thumbs view={view} step={step} />
      {asked?.known && !closed && asked.stage?.angleDeg == null && (
        <WithMyWrench job={job} step={step.id} figure={asked.figure} share={asked.stage?.share ?? null} about={asked.name} />
      )}
      {!closed && usesNumbers(step) && <NumbersOfStep job={job} step={step.id} />}
      {step.look_for && (
        <p class="look-for">
          <strong>{words.lookFor}:</strong> {step.look_for}
        </p>
      )}
      {step.detail && <p>{step.detail}</p>}
      <StepActions pack={pack} step={step} />
      {timed && !closed && <StepTimer job={job} step={step.id} minutes={minutes} kept={fold.seconds[step.id] ?? null} />}
      {step.do.some(({ verb }) => verb === "photograph") && !closed && (
        <a class="press" href={`${pathOf(job, step.id)}?photo`}>
          <Icon name="photo" />
          {moreWords.photo}
        </a>
      )}
      <Written view={view} step={step} />
      {fold.replies.some((reply) => reply.step === step.id) && <Beside show={({ AnswersAt }) => <AnswersAt view={view} step={step.id} />} />}
      <StepState view={view} step={step} />
      {!closed && <Stopping view={view} step={step} />}
    </>
  );
}

/** Whether it can be left here; the link alone until its piece is read. */
function Stopping({ view, step }: { view: JobView; step: Step }) {
  const to = `${pathOf(view.job, step.id)}?stop`;
  const link = (
    <a class="inline-link tall" href={to}>
      {moreWords.wayOut}
    </a>
  );
  return <Beside show={({ StopLine }) => <StopLine view={view} to={to} />} meanwhile={link} />;
}

/** The figure in force in place of the one that this job goes by. */
function newerFigure({ news }: JobView, step: Step, id: string): { figure: Figure | null; revision: number } | null {
  const change = news?.bulletin.changes.find(({ figures, steps }) => figures?.old?.id === id && steps.includes(step.id));
  return news && change?.figures ? { figure: change.figures.new, revision: news.bulletin.to.revision } : null;
}

/** That a newer revision says something else about this step, with the way to what it says. */
function ChangedHere({ view: { news, job }, step }: { view: JobView; step: Step }) {
  const here = news?.bulletin.changes.filter(({ id, severity, steps }) => severity !== "words" && steps.includes(step.id) && news.concerns.includes(id));
  if (!news || !here?.length) return null;
  return (
    <a class="inline-link tall" href={`/job/${job}/changes`}>
      {words.changedHere(news.bulletin.to.revision)}
    </a>
  );
}

/** That the dealer answered something at this step; the words stand further down. */
function AnsweredHere({ view: { fold, job }, step }: { view: JobView; step: Step }) {
  const fresh = unreadOf(fold).filter((reply) => reply.step === step.id).length;
  if (fresh === 0) return null;
  return (
    <a class="inline-link tall" href={`/job/${job}/notes`}>
      {answerWords.fresh(fresh)}
    </a>
  );
}

/** A filling or a measurement with limits has something to work out; any other step finds its numbers under “More”. */
const usesNumbers = (step: Step): boolean => step.limits !== null || step.do.some(({ verb }) => verb === "fill");

function Thumbs({ view, step }: { view: JobView; step: Step }) {
  const here = pathOf(view.job, step.id);
  const places = placesOf(view.pack, step);
  if (!step.picture && places.length === 0) return null;
  return (
    <div class="thumbs">
      {step.picture && <PictureThumb pack={view.pack} picture={step.picture} to={`${here}?picture`} />}
      {places.map(({ id, joint, verb }) => {
        const ticked = view.fold.positions[step.id]?.[id] ?? [];
        return (
          <a key={id} class="thumb-link" href={`${here}?places-${id}`}>
            <BoltPattern joint={joint} order={orderFor(joint, verb)} ticked={ticked} next={nextPlace(joint, verb, ticked)} />
            <span>{words.places(ticked.length, joint.positions.length)}</span>
          </a>
        );
      })}
    </div>
  );
}

function Written({ view, step }: { view: JobView; step: Step }) {
  const notes = view.fold.notes.filter((note) => note.step === step.id).length;
  const photos = view.fold.photos.filter((photo) => photo.step === step.id).length;
  if (notes + photos === 0) return null;
  return (
    <a class="inline-link tall" href={`/job/${view.job}/notes`}>
      {[notes ? counted(notes, "note") : "", photos ? counted(photos, "photo") : ""].filter(Boolean).join(", ")}
    </a>
  );
}

/** Done or skipped, said with the way to take it back. */
function StepState({ view, step }: { view: JobView; step: Step }) {
  const attempt = useAttempt();
  const done = view.fold.done[step.id];
  const skipped = view.fold.skipped[step.id];
  if (!done && !skipped) return null;
  const takeBack = async (event: string) => {
    if (await attempt.run(() => record(view.job, "Retracted", { event }))) say(words.takenBack);
  };
  return (
    <div class="step-state">
      <p>{done ? words.doneAt(done.wall) : words.skippedFor(skipped?.reason ?? "")}</p>
      <Problem message={attempt.problem.value} />
      {!view.closed && (
        <button type="button" class="press" disabled={attempt.busy.value} onClick={() => takeBack((done ?? skipped!).event)}>
          {done ? words.takeBack : words.takeBackSkip}
        </button>
      )}
    </div>
  );
}

/** Going on against a limit that says stop: a reason, written down as a note for the dealer. The press stands in the text, away from Done. */
function GoOnAnyway({ view, step }: { view: JobView; step: Step }) {
  const reason = useDraft(`go-on:${view.job}:${step.id}`);
  const missing = useSignal(false);
  const open = useSignal(false);
  const attempt = useAttempt();
  const goOn = async () => {
    missing.value = reason.text.value.trim() === "";
    if (missing.value) return;
    const reading = readingAt(view, step.id)?.as_typed ?? "";
    const kept = await attempt.run(async () => {
      await record(view.job, "NoteWritten", { step: step.id, text: words.wentOn(reading, reason.text.value.trim()) });
      await record(view.job, "StepDone", { step: step.id, away_s: awayNow(view.job) });
      await reason.clear();
    });
    if (kept) go(afterStep(view, step.id));
  };
  if (!open.value) {
    return (
      <button type="button" class="press" onClick={() => (open.value = true)}>
        {words.goOnAnyway}
      </button>
    );
  }
  return (
    <div class="stack">
      <TextField
        label={words.goOnReason}
        value={reason.text.value}
        many
        error={missing.value ? words.reasonMissing : null}
        onText={reason.type}
      />
      <Problem message={attempt.problem.value} />
      <button type="button" class="press" disabled={attempt.busy.value} onClick={goOn}>
        {words.goOnAnyway}
      </button>
    </div>
  );
}

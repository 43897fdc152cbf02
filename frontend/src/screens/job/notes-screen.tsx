/** Everything written, measured and photographed in a job, in its order, each with where it stands. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { Icon } from "../../components/icon";
import { BackPress, Page } from "../../components/page";
import { say } from "../../components/said";
import { sheet } from "../../components/where";
import { itemReceivedAt, itemState, journalOf, photosInHand, photoUrl, record } from "../../store/bench";
import { notesWords as words, stepWords } from "../../text/job-words";
import { stateInWords, whenInWords } from "../../text/say";
import { Beside } from "../beside/door";
import { InHand } from "../sending/attention-list";
import { JobGate } from "./job-gate";
import { mayWriteBack, useJob, type JobView, type Note, type Photo, type Reading, type Reply } from "./job-view";
import { nameIn } from "./names";
import { NoteSheet } from "./note-sheet";
import { PhotoSheet } from "./photo-sheet";

export function NotesScreen({ job }: { job: string }) {
  return <JobGate loaded={useJob(job)}>{(view) => <Notes view={view} />}</JobGate>;
}

type Entry = { wall: string; key: string; step: string | null; body: preact.ComponentChildren };

function Notes({ view }: { view: JobView }) {
  const here = `/job/${view.job}/notes`;
  const writable = mayWriteBack(view);
  const entries = [
    ...view.fold.notes.map((note) => ofNote(view, note)),
    ...view.fold.photos.map(ofPhoto),
    ...view.fold.readings.map((reading) => ofReading(view, reading)),
    ...view.fold.replies.map((reply) => ofReply(view, reply)),
  ];
  const order = new Map(journalOf(view.job).value.map(({ id }, at) => [id, at]));
  entries.sort((a, b) => (order.get(a.key) ?? 0) - (order.get(b.key) ?? 0));
  return (
    <>
      <Page title={words.title} sub={view.pack.title} covered={(writable && sheet.value === "note") || (!view.closed && sheet.value === "photo")}>
        {photosInHand.value
          .filter(({ job }) => job === view.job)
          .map((photo) => (
            <InHand key={photo.id} photo={photo} />
          ))}
        {entries.length === 0 && <p class="card">{words.none}</p>}
        {entries.map(({ key, step, wall, body }) => (
          <section key={key} class="card">
            <p class="small soft">
              {placeOf(view, step)}, {whenInWords(wall)}
            </p>
            {body}
          </section>
        ))}
        <div class="presses">
          <BackPress otherwise={`/job/${view.job}`} />
          {writable && (
            <a class="press" href={`${here}?note`}>
              <Icon name="note" />
              {words.add}
            </a>
          )}
          {!view.closed && (
            <a class="press" href={`${here}?photo`}>
              <Icon name="photo" />
              {words.addPhoto}
            </a>
          )}
        </div>
      </Page>
      {writable && sheet.value === "note" && <NoteSheet job={view.job} step={null} />}
      {!view.closed && sheet.value === "photo" && <PhotoSheet job={view.job} step={null} about="" />}
    </>
  );
}

function placeOf(view: JobView, step: string | null): string {
  const at = view.steps.findIndex(({ id }) => id === step);
  return at < 0 ? words.whole : words.atStep(at + 1);
}

const ofNote = (view: JobView, note: Note): Entry => ({
  wall: note.wall,
  key: note.event,
  step: note.step,
  body: <NoteBody view={view} note={note} />,
});
const ofPhoto = (photo: Photo): Entry => ({ wall: photo.wall, key: photo.event, step: photo.step, body: <PhotoBody photo={photo} /> });
const ofReading = (view: JobView, reading: Reading): Entry => ({
  wall: reading.wall,
  key: reading.event,
  step: reading.step,
  body: (
    <>
      <p>
        {words.reading}: {nameIn(view.pack, reading.check)}.{" "}
        {{ within: stepWords.within, outside: stepWords.outside, unknown: stepWords.unknownLimit }[reading.verdict](reading.as_typed)}
      </p>
      <Standing id={reading.event} />
    </>
  ),
});

const ofReply = (view: JobView, reply: Reply): Entry => ({
  wall: reply.wall,
  key: reply.event,
  step: reply.step,
  body: <Beside show={({ AnswerCard }) => <AnswerCard view={view} reply={reply} />} />,
});

function Standing({ id }: { id: string }) {
  const state = itemState(id);
  const at = itemReceivedAt(id);
  return (
    <p class="small soft">
      {stateInWords[state]}
      {state === "received" && at && `, ${whenInWords(at)}`}
    </p>
  );
}

function NoteBody({ view, note }: { view: JobView; note: Note }) {
  const asked = useSignal(false);
  const attempt = useAttempt();
  const takeBack = async () => {
    if (await attempt.run(() => record(view.job, "Retracted", { event: note.event }))) say(stepWords.saved);
  };
  return (
    <>
      <p class="written">{note.text}</p>
      <Standing id={note.event} />
      <Problem message={attempt.problem.value} />
      {!view.closed && !asked.value && (
        <button type="button" class="press" onClick={() => (asked.value = true)}>
          {words.takeBack}
        </button>
      )}
      {asked.value && (
        <div class="presses">
          <button type="button" class="press main" onClick={() => (asked.value = false)}>
            {words.takeBackNo}
          </button>
          <button type="button" class="press" disabled={attempt.busy.value} onClick={takeBack}>
            {words.takeBackYes}
          </button>
        </div>
      )}
    </>
  );
}

function PhotoBody({ photo }: { photo: Photo }) {
  const { value } = useLoaded(photo.sha256, () => photoUrl(photo.sha256)).value;
  return (
    <>
      {value === "damaged" && <p>{words.damaged}</p>}
      {value === "missing" && <p>{words.missing}</p>}
      {value !== null && value !== "damaged" && value !== "missing" && (
        <img class="taken" src={value} alt={words.photoOf(photo.caption)} width={photo.width} height={photo.height} />
      )}
      {photo.caption && <p>{photo.caption}</p>}
      <Standing id={photo.sha256} />
    </>
  );
}

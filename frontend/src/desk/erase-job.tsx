// On the page of a job: taking it out as a file, and erasing what it holds, with what goes and what stays said before.
import { useSignal } from "@preact/signals";
import { call } from "./api";
import { eraseWords as words, fileWords } from "./job-file-words";
import { useSending, when, Words } from "./parts";
import { mayWrite } from "./state";

export function TakeOut({ job }: { job: string }) {
  return (
    <p>
      <a href={`/api/v1/desk/jobs/${encodeURIComponent(job)}/file`} download>
        {fileWords.out}
      </a>
      : {fileWords.outAbout}
    </p>
  );
}

const Listed = ({ items }: { items: string[] }) => (
  <ul>
    {items.map((item) => (
      <li key={item}>{item}</li>
    ))}
  </ul>
);

function Confirm({ job, leave, done }: { job: string; leave: () => void; done: (told: string) => void }) {
  const sure = useSignal(false);
  const { busy, problem, send } = useSending();
  const erase = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      const { events, photos } = await call<{ events: number; photos: number }>("DELETE", `/desk/jobs/${encodeURIComponent(job)}`);
      done(words.result(events, photos));
    });
  };
  return (
    <form onSubmit={erase}>
      <p>{words.goes}</p>
      <Listed items={words.goesList} />
      <p>{words.stays}</p>
      <Listed items={words.staysList} />
      <p>{words.later}</p>
      <TakeOut job={job} />
      <label class="choice">
        <input type="checkbox" required checked={sure.value} onChange={(e) => (sure.value = e.currentTarget.checked)} /> {words.sure}
      </label>
      <p class="in-line">
        <button class="danger" disabled={busy.value || !sure.value}>
          {words.act}
        </button>
        <button type="button" onClick={leave}>
          {words.leave}
        </button>
      </p>
      {problem.value && <Words message={problem.value} />}
    </form>
  );
}

export function EraseJob({ job, again }: { job: string; again: () => void }) {
  const asked = useSignal(false);
  const told = useSignal("");
  if (!mayWrite()) return null;
  const done = (result: string) => {
    told.value = result;
    asked.value = false;
    again();
  };
  return (
    <section class="card" aria-labelledby="erase-job">
      <h2 id="erase-job">{words.title}</h2>
      <p aria-live="polite">{told.value}</p>
      {asked.value ? <Confirm job={job} leave={() => (asked.value = false)} done={done} /> : <button onClick={() => (asked.value = true)}>{words.ask}</button>}
    </section>
  );
}

export const ErasedWord = ({ at }: { at: string | null }) => (at ? <p class="card look">{words.done(when(at))}</p> : null);

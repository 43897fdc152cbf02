// Answers to what came back in a job: what was answered, whether it was read on the phone, and the field to answer in.
import { createContext } from "preact";
import { useSignal } from "@preact/signals";
import { useContext, useEffect, useRef } from "preact/hooks";
import "../styles/desk-returns.css";
import { call } from "./api";
import { useSending, when, Words } from "./parts";

export type Reply = { event: string; to: string | null; step: string | null; text: string; by: string; at: string; seen: null | { device: string; wall: string } };

/** The job that is answered in, and what fetches it anew. */
export const Answering = createContext({ job: "", again: () => undefined as void });
const LONGEST = 2000;

export function Replies({ replies }: { replies: Reply[] }) {
  return (
    <>
      {replies.map((reply) => (
        <blockquote key={reply.event} class="reply">
          {reply.text}
          <footer class="quiet">
            Answer of {reply.by}, {when(reply.at)}. {reply.seen ? `Read on the phone of ${reply.seen.device}, ${when(reply.seen.wall)}.` : "Not read yet."}
          </footer>
        </blockquote>
      ))}
    </>
  );
}

/** `to`: the entry that is answered, else the step, else the whole job. `about` completes the name of the field. */
export function AnswerField({ to = null, step = null, about }: { to?: string | null; step?: string | null; about: string }) {
  const { job, again } = useContext(Answering);
  const open = useSignal(false);
  const text = useSignal("");
  const field = useRef<HTMLTextAreaElement>(null);
  useEffect(() => void (open.value && field.current?.focus()), [open.value]);
  const { busy, problem, send } = useSending();
  const answer = (event: Event) => {
    event.preventDefault();
    void send(async () => {
      await call("POST", `/desk/jobs/${encodeURIComponent(job)}/replies`, { to, step, text: text.value });
      text.value = "";
      open.value = false;
      again();
    });
  };
  if (!open.value) {
    return (
      <button class="answer-press" aria-label={`Answer ${about}`} onClick={() => (open.value = true)}>
        Answer
      </button>
    );
  }
  return (
    <form class="answer-form" onSubmit={answer}>
      <label>
        Answer {about}
        <textarea rows={3} maxLength={LONGEST} value={text.value} ref={field} onInput={(e) => (text.value = e.currentTarget.value)} />
      </label>
      <p class="quiet">It goes into the job and reaches its phones with their next sync. It cannot be taken back there.</p>
      {problem.value && <Words message={problem.value} />}
      <p class="in-line">
        <button class="main" disabled={busy.value || text.value.trim() === ""}>
          {busy.value ? "Sending …" : "Send the answer"}
        </button>
        <button type="button" onClick={() => (open.value = false)}>
          Not now
        </button>
      </p>
    </form>
  );
}

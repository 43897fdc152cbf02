// Small pieces that several pages of the desk use.
import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useEffect } from "preact/hooks";
import { type Message, wordsOf } from "./api";
import { go } from "./state";

export { counted, when } from "./said";

export function Link({ to, children, current }: { to: string; children: ComponentChildren; current?: boolean }) {
  const follow = (event: MouseEvent) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    go(to);
  };
  return (
    <a href={to} onClick={follow} {...(current ? { "aria-current": "page" as const } : {})}>
      {children}
    </a>
  );
}

/** A message in its three parts. */
export function Words({ message }: { message: Message }) {
  return (
    <div class="words" role="alert">
      <p class="words-happened">{message.happened}</p>
      <p>{message.means}</p>
      <p>{message.do}</p>
    </div>
  );
}

/** Loads something once a key changes and shows it, the words of what went wrong, or that it is being fetched. */
export function Loaded<T>({ of, load, children }: { of: string; load: () => Promise<T>; children: (value: T, again: () => void) => ComponentChildren }) {
  const value = useSignal<T | null>(null);
  const problem = useSignal<Message | null>(null);
  const fetchIt = () => {
    load().then(
      (found) => {
        value.value = found;
        problem.value = null;
      },
      (error: unknown) => {
        problem.value = wordsOf(error);
      },
    );
  };
  useEffect(() => {
    value.value = null;
    fetchIt();
  }, [of]);
  if (problem.value) return <Words message={problem.value} />;
  if (value.value === null) return <p class="quiet">Fetching from the server …</p>;
  return <>{children(value.value, fetchIt)}</>;
}

/** A form whose sending is said in words; what was typed stays when the server refuses. */
export function useSending() {
  const busy = useSignal(false);
  const problem = useSignal<Message | null>(null);
  const send = async (act: () => Promise<void>) => {
    busy.value = true;
    problem.value = null;
    try {
      await act();
    } catch (error) {
      problem.value = wordsOf(error);
    } finally {
      busy.value = false;
    }
  };
  return { busy, problem, send };
}

type LineProps = { label: string; typed: Signal<string>; password?: boolean; autocomplete: string; minLength?: number; maxLength?: number };

/** One line that must be filled in, kept in `typed` as it is typed. */
export function TypedLine({ label, typed, password, ...others }: LineProps) {
  const input = { ...others, required: true, value: typed.value, onInput: (event: { currentTarget: HTMLInputElement }) => void (typed.value = event.currentTarget.value) };
  return (
    <label>
      {label}
      {password ? <input type="password" {...input} /> : <input {...input} />}
    </label>
  );
}

/** A password that is set anew. */
export const NewPassword = ({ label, typed }: { label: string; typed: Signal<string> }) => (
  <TypedLine label={`${label}, at least 10 characters`} typed={typed} password minLength={10} autocomplete="new-password" />
);

/** A QR code that the server drew, shown as a picture so that no markup is ever put into the page. */
export function Code({ svg, label }: { svg: string; label: string }) {
  const address = useSignal("");
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
    address.value = made;
    return () => URL.revokeObjectURL(made);
  }, [svg]);
  return address.value ? <img class="code" src={address.value} alt={label} /> : null;
}

/** A document to print, on either paper. */
export function PaperLinks({ at, words }: { at: string; words: string }) {
  return (
    <p>
      {words} to print:{" "}
      {["A4", "Letter"].map((size, index) => (
        <>
          {index > 0 && ", "}
          <a key={size} href={`${at}?size=${size}`} target="_blank" rel="noreferrer" aria-label={`${words}, PDF on ${size}`}>
            {size}
          </a>
        </>
      ))}
    </p>
  );
}

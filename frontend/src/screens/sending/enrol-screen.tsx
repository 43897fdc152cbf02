/** Joining a dealer with a one-time code, typed or brought by a link (/enrol#code=…). */
import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { focusFirstError, TextField } from "../../components/fields";
import { BackPress, Page } from "../../components/page";
import { say } from "../../components/said";
import { go, where } from "../../components/where";
import { enrol, enrolment } from "../../store/bench";
import { dealerName } from "./sending-screen";
import { enrolWords as words, sendingWords } from "../../text/sending-words";

const codeInLink = (hash: string): string => new URLSearchParams(hash).get("code") ?? "";

export function EnrolScreen() {
  const code = useDraft("enrol:code", codeInLink(where.peek().hash));
  const label = useDraft("enrol:label", enrolment.peek()?.label ?? "");
  const tried = useSignal(false);
  const attempt = useAttempt();
  // the code is taken out of the address at once, so that it stays in no history
  useEffect(() => {
    if (where.peek().hash) go("/enrol", true);
  }, []);
  const join = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    const [given, name] = [code.text.value.trim(), label.text.value.trim()];
    if (!given || !name) return focusFirstError();
    if (await attempt.run(() => enrol(given, name))) {
      await Promise.all([code.clear(), label.clear()]);
      say(words.joined);
      go("/sending", true);
    }
  };
  return (
    <Page title={words.title} sub={words.sub}>
      {enrolment.value && !enrolment.value.revoked && (
        <p class="card">{sendingWords.joined(dealerName(enrolment.value.dealer), enrolment.value)}</p>
      )}
      <section class="card">
        <h2>{words.sends}</h2>
        <ul class="rows">
          {words.sendsLines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
      <form class="stack" onSubmit={join} noValidate>
        <TextField
          label={words.code}
          hint={words.codeHint}
          value={code.text.value}
          max={40}
          error={tried.value && !code.text.value.trim() ? words.codeMissing : null}
          onText={code.type}
        />
        <TextField
          label={words.label}
          hint={words.labelHint}
          value={label.text.value}
          max={60}
          error={tried.value && !label.text.value.trim() ? words.labelMissing : null}
          onText={label.type}
        />
        <Problem message={attempt.problem.value} />
        <div class="presses">
          <BackPress otherwise="/sending" />
          <button type="submit" class="press main" disabled={attempt.busy.value}>
            {attempt.busy.value ? words.joining : words.join}
          </button>
        </div>
      </form>
    </Page>
  );
}

/** One calculation: the answer on top once there is one, the fields below, the press under the thumb. What is typed survives leaving. */
import { useComputed, useSignal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import { Problem, refusal, shownOf, useAttempt } from "../../components/attempt";
import { focusFirstError } from "../../components/fields";
import { Leads, Page } from "../../components/page";
import { say } from "../../components/said";
import { sheet } from "../../components/where";
import type { Answer } from "../../domain/answer";
import { clearDraft, readDraft, record, writeDraft, type Message } from "../../store/bench";
import { numbersWords as words } from "../../text/numbers-words";
import { AnswerView, answerText } from "./answer-view";
import { aroundNow } from "./around";
import type { Calculator, Said } from "./calculator";
import { firstForm, readForm, sameForm, typedInWords, type Form } from "./fields";
import { formOf } from "./form-text";
import { FormView, inThreeParts } from "./form-view";
import { ticksAt } from "./order-drawing";
import { calculators } from "./registry";

type Found = { answer: Answer; said: Said; of: Form };
type Given = { job: string | null; step: string | null; about: string; first: Form };

export function NumberRoom({ name }: { name: string }) {
  const calculator = calculators().find((each) => each.name === name);
  if (!calculator) return <Unknown written={name} />;
  const Room = calculator.room ?? OneNumber;
  return <Room calculator={calculator} />;
}

function Unknown({ written }: { written: string }) {
  return (
    <Page title={words.title}>
      <Problem message={refusal("number_screen_unknown", { written }).shown} />
      <a class="press main" href="/numbers">
        {words.list}
      </a>
    </Page>
  );
}

/** What the address brings along: the step to attach to, and fields that are known there. */
function givenBy(query: string, calculator: Calculator): Given {
  const told = new URLSearchParams(query);
  const ofField = (at: string) => calculator.fields.some(({ key }) => at === key || at.startsWith(`${key}.`));
  const first = [...told].filter(([at]) => ofField(at));
  return { job: told.get("job"), step: told.get("step"), about: told.get("about") ?? "", first: Object.fromEntries(first) };
}

/** Where the form lies that was answered last, so that the answer comes back with it. */
const answeredAt = (key: string): string => `${key}#answer`;

function OneNumber({ calculator }: { calculator: Calculator }) {
  const given = useMemo(() => givenBy(sheet.peek(), calculator), [calculator]);
  const key = `numbers:${calculator.name}${[given.job, given.step, given.about].map((part) => (part ? `:${part}` : "")).join("")}`;
  const around = aroundNow(key);
  const start = useMemo(() => ({ ...firstForm(calculator.fields, around), ...given.first }), [calculator]);
  const form = useSignal<Form>(start);
  const touched = useSignal(false);
  const found = useSignal<Found | null>(null);
  const errors = useSignal<Record<string, string>>({});
  const problem = useSignal<Message | null>(null);
  const stale = useComputed(() => found.value !== null && !sameForm(found.value.of, form.value));
  const top = useRef<HTMLDivElement>(null);
  useEffect(() => {
    void Promise.all([readDraft(key), readDraft(answeredAt(key))]).then(([draft, answered]) => {
      if (touched.peek()) return;
      if (draft !== "") form.value = { ...start, ...formOf(draft) };
      if (answered !== "") found.value = foundAgain(formOf(answered));
    });
  }, [key]);
  const foundOf = (of: Form): Found => {
    const { input, failures } = readForm(calculator.fields, of, around.imperial);
    const [failure] = Object.values(failures);
    if (failure) throw failure;
    const answer = calculator.work(input, around);
    return { answer, said: calculator.said(answer.values, input, around), of };
  };
  /** An answer that stood here before; what no longer gives one is simply asked anew. */
  const foundAgain = (of: Form): Found | null => {
    try {
      return foundOf(of);
    } catch {
      return null;
    }
  };
  const putAll = (filled: Form) => {
    touched.value = true;
    form.value = { ...form.peek(), ...filled };
    writeDraft(key, JSON.stringify(form.peek()));
  };
  const put = (at: string, text: string) => putAll({ [at]: text });
  const refuse = (message: Message | null, at: Record<string, string>) => {
    found.value = null;
    errors.value = at;
    problem.value = message;
    if (Object.keys(at).length > 0) focusFirstError();
  };
  const work = (event: Event) => {
    event.preventDefault();
    const { failures } = readForm(calculator.fields, form.peek(), around.imperial);
    if (Object.keys(failures).length > 0) return refuse(null, inThreeParts(failures));
    try {
      found.value = foundOf(form.peek());
      touched.value = true;
      writeDraft(answeredAt(key), JSON.stringify(form.peek()));
      errors.value = {};
      problem.value = null;
      requestAnimationFrame(() => top.current?.scrollIntoView?.({ block: "start" }));
    } catch (error) {
      refuse(shownOf(error), {});
    }
  };
  const startOver = () => {
    form.value = start;
    [found.value, errors.value, problem.value] = [null, {}, null];
    for (const at of [key, answeredAt(key), ticksAt(key)]) void clearDraft(at);
  };
  const press = (
    <button type="submit" form="number-form" class="press main grow">
      {found.value ? words.again : words.work}
    </button>
  );
  return (
    <Page title={calculator.title} sub={calculator.line} act={press}>
      <div ref={top} class="row-list">
        {found.value && <AnswerView calculator={calculator} answer={found.value.answer} said={found.value.said} />}
        {stale.value && <p role="status">{words.typedChanged}</p>}
        {found.value && given.job && !stale.value && <Attach {...{ calculator, given }} found={found.value} imperial={around.imperial} />}
      </div>
      <form id="number-form" class="number-form" onSubmit={work} noValidate>
        {calculator.fill && <Fill fill={calculator.fill} put={putAll} />}
        <FormView fields={calculator.fields} form={form.value} errors={errors.value} imperial={around.imperial} put={put} />
        <Problem message={problem.value} />
      </form>
      {around.tools.length === 0 && calculator.group === "wrench" && (
        <section class="card">
          <Leads to="/tools" name={words.tools}>
            <span class="row-line small soft">{words.noTools}</span>
          </Leads>
        </section>
      )}
      <div class="presses">
        <a class="press" href="/numbers">
          {words.list}
        </a>
        <button type="button" class="press" onClick={startOver}>
          {words.empty}
        </button>
      </div>
    </Page>
  );
}

/** A press that takes fields from what this phone keeps, and says what it took. */
function Fill({ fill, put }: { fill: NonNullable<Calculator["fill"]>; put: (form: Form) => void }) {
  const attempt = useAttempt();
  const said = useSignal("");
  const take = () =>
    attempt.run(async () => {
      const filled = await fill.from();
      put(filled.form);
      said.value = filled.said;
    });
  return (
    <>
      <button type="button" class="press" disabled={attempt.busy.value} onClick={() => void take()}>
        {fill.press}
      </button>
      <Problem message={attempt.problem.value} />
      {said.value !== "" && <p role="status">{said.value}</p>}
    </>
  );
}

/** The answer as a note of the step it was worked out for. */
function Attach({ calculator, given, found, imperial }: { calculator: Calculator; given: Given; found: Found; imperial: boolean }) {
  const attempt = useAttempt();
  const kept = useSignal<Found | null>(null);
  const { job, step } = given;
  if (job === null) return null;
  const attach = async () => {
    const text = answerText(calculator.title, found.said, found.answer, typedInWords(calculator.fields, found.of, imperial));
    if (!(await attempt.run(() => record(job, "NoteWritten", { step, text })))) return;
    kept.value = found;
    say(words.attached);
  };
  return (
    <>
      <Problem message={attempt.problem.value} />
      <div class="presses">
        {kept.value === found ? <p role="status">{words.attached}</p> : (
          <button type="button" class="press main" disabled={attempt.busy.value} onClick={attach}>
            {words.attach}
          </button>
        )}
        {step && (
          <a class="press" href={`/job/${job}/step/${encodeURIComponent(step)}`}>
            {words.backToStep}
          </a>
        )}
      </div>
    </>
  );
}

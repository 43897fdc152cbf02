// A procedure in the browser: its steps, what the checks say of them, and the phone beside them.
import { useComputed, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { ProcedurePack } from "../../generated/procedure-pack";
import { call } from "../api";
import { Link } from "../parts";
import { stopsWords as words } from "../stops-words";
import type { Editing } from "./editing";
import { FindingLines } from "./findings-list";
import { HeadForm } from "./head-form";
import { PhoneView } from "./phone-view";
import { StepList } from "./step-list";
import { stepsIn } from "./steps";
import { Stops } from "./stops";
import { TextView } from "./text-view";
import { thingsOfPack, thingsOfText, type Things } from "./things";
import type { Finding, Pack } from "./types";
import { SendForReview } from "./send-for-review";
import { EditBar } from "./use-editing";
import { useVariant, VariantChoice } from "./variant-choice";

/** The map's things; the procedure's own when it names no model. Fetched again when another map is used. */
function useThings(editing: Editing): Things {
  const ofMap = useSignal<Things | null>(null);
  const { mapUsed } = editing;
  const key = mapUsed.value ? `${mapUsed.value.from} ${mapUsed.value.id} ${mapUsed.value.version}` : "";
  useEffect(() => {
    if (!key || mapUsed.value?.from === "none") return;
    call<{ map: Pack | null }>("GET", `/desk/workfiles/${editing.file.id}/map`).then(
      ({ map }) => map && (ofMap.value = thingsOfPack(map)),
      () => undefined, // without a connection the things known so far stay
    );
  }, [key]);
  const own = useComputed(() => thingsOfText(editing.readable.value));
  return ofMap.value ?? own.value;
}

export function ProcedureSheet({ editing }: { editing: Editing }) {
  const view = useSignal("steps");
  const opened = useSignal(-1);
  const line = useSignal<number | null>(null);
  const walked = useSignal<string | null>(null);
  const phone = useSignal(true);
  const pack = editing.pack.value as ProcedurePack | null;
  const chosen = useVariant(pack);
  const things = useThings(editing);
  const steps = stepsIn(editing.readable.value);
  const findings = editing.findings.value ?? [];
  const byStep = new Map<string, Finding[]>();
  for (const finding of findings) if (finding.step) byStep.set(finding.step, [...(byStep.get(finding.step) ?? []), finding]);
  const known = new Set(steps.map((step) => String(step["id"])));
  const ofHead = findings.filter(({ step }) => step === null || !known.has(step));
  const toLine = (finding: Finding) => {
    view.value = "text";
    line.value = finding.line;
  };
  const used = editing.mapUsed.value;
  useEffect(() => {
    document.title = `${editing.file.title} · Benchtrail desk`;
  }, []);
  const openedStep = opened.value >= 0 ? String(steps[opened.value]?.["id"] ?? "") : null;
  return (
    <main class="sheet wide">
      <p>
        <Link to="/desk/writing">All maps and procedures in writing</Link>
      </p>
      <h1>{String((editing.readable.value.data as { title?: string })?.title ?? editing.file.title)}</h1>
      <EditBar editing={editing} view={view} views={[["steps", "Steps"], ["head", "About it"], ["stops", words.view], ["text", "Text"]]} />
      <SendForReview editing={editing} />
      <p class="quiet">
        {used?.from === "workfile" && <>Proven on the map in writing, version {used.version}. </>}
        {used?.from === "published" && <>Proven on the published map, revision {used.version}. </>}
        {used?.from === "none" && used.id && <>There is no map of {used.id} yet. </>}
        <button class="quiet-button" onClick={() => (phone.value = !phone.value)}>
          {phone.value ? "Put the phone away" : "Show the phone"}
        </button>
      </p>
      <div class={phone.value ? "write-two" : ""}>
        <div>
          {view.value !== "text" && ofHead.length > 0 && (
            <section class="card" aria-label="About the whole">
              <h2>About the whole</h2>
              <FindingLines findings={ofHead} editing={editing} things={things} at={toLine} />
            </section>
          )}
          {view.value === "steps" && <StepList editing={editing} things={things} opened={opened} byStep={byStep} toLine={toLine} />}
          {view.value === "head" && <HeadForm editing={editing} things={things} />}
          {view.value === "stops" && !phone.value && <VariantChoice pack={pack} chosen={chosen} />}
          {view.value === "stops" && <Stops pack={pack} variant={chosen.variant} />}
          {view.value === "text" && <TextView editing={editing} things={things} line={line} />}
        </div>
        {phone.value && <PhoneView editing={editing} chosen={chosen} step={openedStep} onStep={(step) => (walked.value = step)} />}
      </div>
    </main>
  );
}

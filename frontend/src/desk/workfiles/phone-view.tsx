// The phone beside the text: its own screens in a frame of 360 pixels, for the variant that is chosen.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { ProcedurePack } from "../../generated/procedure-pack";
import type { Editing } from "./editing";

type Props = { editing: Editing; step: string | null; onStep: (step: string) => void };

export function PhoneView({ editing, step, onStep }: Props) {
  const pack = editing.pack.value as ProcedurePack | null;
  const ready = useSignal(false);
  const year = useSignal("");
  const fitted = useSignal<string[]>([]);
  const frame = useRef<HTMLIFrameElement>(null);
  const latest = useRef(onStep);
  latest.current = onStep;
  useEffect(() => {
    const onMessage = (event: MessageEvent<{ follow?: string; step?: string | null }>) => {
      if (event.origin !== location.origin || event.source !== frame.current?.contentWindow) return;
      if (event.data.follow === "ready") ready.value = true;
      if (event.data.follow === "at" && event.data.step) latest.current(event.data.step);
    };
    addEventListener("message", onMessage);
    return () => removeEventListener("message", onMessage);
  }, []);
  const model = pack?.model ?? null;
  const years = model ? Array.from({ length: model.years[1] - model.years[0] + 1 }, (_, n) => model.years[0] + n) : [];
  const variant = { year: Number(year.value) || years.at(-1) || 2026, options: model ? withGroups(model.options, fitted.value) : [] };
  const send = (again: boolean, at: string | null) => {
    const pictures = `/api/v1/desk/workfiles/${editing.file.id}/pictures/`;
    frame.current?.contentWindow?.postMessage({ pack, variant, pictures, step: at, again }, location.origin);
  };
  const key = JSON.stringify(variant);
  useEffect(() => {
    if (ready.value && pack && pack.steps.length > 0) send(false, null);
  }, [ready.value, pack, key]);
  useEffect(() => {
    if (ready.value && pack && step && pack.steps.some(({ id }) => id === step)) send(false, step);
  }, [step]);
  return (
    <aside class="phone-view" aria-label="The phone">
      {model && (
        <div class="phone-variant">
          <label>
            Model year
            <select value={String(variant.year)} onChange={(e) => (year.value = e.currentTarget.value)}>
              {years.map((one) => (
                <option key={one}>{one}</option>
              ))}
            </select>
          </label>
          <div>
            {model.options.map(({ id, name, group }) => (
              <label key={id} class="tick-line">
                <input
                  type="checkbox"
                  checked={variant.options.includes(id)}
                  onChange={(e) => (fitted.value = toggled(model.options, fitted.value, id, e.currentTarget.checked, group))}
                />
                {name}
              </label>
            ))}
          </div>
        </div>
      )}
      <iframe ref={frame} src="/desk/follow" title="The phone, as the text stands" width="360" height="680" />
      <p>
        <button disabled={!pack} onClick={() => send(true, null)}>
          Walk through from the start
        </button>
      </p>
    </aside>
  );
}

type Option = { id: string; group: string | null };

const toggled = (options: Option[], fitted: string[], id: string, on: boolean, group: string | null): string[] => {
  const others = fitted.filter((one) => one !== id && (group === null || options.find((option) => option.id === one)?.group !== group));
  return on ? [...others, id].sort() : others;
};

/** Of one group exactly one option is fitted: the first when none was chosen. */
function withGroups(options: Option[], fitted: string[]): string[] {
  const groups = [...new Set(options.map(({ group }) => group).filter((group) => group !== null))];
  const missing = groups.filter((group) => !options.some((option) => option.group === group && fitted.includes(option.id)));
  const firsts = missing.map((group) => options.find((option) => option.group === group)!.id);
  return [...fitted.filter((id) => options.some((option) => option.id === id)), ...firsts].sort();
}

// The phone beside the text: its own screens in a frame of 360 pixels, for the variant that is chosen.
import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { ProcedurePack } from "../../generated/procedure-pack";
import type { Editing } from "./editing";
import { VariantChoice, type Chosen } from "./variant-choice";

type Props = { editing: Editing; chosen: Chosen; step: string | null; onStep: (step: string) => void };

export function PhoneView({ editing, chosen, step, onStep }: Props) {
  const { variant } = chosen;
  const pack = editing.pack.value as ProcedurePack | null;
  const ready = useSignal(false);
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
      <VariantChoice pack={pack} chosen={chosen} />
      <iframe ref={frame} src="/desk/follow" title="The phone, as the text stands" width="360" height="680" />
      <p>
        <button disabled={!pack} onClick={() => send(true, null)}>
          Walk through from the start
        </button>
      </p>
    </aside>
  );
}

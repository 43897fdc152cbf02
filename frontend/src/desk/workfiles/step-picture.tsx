// The picture of a step: one that is there, or a new one, cropped and drawn on.
import { useSignal } from "@preact/signals";
import { Loaded, useSending, Words } from "../parts";
import type { Editing } from "./editing";
import { PictureMarks } from "./picture-marks";
import { pictureAddress, picturesOf, sendPicture } from "./pictures";
import { STEP_KEYS, type StepText } from "./steps";
import { tryEdit } from "./use-editing";
import { setValue } from "./yaml-text";

const nameOf = (picture: StepText[string] | undefined): string => (typeof picture === "string" ? picture : picture && !Array.isArray(picture) ? String(picture["file"] ?? "") : "");
const altOf = (picture: StepText[string] | undefined): string => (picture && typeof picture === "object" && !Array.isArray(picture) ? String(picture["alt"] ?? "") : "");

export function StepPicture({ editing, at, step }: { editing: Editing; at: number; step: StepText }) {
  const { file } = editing;
  const name = nameOf(step["picture"]);
  const drawing = useSignal<Blob | null>(null);
  const { busy, problem, send } = useSending();
  const put = (next: string, alt: string) =>
    tryEdit(editing, (text) => setValue(text, ["steps", at, "picture"], next ? (alt ? { file: next, alt } : next) : null, STEP_KEYS), `picture ${at}`);
  const take = (made: Blob) =>
    void send(async () => {
      const kept = await sendPicture(file.id, `${String(step["id"] ?? "step")}.jpg`, made);
      put(kept.name, altOf(step["picture"]));
      drawing.value = null;
    });
  const drawOnIt = () =>
    void send(async () => {
      const answer = await fetch(pictureAddress(file.id, name), { credentials: "same-origin" });
      drawing.value = await answer.blob();
    });
  return (
    <fieldset class="step-picture">
      <legend>Picture</legend>
      {name && <img src={pictureAddress(file.id, name)} alt={altOf(step["picture"]) || String(step["say"] ?? "")} />}
      {name && (
        <label>
          What it shows, in words
          <input value={altOf(step["picture"])} onInput={(e) => put(name, e.currentTarget.value.replace(/\s+/g, " ").trimStart())} />
        </label>
      )}
      <Loaded of={`${file.id} ${name}`} load={() => picturesOf(file.id)}>
        {(there) => (
          <label>
            One that is there
            <select value={name} onChange={(e) => put(e.currentTarget.value, altOf(step["picture"]))}>
              <option value="">No picture</option>
              {name && !there.some((one) => one.name === name) && <option value={name}>{name}</option>}
              {there.map((one) => (
                <option key={one.name} value={one.name}>
                  {one.name.replace("pictures/", "")}
                </option>
              ))}
            </select>
          </label>
        )}
      </Loaded>
      <label class="file">
        A new one from this computer or tablet
        <input type="file" accept="image/jpeg,image/png,image/webp" onChange={(e) => (drawing.value = e.currentTarget.files?.[0] ?? null)} />
      </label>
      {name && !drawing.value && (
        <button disabled={busy.value} onClick={drawOnIt}>
          Crop it, draw arrows and numbers
        </button>
      )}
      {problem.value && <Words message={problem.value} />}
      {drawing.value && <PictureMarks source={drawing.value} busy={busy.value} take={take} close={() => (drawing.value = null)} />}
    </fieldset>
  );
}

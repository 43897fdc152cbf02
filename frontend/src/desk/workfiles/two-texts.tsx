// Two people wrote the same place: both texts side by side, one choice for each place. Nothing is lost: both stay versions.
import { useSignal } from "@preact/signals";
import { when } from "../parts";
import type { Editing } from "./editing";
import type { MovedOn, Part } from "./types";

type Torn = Extract<Part, { mine: string | null }>;
const isTorn = (part: Part): part is Torn => "mine" in part;

function Side({ words, text, chosen, choose }: { words: string; text: string | null; chosen: boolean; choose: () => void }) {
  return (
    <div class={chosen ? "two-side chosen" : "two-side"}>
      <h4>{words}</h4>
      <pre tabIndex={0} aria-label={`${words}, the text`}>
        {text ?? "(taken out)"}
      </pre>
      <button aria-pressed={chosen} onClick={choose}>
        {chosen ? "Taken" : "Take this"}
      </button>
    </div>
  );
}

export function TwoTexts({ editing, found }: { editing: Editing; found: MovedOn }) {
  const chosen = useSignal<Record<string, "mine" | "theirs">>({});
  const whole: Part[] = [{ name: "the whole text", base: null, mine: found.mine, theirs: found.theirs }];
  const parts = found.parts ?? whole;
  const torn = parts.filter(isTorn);
  const take = () => {
    const made = parts.map((part) => (isTorn(part) ? part[chosen.value[part.name]!] : part.text)).filter((text) => text !== null);
    editing.resolve(made.map((text, at) => (at < made.length - 1 && text !== "" && !text.endsWith("\n") ? `${text}\n` : text)).join(""));
  };
  return (
    <section class="card look" aria-label="Two people wrote">
      <h2>You and {found.saved_by} wrote the same place</h2>
      <p>
        {found.saved_by} saved version {found.version} at {when(found.saved_at)}. Everything else is put together already. Choose for each place; the text not taken
        stays in its version.
      </p>
      {torn.map((part) => (
        <div class="two-texts" key={part.name}>
          <h3>{part.name.replace("steps/", "step ").replace("/", ": ")}</h3>
          <Side words="Yours" text={part.mine} chosen={chosen.value[part.name] === "mine"} choose={() => (chosen.value = { ...chosen.value, [part.name]: "mine" })} />
          <Side
            words={found.saved_by}
            text={part.theirs}
            chosen={chosen.value[part.name] === "theirs"}
            choose={() => (chosen.value = { ...chosen.value, [part.name]: "theirs" })}
          />
        </div>
      ))}
      <button class="press" disabled={torn.some(({ name }) => !chosen.value[name])} onClick={take}>
        Go on with what is taken
      </button>
    </section>
  );
}

/** Putting the app on the phone: the browser's own offer where there is one, else how to do it by hand. */
import { signal } from "@preact/signals";
import { storage } from "../store/bench";
import { installWords as words } from "../text/bench-words";

type Offer = Event & { prompt: () => Promise<unknown> };
const offer = signal<Offer | null>(null);

/** Keeps the browser's offer until the person presses our button. Call once, early. */
export function awaitInstallOffer(): void {
  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    offer.value = event as Offer;
  });
  addEventListener("appinstalled", () => (offer.value = null));
}

export function InstallHint() {
  if (storage.value.installed) return null;
  const held = offer.value;
  const press = () => {
    offer.value = null;
    void held?.prompt();
  };
  return (
    <section class="card">
      <h2>{words.install}</h2>
      <p>{words.why}</p>
      {held ? (
        <button type="button" class="press" onClick={press}>
          {words.install}
        </button>
      ) : (
        <p>{words.how}</p>
      )}
    </section>
  );
}

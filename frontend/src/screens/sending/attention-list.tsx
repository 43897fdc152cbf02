/** What the person must look at: refused items, and photos that could not be made ready. */
import { useSignal } from "@preact/signals";
import { Problem, useAttempt } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { acknowledge, discardPhoto, outbox, photosInHand, photoUrl, type PhotoInHand } from "../../store/bench";
import { sendingWords as words } from "../../text/sending-words";

export function AttentionList() {
  const { attention } = outbox.value;
  const inHand = photosInHand.value;
  if (attention.length === 0 && inHand.length === 0) return null;
  return (
    <section class="card">
      <h2>{words.attention}</h2>
      {attention.map(({ id, message }) => (
        <div class="stack" key={id}>
          <Problem message={message} />
          <button type="button" class="press" onClick={() => void acknowledge(id)}>
            {words.read}
          </button>
        </div>
      ))}
      {inHand.map((photo) => (
        <InHand key={photo.id} photo={photo} />
      ))}
    </section>
  );
}

/** Putting a photo away takes a second press in another place; until then it can be kept as a file. */
export function InHand({ photo }: { photo: PhotoInHand }) {
  const asked = useSignal(false);
  const attempt = useAttempt();
  const address = useLoaded(photo.id, () => photoUrl(photo.id)).value.value;
  const bytes = address !== null && address !== "damaged" && address !== "missing" ? address : null;
  if (!photo.message) return <p role="status">{words.makingReady}</p>;
  return (
    <div class="stack">
      <Problem message={attempt.problem.value ?? photo.message} />
      {bytes && (
        <a class="press" href={bytes} download={`photo-${photo.id.slice(0, 8)}`}>
          {words.keepFile}
        </a>
      )}
      {asked.value ? (
        <>
          <p>{words.putAwayAsk}</p>
          <div class="presses">
            <button type="button" class="press main" onClick={() => (asked.value = false)}>
              {words.putAwayNo}
            </button>
            <button type="button" class="press" onClick={() => attempt.run(() => discardPhoto(photo.id))}>
              {words.putAwayYes}
            </button>
          </div>
        </>
      ) : (
        <button type="button" class="press" onClick={() => (asked.value = true)}>
          {words.putAway}
        </button>
      )}
    </div>
  );
}

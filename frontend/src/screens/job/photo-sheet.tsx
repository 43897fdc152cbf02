/** Taking a photo, from the camera or from the phone. Drafts are flushed first: opening the camera can end the page on some phones. */
import { useRef } from "preact/hooks";
import { Problem, useAttempt } from "../../components/attempt";
import { useDraft } from "../../components/draft";
import { TextField } from "../../components/fields";
import { Icon } from "../../components/icon";
import { say } from "../../components/said";
import { closeSheet, Sheet } from "../../components/sheet";
import { addPhoto, flushDrafts } from "../../store/bench";
import { moreWords, noteWords as words } from "../../text/job-words";

export function PhotoSheet({ job, step, about }: { job: string; step: string | null; about: string }) {
  const caption = useDraft(`caption:${job}:${step ?? "job"}`, about);
  const attempt = useAttempt();
  // the sheet closes as soon as the picture is safe; making it ready goes on behind, and a failure stands on the sending page
  const take = async (file: File | undefined) => {
    if (!file) return;
    await attempt.run(
      () =>
        new Promise<void>((safe, refused) => {
          addPhoto(job, step, file, caption.text.value.trim(), safe).then(() => safe(), refused);
        }),
    );
    if (attempt.problem.peek()) return;
    await caption.clear();
    say(words.safe);
    closeSheet();
  };
  return (
    <Sheet title={words.photoTitle} close={moreWords.back}>
      <TextField label={words.caption} hint={words.captionHint} value={caption.text.value} max={200} onText={caption.type} />
      <p class="small soft">{words.place}</p>
      <Problem message={attempt.problem.value} />
      {attempt.busy.value ? (
        <p role="status">{words.securing}</p>
      ) : (
        <div class="presses">
          <Picker words={words.camera} capture onFile={take} />
          <Picker words={words.file} onFile={take} />
        </div>
      )}
    </Sheet>
  );
}

function Picker({ words: label, capture, onFile }: { words: string; capture?: boolean; onFile: (file: File | undefined) => void }) {
  const input = useRef<HTMLInputElement>(null);
  const open = () => void flushDrafts().finally(() => input.current?.click());
  return (
    <>
      <input
        ref={input}
        class="unseen"
        type="file"
        accept="image/*"
        aria-label={label}
        tabIndex={-1}
        {...(capture ? { capture: "environment" as const } : {})}
        onChange={(event) => onFile(event.currentTarget.files?.[0])}
      />
      <button type="button" class={capture ? "press main" : "press"} onClick={open}>
        <Icon name="photo" />
        {label}
      </button>
    </>
  );
}

/** Hands the due day to the phone's calendar as a file, made without a network. */
import { numbersWords as words } from "../../text/numbers-words";
import { saveFile } from "../sending/save-file";

export function CalendarPress({ make }: { make: (stamp: string) => string }) {
  const save = () => {
    const stamp = `${new Date().toISOString().replace(/[-:]/g, "").slice(0, 15)}Z`;
    saveFile(new Blob([make(stamp)], { type: "text/calendar" }), "service-due.ics");
  };
  return (
    <button type="button" class="press" onClick={save}>
      {words.calendar}
    </button>
  );
}

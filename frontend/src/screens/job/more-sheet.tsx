/** Everything else a step allows. */
import { Problem } from "../../components/attempt";
import { Icon, type IconName } from "../../components/icon";
import { Sheet } from "../../components/sheet";
import { numbersOf } from "../numbers/leads";
import type { Message } from "../../store/bench";
import { doorWords } from "../../text/door-words";
import { moreWords as words } from "../../text/job-words";

type Row = { name: string; icon: IconName; to?: string; act?: () => void };

export function MoreSheet({
  job,
  step,
  here,
  locked,
  onPause,
  problem,
}: {
  job: string;
  step: string;
  here: string;
  locked: boolean;
  onPause: () => void;
  problem: Message | null;
}) {
  const change: Row[] = [
    { name: words.note, icon: "note", to: `${here}?note` },
    { name: words.photo, icon: "photo", to: `${here}?photo` },
    { name: words.timer, icon: "clock", to: `${here}?timer` },
    { name: words.skip, icon: "skip", to: `${here}?skip` },
  ];
  const look: Row[] = [
    { name: words.ledger, icon: "tray", to: `/job/${job}/ledger` },
    { name: words.torques, icon: "bolt", to: `/job/${job}/torques` },
    { name: doorWords.ofStep, icon: "sheet", to: numbersOf(job, step) },
    { name: words.notes, icon: "sheet", to: `/job/${job}/notes` },
    { name: words.close, icon: "done", to: `/job/${job}/close` },
    { name: words.wayOut, icon: "open", to: `${here}?stop` },
    { name: words.pause, icon: "stop", act: onPause },
  ];
  return (
    <Sheet title={words.title} close={words.back}>
      <Problem message={problem} />
      <ul class="more">
        {[...(locked ? [] : change), ...look].map(({ name, icon, to, act }) => (
          <li key={name}>
            {to ? (
              <a class="press start wide" href={to} data-instead>
                <Icon name={icon} />
                {name}
              </a>
            ) : (
              <button type="button" class="press start wide" onClick={act}>
                <Icon name={icon} />
                {name}
              </button>
            )}
          </li>
        ))}
      </ul>
    </Sheet>
  );
}

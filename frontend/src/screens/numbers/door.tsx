/** The door to the numbers: their screens and calculations come in two pieces, kept on the phone with the app. */
import type { ComponentChild } from "preact";
import numbersMessages from "../../../../shared/messages/numbers.en.json";
import { Problem, refusal } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { Page } from "../../components/page";
import { addMessages } from "../../text/messages";
import { doorWords as words } from "../../text/door-words";

type Rooms = typeof import("./rooms");
type ServiceRooms = typeof import("./service-rooms");
const opened: { rooms: Rooms | null; service: ServiceRooms | null } = { rooms: null, service: null };

addMessages(numbersMessages);

async function openRooms(): Promise<Rooms> {
  return (opened.rooms ??= await import("./rooms"));
}

/** Both pieces: the list and the tools name calculations of either. */
async function openBoth(): Promise<{ rooms: Rooms; service: ServiceRooms }> {
  const [rooms, service] = await Promise.all([openRooms(), (async () => (opened.service ??= await import("./service-rooms")))()]);
  return { rooms, service };
}

/** The piece that holds one calculation; the other is opened only when the first does not know it. */
async function openFor(name: string): Promise<Rooms> {
  const rooms = await openRooms();
  return rooms.calculators().some((each) => each.name === name) ? rooms : (await openBoth()).rooms;
}

const bothOpen = () => (opened.rooms && opened.service ? { rooms: opened.rooms, service: opened.service } : null);
const openFast = (name: string) => (opened.rooms?.calculators().some((each) => each.name === name) ? opened.rooms : (bothOpen()?.rooms ?? null));

export const NumbersScreen = () => (
  <Behind of="both" now={bothOpen()} load={openBoth} show={({ rooms, service }) => <rooms.NumbersRoom ofStep={service.StepNumbers} />} />
);
export const NumberScreen = ({ name }: { name: string }) => (
  <Behind of={name} now={openFast(name)} load={() => openFor(name)} show={({ NumberRoom }) => <NumberRoom key={name} name={name} />} />
);
export const ToolsScreen = () => <Behind of="both" now={bothOpen()} load={openBoth} show={({ service }) => <service.ToolsRoom />} />;

type BehindProps<T> = { of: string; now: T | null; load: () => Promise<T>; show: (pieces: T) => ComponentChild };

function Behind<T>({ of, now, load, show }: BehindProps<T>) {
  const { value, problem } = useLoaded(of, async () => {
    try {
      return await load();
    } catch (error) {
      throw refusal("numbers_not_loaded", { detail: error instanceof Error ? error.message : String(error) });
    }
  }).value;
  const pieces = now ?? value;
  if (pieces) return <>{show(pieces)}</>;
  return (
    <Page title={words.title}>
      {problem ? <Problem message={problem} /> : <p role="status">{words.opening}</p>}
      {problem && (
        <button type="button" class="press main" onClick={() => location.reload()}>
          {words.again}
        </button>
      )}
    </Page>
  );
}

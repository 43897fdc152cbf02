/** The door to the numbers: their screens and calculations come in one piece of their own, kept on the phone with the app. */
import type { ComponentChild } from "preact";
import numbersMessages from "../../../../shared/messages/numbers.en.json";
import { Problem, refusal } from "../../components/attempt";
import { useLoaded } from "../../components/hooks";
import { Page } from "../../components/page";
import { addMessages } from "../../text/messages";
import { doorWords as words } from "../../text/door-words";

type Rooms = typeof import("./rooms");
let opened: Rooms | null = null;

addMessages(numbersMessages);

export const NumbersScreen = () => <Behind show={({ NumbersRoom }) => <NumbersRoom />} />;
export const NumberScreen = ({ name }: { name: string }) => <Behind show={({ NumberRoom }) => <NumberRoom name={name} />} />;
export const ToolsScreen = () => <Behind show={({ ToolsRoom }) => <ToolsRoom />} />;

async function open(): Promise<Rooms> {
  try {
    return (opened ??= await import("./rooms"));
  } catch (error) {
    throw refusal("numbers_not_loaded", { detail: error instanceof Error ? error.message : String(error) });
  }
}

function Behind({ show }: { show: (rooms: Rooms) => ComponentChild }) {
  const { value, problem } = useLoaded("numbers", open).value;
  const rooms = value ?? opened;
  if (rooms) return <>{show(rooms)}</>;
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

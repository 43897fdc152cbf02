/** What lies behind the door: loaded as one piece, with the messages of the calculations. */
import calcText from "../../../../shared/messages/calc.en.json?raw";
import "../../styles/numbers.css";
import { addMessages, isMessage, type MessageParts } from "../../text/messages";

export { NumberRoom } from "./number-room";
export { NumbersRoom } from "./numbers-room";
export { ToolsRoom } from "./tools-room";

// Read as text: as a module the table would be shared with the app, which holds a few of its messages, and land in the app's own piece.
const calc = JSON.parse(calcText) as Record<string, MessageParts>;
addMessages(Object.fromEntries(Object.entries(calc).filter(([code]) => !isMessage(code))));

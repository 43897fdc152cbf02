/** The messages of the calculations, which come with their pieces. */
import calcText from "../../../../shared/messages/calc.en.json?raw";
import { addMessages, isMessage, type MessageParts } from "../../text/messages";

// Read as text: as a module the table would be shared with the app, which holds a few of its messages, and land in the app's own piece.
const calc = JSON.parse(calcText) as Record<string, MessageParts>;
addMessages(Object.fromEntries(Object.entries(calc).filter(([code]) => !isMessage(code))));

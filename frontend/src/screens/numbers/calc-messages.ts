/** The messages of the calculations, which come with their pieces; those of typed amounts are the app's own. */
import calc from "../../../../shared/messages/calc.en.json";
import { addMessages } from "../../text/messages";

addMessages(calc);

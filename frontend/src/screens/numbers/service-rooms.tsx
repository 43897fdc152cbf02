/** The second piece: service due and times, my wrenches and kit, and what a step of the running job already knows. */
import "./calc-messages";
import "../../styles/numbers.css";
import { addCalculators } from "./registry";
import { KIT } from "./tables/kit";
import { SERVICE } from "./tables/service";

export { StepNumbers } from "./step-numbers";
export { ToolsRoom } from "./tools-room";

addCalculators([...KIT, ...SERVICE]);

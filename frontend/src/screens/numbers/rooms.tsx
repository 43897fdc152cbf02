/** The first piece behind the door: the list, one calculation, and all that is worked out at the bench itself. */
import "./calc-messages";
import "../../styles/numbers.css";
import { addCalculators } from "./registry";
import { FASTENERS } from "./tables/fasteners";
import { FLUIDS } from "./tables/fluids";
import { MEASURE } from "./tables/measure";
import { ORDER } from "./tables/order";
import { TORQUE_TOOLS } from "./tables/torque-tools";
import { TRAIL, TYRES } from "./tables/trail";

export { calculators } from "./registry";
export { NumberRoom } from "./number-room";
export { NumbersRoom } from "./numbers-room";

addCalculators([...TORQUE_TOOLS, ...FASTENERS, ...ORDER, ...FLUIDS, ...MEASURE, ...TYRES, ...TRAIL]);

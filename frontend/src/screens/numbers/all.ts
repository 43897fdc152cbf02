/** Every calculation that has a screen, the most useful of each group first. */
import type { Calculator } from "./calculator";
import { FASTENERS } from "./tables/fasteners";
import { FLUIDS } from "./tables/fluids";
import { MEASURE } from "./tables/measure";
import { ORDER } from "./tables/order";
import { SERVICE } from "./tables/service";
import { TORQUE_TOOLS } from "./tables/torque-tools";
import { TRAIL, TYRES } from "./tables/trail";

export const CALCULATORS: readonly Calculator[] = [...TORQUE_TOOLS, ...FASTENERS, ...ORDER, ...FLUIDS, ...MEASURE, ...TYRES, ...TRAIL, ...SERVICE];

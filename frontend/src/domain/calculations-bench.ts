/** The calculations of torque, fasteners, fluids, measuring, tyres and the trail-side, by their Python names. */
import { amountInUnits } from "./amount-in-units";
import type { Answer } from "./answer";
import { bottleMark, bottlePlan } from "./bottles";
import { brakeFluid } from "./brake-fluid";
import { coolantForCold, coolantFreeze, coolantMix, drainAndRefill, drainForTarget, expansionRoom } from "./coolant";
import { batteryRest, compressionCompare } from "./engine-checks";
import { plausibleTorque } from "./plausible";
import { checkTorque, preloadBand, preloadLong, preloadScatter } from "./preload";
import { premixCorrect, premixOil, premixTopUp } from "./premix";
import { shimSwap, shimToFit } from "./shims";
import { threadsForSocket } from "./sockets";
import { forkOilByAirGap, sag, springRate } from "./suspension";
import { threadStrip } from "./thread-strip";
import { proofLoad, stressArea } from "./threads";
import { tighteningOrder, tighteningPlan } from "./tightening-order";
import { runningTorque, torqueApplied, torqueAtWrench, torqueStages } from "./torque";
import { flatsForAngle, leverForTorque, scaleForTorque, torqueByWeight, weightForTorque } from "./trail-side";
import { tyreReads, tyreSetHere } from "./tyres";
import { chainWear, limitCheck, ringGapFromBore } from "./wear";
import { chooseWrench } from "./wrenches";

// `any`: arguments arrive as data; each calculation checks its own
export const BENCH_CALCULATIONS: Readonly<Record<string, (input: any) => Answer>> = {
  amount_in_units: amountInUnits,
  torque_at_wrench: torqueAtWrench,
  torque_applied: torqueApplied,
  running_torque: runningTorque,
  torque_stages: torqueStages,
  choose_wrench: chooseWrench,
  stress_area: stressArea,
  proof_load: proofLoad,
  preload_band: preloadBand,
  check_torque: checkTorque,
  preload_long: preloadLong,
  preload_scatter: preloadScatter,
  thread_strip: threadStrip,
  plausible_torque: plausibleTorque,
  tightening_order: tighteningOrder,
  tightening_plan: tighteningPlan,
  bottle_mark: bottleMark,
  bottle_plan: bottlePlan,
  coolant_freeze: coolantFreeze,
  coolant_for_cold: coolantForCold,
  coolant_mix: coolantMix,
  drain_and_refill: drainAndRefill,
  drain_for_target: drainForTarget,
  expansion_room: expansionRoom,
  premix_oil: premixOil,
  premix_correct: premixCorrect,
  premix_top_up: premixTopUp,
  brake_fluid: brakeFluid,
  shim_to_fit: shimToFit,
  shim_swap: shimSwap,
  sag: sag,
  spring_rate: springRate,
  fork_oil_by_air_gap: forkOilByAirGap,
  limit_check: limitCheck,
  chain_wear: chainWear,
  ring_gap_from_bore: ringGapFromBore,
  battery_rest: batteryRest,
  compression_compare: compressionCompare,
  tyre_reads: tyreReads,
  tyre_set_here: tyreSetHere,
  torque_by_weight: torqueByWeight,
  weight_for_torque: weightForTorque,
  lever_for_torque: leverForTorque,
  scale_for_torque: scaleForTorque,
  flats_for_angle: flatsForAngle,
  threads_for_socket: threadsForSocket,
};

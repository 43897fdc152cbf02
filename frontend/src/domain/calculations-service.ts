/** The calculations of service due, times and the carried kit, by their Python names. */
import type { Answer } from "./answer";
import { serviceDue } from "./intervals";
import { kitCheck, rideHome } from "./kit";
import { jobTime, learnedWeight, stepTime } from "./labour-time";
import { lastDone, meterTotal, serviceList } from "./service-log";

// `any`: arguments arrive as data; each calculation checks its own
export const SERVICE_CALCULATIONS: Readonly<Record<string, (input: any) => Answer>> = {
  service_due: serviceDue,
  meter_total: meterTotal,
  last_done: lastDone,
  service_list: serviceList,
  step_time: stepTime,
  job_time: jobTime,
  learned_weight: learnedWeight,
  kit_check: kitCheck,
  ride_home: rideHome,
};

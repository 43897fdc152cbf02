/**
 * Tyre pressure where it will be warmer, colder or higher: absolute pressure and kelvin inside, gauge outside.
 * Knows the gas law and the standard atmosphere; nothing of which pressure is right for a tyre.
 */
import { answer, note, source } from "./answer";
import { bounded } from "./bounds";
import { Refused } from "./refused";
import { withUnit } from "./rounding";

const SEA_LEVEL_KPA = 101.325;
const SOURCES = [
  source("memory", "ideal gas at constant volume"),
  source("library", "US Standard Atmosphere 1976, as fluids 1.3.1 computes it; formula in a restatement"),
];
const UNTIL = [note("tyre_warm_from_riding"), note("weather_pressure_differs"), note("tyre_keeps_volume")];

type Places = { from_c: number; to_c: number; from_altitude_m?: number; to_altitude_m?: number };

/** Pressure of the standard atmosphere at a height above the sea, −500 to 6000 m. */
export function airPressureKpa(altitudeM: number): number {
  const height = (6_356_766 * altitudeM) / (6_356_766 + altitudeM);
  return SEA_LEVEL_KPA * (1 - (0.0065 * height) / 288.15) ** 5.255876;
}

/** Ratio of absolute temperatures there and here, air pressure here and there. */
function scale({ from_c, to_c, from_altitude_m = 0, to_altitude_m = 0 }: Places): [number, number, number] {
  const [here, there] = [bounded(from_c, "temperature", "°C", -40, 90), bounded(to_c, "temperature", "°C", -40, 90)];
  const [low, high] = [bounded(from_altitude_m, "altitude", "m", -500, 6000), bounded(to_altitude_m, "altitude", "m", -500, 6000)];
  return [(there + 273.15) / (here + 273.15), airPressureKpa(low), airPressureKpa(high)];
}

/** What a gauge will read there on a tyre set here, nothing let out: p2 = (p1 + a1)·T2/T1 − a2. Throws `tyre_goes_flat`. */
export function tyreReads({ pressure_kpa, ...places }: { pressure_kpa: number } & Places) {
  const gauge = bounded(pressure_kpa, "tyre pressure", "kPa", 0, 1000);
  const [ratio, air_here_kpa, air_there_kpa] = scale(places);
  const reads_kpa = (gauge + air_here_kpa) * ratio - air_there_kpa;
  if (reads_kpa < 0) throw new Refused("tyre_goes_flat", { pressure: withUnit(gauge, "kPa") });
  const values = { reads_kpa, change_kpa: reads_kpa - gauge };
  const { from_c, to_c } = places;
  return answer(values, note("tyre_reads", { ...values, pressure_kpa: gauge, air_here_kpa, air_there_kpa, from_c, to_c }), SOURCES, UNTIL);
}

/** What to set here so that the gauge reads the wanted pressure there: the inverse of `tyreReads`. */
export function tyreSetHere({ wanted_kpa, ...places }: { wanted_kpa: number } & Places) {
  const wanted = bounded(wanted_kpa, "wanted tyre pressure", "kPa", 0, 1000);
  const [ratio, air_here_kpa, air_there_kpa] = scale(places);
  const set_kpa = (wanted + air_there_kpa) / ratio - air_here_kpa;
  if (set_kpa < 0) throw new Refused("tyre_goes_flat", { pressure: withUnit(wanted, "kPa") });
  const values = { set_kpa, change_kpa: wanted - set_kpa };
  const { from_c, to_c } = places;
  return answer(values, note("tyre_set_here", { ...values, wanted_kpa: wanted, air_here_kpa, air_there_kpa, from_c, to_c }), SOURCES, UNTIL);
}

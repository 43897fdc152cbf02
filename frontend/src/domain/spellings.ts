/**
 * Which spelling of a unit means which unit, and which spellings mean more than one.
 * Knows words only: no factors and no numbers. A spelling is compared in lower case without spaces, points and hyphens.
 */

export type Kind =
  | "torque" | "length" | "volume" | "pressure" | "temperature" | "mass" | "angle" | "time" | "voltage" | "ratio"
  | "percent" | "speed" | "count";

export const KINDS: Readonly<Record<Kind, string>> = {
  torque: "N·m", length: "mm", volume: "ml", pressure: "kPa", temperature: "°C", mass: "kg", angle: "deg", time: "min",
  voltage: "V", ratio: ":1", percent: "%", speed: "km/h", count: "",
};

const LB = "lb lbs lbf lbsf pound pounds poundforce";
const FT = "ft feet foot";
const IN = "in ins inch inches";
const KG = "kg kgs kgf kp kilogram kilograms kilogramforce kilopond";
const OZ = "oz ozs ozf ounce ounces";
const M = "m metre metres meter meters";
const CM = "cm centimetre centimetres centimeter centimeters";
const N = "n newton newtons";

function joined(first: string, second: string): string {
  return first.split(" ").flatMap((a) => second.split(" ").map((b) => `${a}${b}`)).join(" ");
}

/** Every spelling of force times arm, either way round, with nothing or a slash between. */
function moments(force: string, arm: string): string {
  const pairs = force.split(" ").flatMap((a) => arm.split(" ").map((b) => [a, b]));
  return pairs.flatMap(([a, b]) => ["", "/"].flatMap((mid) => [`${a}${mid}${b}`, `${b}${mid}${a}`])).join(" ");
}

// symbol → [kind, spellings]
export const UNITS: Readonly<Record<string, readonly [Kind, string]>> = {
  "N·m": ["torque", joined(N, M)],
  "N·cm": ["torque", joined(N, CM)],
  "lbf·ft": ["torque", moments(LB, FT)],
  "lbf·in": ["torque", moments(LB, IN)],
  "kgf·m": ["torque", moments(KG, M)],
  "kgf·cm": ["torque", moments(KG, CM)],
  "ozf·in": ["torque", moments(OZ, IN)],
  mm: ["length", "mm millimetre millimetres millimeter millimeters"],
  cm: ["length", CM],
  m: ["length", M],
  µm: ["length", "µm um micron microns micrometre micrometres micrometer micrometers"],
  in: ["length", `${IN} "`],
  ft: ["length", `${FT} '`],
  thou: ["length", "thou thous mil mils"],
  ml: ["volume", "ml cc ccm cm³ millilitre millilitres milliliter milliliters"],
  l: ["volume", "l lt ltr ltrs litre litres liter liters"],
  "US fl oz": ["volume", "usfloz usfluidounce usfluidounces usoz floz(us) ozus flozus"],
  "imp fl oz": ["volume", "impfloz ukfloz imperialfloz imperialfluidounce imperialfluidounces impoz ukoz flozuk"],
  "US pt": ["volume", "uspt uspint uspints ptus pintus"],
  "US qt": ["volume", "usqt usquart usquarts qtus quartus quartsus"],
  "US gal": ["volume", "usgal usgallon usgallons galus gallonus gallonsus"],
  "imp pt": ["volume", "imppt imppint imppints ukpt ukpint ukpints imperialpint imperialpints ptuk pintuk"],
  "imp qt": ["volume", "impqt impquart impquarts ukqt ukquart ukquarts imperialquart imperialquarts"],
  "imp gal": ["volume", "impgal impgallon impgallons ukgal ukgallon ukgallons imperialgallon imperialgallons galuk"],
  kPa: ["pressure", "kpa kilopascal kilopascals"],
  Pa: ["pressure", "pa pascal pascals"],
  hPa: ["pressure", "hpa mbar millibar millibars"],
  MPa: ["pressure", "mpa megapascal megapascals"],
  bar: ["pressure", "bar bars"],
  psi: ["pressure", "psi psig lb/in² lbs/in² lbf/in² lbs/sqin lb/sqin lbf/sqin"],
  "kgf/cm²": ["pressure", "kgf/cm² kg/cm² kp/cm² kgcm²"],
  atm: ["pressure", "atm atmosphere atmospheres"],
  inHg: ["pressure", "inhg incheshg inchhg"],
  mmHg: ["pressure", "mmhg"],
  "°C": ["temperature", "°c c degc degreec degreesc celsius degreescelsius degreecelsius centigrade"],
  "°F": ["temperature", "°f f degf degreef degreesf fahrenheit degreesfahrenheit degreefahrenheit"],
  K: ["temperature", "k kelvin kelvins"],
  kg: ["mass", "kg kgs kilo kilos kilogram kilograms"],
  g: ["mass", "g gram grams gramme grammes"],
  lb: ["mass", "lb lbs pound pounds"],
  oz: ["mass", "oz ozs ounce ounces"],
  stone: ["mass", "st stone stones"],
  deg: ["angle", "° deg degs degree degrees"],
  turn: ["angle", "turn turns rev revs revolution revolutions"],
  rad: ["angle", "rad radian radians"],
  min: ["time", "min mins minute minutes"],
  s: ["time", "s sec secs second seconds"],
  h: ["time", "h hr hrs hour hours"],
  d: ["time", "d day days"],
  V: ["voltage", "v volt volts vdc"],
  mV: ["voltage", "mv millivolt millivolts"],
  ":1": ["ratio", ":1"],
  "%": ["percent", "% percent pct"],
  "km/h": ["speed", "km/h kmh kph kmph"],
  mph: ["speed", "mph mi/h milesperhour mileperhour"],
  "m/s": ["speed", "m/s metrespersecond meterspersecond"],
  "": ["count", "pcs pc pieces piece clicks click teeth tooth pitches pitch links link strokes stroke times rpm r/min"],
};

type Candidates = readonly (readonly [spellings: string, symbols: readonly string[]])[];

const PARTLY_NAMED: Candidates = [
  ["gal gals gallon gallons", ["US gal", "imp gal"]],
  ["pt pts pint pints", ["US pt", "imp pt"]],
  ["qt qts quart quarts", ["US qt", "imp qt"]],
  ["floz flozs fluidounce fluidounces", ["US fl oz", "imp fl oz"]],
];

// kind asked for ("" = none asked) → what each spelling may mean
const AMBIGUOUS: Readonly<Record<string, Candidates>> = {
  torque: [
    [`${LB} #`, ["lbf·ft", "lbf·in"]], [`${KG} kilo kilos`, ["kgf·m", "kgf·cm"]], [OZ, ["ozf·in"]],
    [N, ["N·m", "N·cm"]], [M, ["N·m", "kgf·m"]], [CM, ["N·cm", "kgf·cm"]], [FT, ["lbf·ft"]], [IN, ["lbf·in"]],
  ],
  pressure: [[LB, ["psi"]], [`${KG} kilo kilos`, ["kgf/cm²"]], [IN, ["inHg", "psi"]]],
  volume: [...PARTLY_NAMED, [OZ, ["US fl oz", "imp fl oz"]]],
  time: [["m", ["min"]], ["t", ["min", "h"]]],
  "": [...PARTLY_NAMED, [OZ, ["oz", "US fl oz", "imp fl oz"]], ["m", ["m", "min"]], ["#", ["lb", "lbf·ft", "lbf·in"]]],
};

export const SYMBOL_OF: ReadonlyMap<string, string> = new Map(
  Object.entries(UNITS).flatMap(([symbol, [, words]]) => words.split(" ").map((word) => [word, symbol] as const)),
);
export const CANDIDATES: ReadonlyMap<string, ReadonlyMap<string, readonly string[]>> = new Map(
  Object.entries(AMBIGUOUS).map(([kind, rows]) => [
    kind, new Map(rows.flatMap(([words, symbols]) => words.split(" ").map((word) => [word, symbols] as const))),
  ]),
);

/** The form in which spellings are compared: lower case, without spaces, points, middle dots, hyphens, stars. */
export function spellingKey(text: string): string {
  return text.toLowerCase().replace(/[ .·*_×-]/g, "");
}

"""Which spelling of a unit means which unit, and which spellings mean more than one.

Knows words only: no factors and no numbers. A spelling is compared in lower case without spaces, points and hyphens.
"""

from itertools import product

KINDS: dict[str, str] = {
    "torque": "N·m", "length": "mm", "volume": "ml", "pressure": "kPa", "temperature": "°C", "mass": "kg",
    "angle": "deg", "time": "min", "voltage": "V", "ratio": ":1", "percent": "%", "speed": "km/h", "count": "",
}

_LB = "lb lbs lbf lbsf pound pounds poundforce"
_FT = "ft feet foot"
_IN = "in ins inch inches"
_KG = "kg kgs kgf kp kilogram kilograms kilogramforce kilopond"
_OZ = "oz ozs ozf ounce ounces"
_M = "m metre metres meter meters"
_CM = "cm centimetre centimetres centimeter centimeters"
_N = "n newton newtons"


def _moments(force: str, arm: str) -> str:
    """Every spelling of force times arm, either way round, with nothing or a slash between."""
    pairs = list(product(force.split(), arm.split()))
    return " ".join(f"{a}{mid}{b} {b}{mid}{a}" for a, b in pairs for mid in ("", "/"))


# symbol → (kind, spellings)
UNITS: dict[str, tuple[str, str]] = {
    "N·m": ("torque", " ".join(f"{a}{b}" for a, b in product(_N.split(), _M.split()))),
    "N·cm": ("torque", " ".join(f"{a}{b}" for a, b in product(_N.split(), _CM.split()))),
    "lbf·ft": ("torque", _moments(_LB, _FT)),
    "lbf·in": ("torque", _moments(_LB, _IN)),
    "kgf·m": ("torque", _moments(_KG, _M)),
    "kgf·cm": ("torque", _moments(_KG, _CM)),
    "ozf·in": ("torque", _moments(_OZ, _IN)),
    "mm": ("length", "mm millimetre millimetres millimeter millimeters"),
    "cm": ("length", _CM),
    "m": ("length", _M),
    "µm": ("length", "µm um micron microns micrometre micrometres micrometer micrometers"),
    "in": ("length", f'{_IN} "'),
    "ft": ("length", f"{_FT} '"),
    "thou": ("length", "thou thous mil mils"),
    "ml": ("volume", "ml cc ccm cm³ millilitre millilitres milliliter milliliters"),
    "l": ("volume", "l lt ltr ltrs litre litres liter liters"),
    "US fl oz": ("volume", "usfloz usfluidounce usfluidounces usoz floz(us) ozus flozus"),
    "imp fl oz": ("volume", "impfloz ukfloz imperialfloz imperialfluidounce imperialfluidounces impoz ukoz flozuk"),
    "US pt": ("volume", "uspt uspint uspints ptus pintus"),
    "US qt": ("volume", "usqt usquart usquarts qtus quartus quartsus"),
    "US gal": ("volume", "usgal usgallon usgallons galus gallonus gallonsus"),
    "imp pt": ("volume", "imppt imppint imppints ukpt ukpint ukpints imperialpint imperialpints ptuk pintuk"),
    "imp qt": ("volume", "impqt impquart impquarts ukqt ukquart ukquarts imperialquart imperialquarts"),
    "imp gal": ("volume", "impgal impgallon impgallons ukgal ukgallon ukgallons imperialgallon imperialgallons galuk"),
    "kPa": ("pressure", "kpa kilopascal kilopascals"),
    "Pa": ("pressure", "pa pascal pascals"),
    "hPa": ("pressure", "hpa mbar millibar millibars"),
    "MPa": ("pressure", "mpa megapascal megapascals"),
    "bar": ("pressure", "bar bars"),
    "psi": ("pressure", "psi psig lb/in² lbs/in² lbf/in² lbs/sqin lb/sqin lbf/sqin"),
    "kgf/cm²": ("pressure", "kgf/cm² kg/cm² kp/cm² kgcm²"),
    "atm": ("pressure", "atm atmosphere atmospheres"),
    "inHg": ("pressure", "inhg incheshg inchhg"),
    "mmHg": ("pressure", "mmhg"),
    "°C": ("temperature", "°c c degc degreec degreesc celsius degreescelsius degreecelsius centigrade"),
    "°F": ("temperature", "°f f degf degreef degreesf fahrenheit degreesfahrenheit degreefahrenheit"),
    "K": ("temperature", "k kelvin kelvins"),
    "kg": ("mass", "kg kgs kilo kilos kilogram kilograms"),
    "g": ("mass", "g gram grams gramme grammes"),
    "lb": ("mass", "lb lbs pound pounds"),
    "oz": ("mass", "oz ozs ounce ounces"),
    "stone": ("mass", "st stone stones"),
    "deg": ("angle", "° deg degs degree degrees"),
    "turn": ("angle", "turn turns rev revs revolution revolutions"),
    "rad": ("angle", "rad radian radians"),
    "min": ("time", "min mins minute minutes"),
    "s": ("time", "s sec secs second seconds"),
    "h": ("time", "h hr hrs hour hours"),
    "d": ("time", "d day days"),
    "V": ("voltage", "v volt volts vdc"),
    "mV": ("voltage", "mv millivolt millivolts"),
    ":1": ("ratio", ":1"),
    "%": ("percent", "% percent pct"),
    "km/h": ("speed", "km/h kmh kph kmph"),
    "mph": ("speed", "mph mi/h milesperhour mileperhour"),
    "m/s": ("speed", "m/s metrespersecond meterspersecond"),
    "": ("count", "pcs pc pieces piece clicks click teeth tooth pitches pitch links link strokes stroke times "
         "rpm r/min"),
}

_GALLONS = ("gal gals gallon gallons", ("US gal", "imp gal"))
_PINTS = ("pt pts pint pints", ("US pt", "imp pt"))
_QUARTS = ("qt qts quart quarts", ("US qt", "imp qt"))
_FLUID = ("floz flozs fluidounce fluidounces", ("US fl oz", "imp fl oz"))

# kind asked for ("" = none asked) → (spellings, what each may mean)
AMBIGUOUS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "torque": (
        (f"{_LB} #", ("lbf·ft", "lbf·in")), (f"{_KG} kilo kilos", ("kgf·m", "kgf·cm")), (_OZ, ("ozf·in",)),
        (_N, ("N·m", "N·cm")), (_M, ("N·m", "kgf·m")), (_CM, ("N·cm", "kgf·cm")),
        (_FT, ("lbf·ft",)), (_IN, ("lbf·in",)),
    ),
    "pressure": ((_LB, ("psi",)), (f"{_KG} kilo kilos", ("kgf/cm²",)), (_IN, ("inHg", "psi"))),
    "volume": (_GALLONS, _PINTS, _QUARTS, _FLUID, (_OZ, ("US fl oz", "imp fl oz"))),
    "time": (("m", ("min",)), ("t", ("min", "h"))),
    "": (_GALLONS, _PINTS, _QUARTS, _FLUID, (_OZ, ("oz", "US fl oz", "imp fl oz")), ("m", ("m", "min")),
         ("#", ("lb", "lbf·ft", "lbf·in"))),
}

SYMBOL_OF: dict[str, str] = {word: symbol for symbol, (_, words) in UNITS.items() for word in words.split()}
CANDIDATES: dict[str, dict[str, tuple[str, ...]]] = {
    kind: {word: candidates for words, candidates in rows for word in words.split()} for kind, rows in AMBIGUOUS.items()
}


def spelling_key(text: str) -> str:
    """The form in which spellings are compared: lower case, without spaces, points, middle dots, hyphens, stars."""
    return "".join(char for char in text.lower() if char not in " .·*-_×")

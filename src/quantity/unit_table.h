#pragma once

// Private to unit.cpp. Factors are exact by definition unless marked; they are products of the definitions in
// NIST SP 811 (2008) and the SI Brochure (9th ed., 2019), Table 8, so that none is a rounded table entry.

#include <array>
#include <numbers>

#include "quantity/unit.h"

namespace fettle::quantity {

inline constexpr double inch = metres_per_inch;
inline constexpr double foot = 0.3048;  // 12 in; the product would be off by a rounding
inline constexpr double pound = kilograms_per_pound;
inline constexpr double ounce = pound / 16;
inline constexpr double pound_force = newtons_per_pound_force;
inline constexpr double kilogram_force = standard_gravity;
inline constexpr double cubic_inch = inch * inch * inch;
inline constexpr double degree = std::numbers::pi / 180;
inline constexpr double turn = 2 * std::numbers::pi;
// Conventional columns: mercury of 13595.1 kg/m3, water of 1000 kg/m3, standard gravity (ISO 80000-4).
inline constexpr double mercury_column = 13595.1 * standard_gravity;
inline constexpr double water_column = 1000 * standard_gravity;
inline constexpr double celsius_zero = 273.15;
inline constexpr double fahrenheit_step = 5.0 / 9.0;
inline constexpr double fahrenheit_zero = 459.67 * 5.0 / 9.0;
inline constexpr double metric_horsepower = 75 * kilogram_force;  // per second through one metre
inline constexpr double horsepower = 550 * foot * pound_force;

// dimension, symbol, factor, offset, decimals, spellings, whether case matters
inline constexpr std::array unit_table = {
    Unit{Dimension::length, "in", inch, 0, 4, "in|inch|inches|ins|\"", false},
    Unit{Dimension::length, "mm", 0.001, 0, 3, "mm|millimetre|millimetres|millimeter|millimeters", false},
    Unit{Dimension::length, "thou", inch / 1000, 0, 1, "thou|thous|thousandth|thousandths", false},
    Unit{Dimension::length, "um", 1e-6, 0, 1, "um|micron|microns|micrometre|micrometres|micrometers", false},
    Unit{Dimension::length, "cm", 0.01, 0, 3, "cm|centimetre|centimetres|centimeter|centimeters", false},
    Unit{Dimension::length, "ft", foot, 0, 3, "ft|foot|feet|'", false},
    Unit{Dimension::length, "m", 1, 0, 4, "m|metre|metres|meter|meters", true},

    Unit{Dimension::angle, "deg", degree, 0, 1, "deg|degs|degree|degrees", false},
    Unit{Dimension::angle, "rad", 1, 0, 4, "rad|rads|radian|radians", false},
    Unit{Dimension::angle, "arcmin", degree / 60, 0, 1, "arcmin|min|minute|minutes|'", false},
    Unit{Dimension::angle, "arcsec", degree / 3600, 0, 0, "arcsec|sec|second|seconds|\"", false},
    Unit{Dimension::angle, "turn", turn, 0, 3, "turn|turns|rev|revs|revolution|revolutions", false},

    Unit{Dimension::force, "lb", pound_force, 0, 1, "lb|lbs|lbf|lbsf|pound|pounds|pound force|#", false},
    Unit{Dimension::force, "N", 1, 0, 0, "N|newton|newtons", false},
    Unit{Dimension::force, "kN", 1000, 0, 3, "kN|kilonewton|kilonewtons", false},
    Unit{Dimension::force, "kgf", kilogram_force, 0, 1, "kgf|kg|kgs|kilo|kilos|kilogram|kilograms|kp", false},
    Unit{Dimension::force, "ozf", pound_force / 16, 0, 1, "ozf|oz|ounce|ounces", false},

    Unit{Dimension::rate, "lb/in", pound_force / inch, 0, 1,
         "lb/in|lbs/in|lbf/in|lb/inch|lbs/inch|lbf/inch|pound/inch|pounds/inch|#/in|#/inch|lb/\"|lbs/\"|#/\"",
         false},
    Unit{Dimension::rate, "N/mm", 1000, 0, 2, "N/mm|newton/millimetre|newtons/millimetre|kN/m", false},
    Unit{Dimension::rate, "N/m", 1, 0, 0, "N/m|newton/metre|newtons/metre", false},
    Unit{Dimension::rate, "kgf/mm", kilogram_force * 1000, 0, 3, "kgf/mm|kg/mm", false},

    Unit{Dimension::pressure, "psi", pound_force / (inch * inch), 0, 1,
         "psi|lb/in2|lbs/in2|lbf/in2|lb/sq in|lbs/sq in|lbf/sq in|pounds/square inch", false},
    Unit{Dimension::pressure, "kPa", 1000, 0, 1, "kPa|kilopascal|kilopascals", false},
    Unit{Dimension::pressure, "bar", 1e5, 0, 3, "bar|bars", false},
    Unit{Dimension::pressure, "mbar", 100, 0, 1, "mbar|mbars|millibar|millibars", true},
    Unit{Dimension::pressure, "hPa", 100, 0, 1, "hPa", false},
    Unit{Dimension::pressure, "Pa", 1, 0, 0, "Pa|pascal|pascals|N/m2", false},
    Unit{Dimension::pressure, "MPa", 1e6, 0, 3, "MPa|N/mm2|megapascal|megapascals", true},
    Unit{Dimension::pressure, "GPa", 1e9, 0, 3, "GPa|gigapascal|gigapascals", false},
    Unit{Dimension::pressure, "ksi", 1000 * pound_force / (inch * inch), 0, 1, "ksi", false},
    Unit{Dimension::pressure, "atm", 101325, 0, 4, "atm|atmosphere|atmospheres", false},
    Unit{Dimension::pressure, "kgf/cm2", kilogram_force * 1e4, 0, 2, "kgf/cm2|kg/cm2|kgf/sq cm|kg/sq cm",
         false},
    Unit{Dimension::pressure, "inHg", inch* mercury_column, 0, 2,
         "inHg|in Hg|inches Hg|inches of mercury|\"Hg", false},
    Unit{Dimension::pressure, "mmHg", 0.001 * mercury_column, 0, 1, "mmHg|mm Hg", false},
    Unit{Dimension::pressure, "inH2O", inch* water_column, 0, 1,
         "inH2O|in H2O|inches H2O|inches of water|in water|in of water|\"H2O|in WC", false},
    Unit{Dimension::pressure, "mmH2O", 0.001 * water_column, 0, 1, "mmH2O|mm H2O", false},

    Unit{Dimension::volume, "cc", 1e-6, 0, 2,
         "cc|ccs|cm3|cu cm|ml|mls|millilitre|millilitres|milliliter|milliliters|cubic centimetre|"
         "cubic centimetres|cubic centimeter|cubic centimeters",
         false},
    Unit{Dimension::volume, "cu in", cubic_inch, 0, 2,
         "cu in|cu inch|cu inches|ci|cid|in3|cubic in|cubic inch|cubic inches", false},
    Unit{Dimension::volume, "L", 0.001, 0, 3, "L|litre|litres|liter|liters|dm3", false},
    Unit{Dimension::volume, "mm3", 1e-9, 0, 0, "mm3|cu mm|cubic millimetre|cubic millimetres", false},
    Unit{Dimension::volume, "m3", 1, 0, 6, "m3|cubic metre|cubic metres", true},

    Unit{Dimension::mass, "g", 0.001, 0, 1, "g|gram|grams|gramme|grammes|gm|gms", false},
    Unit{Dimension::mass, "kg", 1, 0, 4, "kg|kgs|kilo|kilos|kilogram|kilograms", false},
    Unit{Dimension::mass, "mg", 1e-6, 0, 0, "mg|milligram|milligrams", true},
    Unit{Dimension::mass, "oz", ounce, 0, 2, "oz|ounce|ounces", false},
    Unit{Dimension::mass, "lb", pound, 0, 3, "lb|lbs|lbm|pound|pounds|#", false},

    Unit{Dimension::temperature, "F", fahrenheit_step, fahrenheit_zero, 1,
         "F|deg F|degs F|degree F|degrees F|fahrenheit|degrees fahrenheit|deg fahrenheit", false},
    Unit{Dimension::temperature, "C", 1, celsius_zero, 1,
         "C|deg C|degs C|degree C|degrees C|celsius|degrees celsius|deg celsius|centigrade", false},
    Unit{Dimension::temperature, "K", 1, 0, 2, "K|kelvin|kelvins", false},

    Unit{Dimension::temperature_difference, "F", fahrenheit_step, 0, 1,
         "F|deg F|degs F|degree F|degrees F|fahrenheit|degrees fahrenheit", false},
    Unit{Dimension::temperature_difference, "C", 1, 0, 1,
         "C|deg C|degs C|degree C|degrees C|celsius|degrees celsius", false},
    Unit{Dimension::temperature_difference, "K", 1, 0, 2, "K|kelvin|kelvins", false},

    Unit{Dimension::torque, "ft lb", foot* pound_force, 0, 1,
         "ft lb|ft lbs|ft lbf|lb ft|lbs ft|lbf ft|foot pound|foot pounds|pound foot|pound feet|pounds "
         "feet|ft #",
         false},
    Unit{Dimension::torque, "N m", 1, 0, 1, "N m|newton metre|newton metres|newton meter|newton meters",
         false},
    Unit{Dimension::torque, "in lb", inch* pound_force, 0, 1,
         "in lb|in lbs|in lbf|lb in|lbs in|lbf in|inch pound|inch pounds|pound inch|pound inches", false},
    Unit{Dimension::torque, "N cm", 0.01, 0, 1, "N cm", false},
    Unit{Dimension::torque, "kgf m", kilogram_force, 0, 2, "kgf m|kg m|kilogram metre|kilogram metres|kp m",
         false},
    Unit{Dimension::torque, "kgf cm", kilogram_force / 100, 0, 1, "kgf cm|kg cm", false},

    Unit{Dimension::time, "s", 1, 0, 3, "s|sec|secs|second|seconds", false},
    Unit{Dimension::time, "ms", 0.001, 0, 2, "ms|msec|millisecond|milliseconds", true},
    Unit{Dimension::time, "us", 1e-6, 0, 1, "us|microsecond|microseconds", true},
    Unit{Dimension::time, "min", 60, 0, 2, "min|mins|minute|minutes", false},
    Unit{Dimension::time, "h", 3600, 0, 3, "h|hr|hrs|hour|hours", false},

    Unit{Dimension::speed, "rpm", turn / 60, 0, 0, "rpm|rev/min|revs/min|revolutions/minute|r/min|/min",
         false},
    Unit{Dimension::speed, "rad/s", 1, 0, 2, "rad/s|rad/sec|radians/second", false},
    Unit{Dimension::speed, "deg/s", degree, 0, 1, "deg/s|deg/sec|degrees/second", false},
    Unit{Dimension::speed, "rev/s", turn, 0, 2, "rev/s|revs/s|rps|r/s", false},

    Unit{Dimension::velocity, "ft/s", foot, 0, 1, "ft/s|ft/sec|fps|feet/second", false},
    Unit{Dimension::velocity, "m/s", 1, 0, 2, "m/s|m/sec|metres/second|meters/second", false},
    Unit{Dimension::velocity, "ft/min", foot / 60, 0, 0, "ft/min|fpm|feet/minute", false},
    Unit{Dimension::velocity, "in/s", inch, 0, 2, "in/s|in/sec|ips|inches/second", false},
    Unit{Dimension::velocity, "mm/s", 0.001, 0, 1, "mm/s|mm/sec", false},
    Unit{Dimension::velocity, "km/h", 1 / 3.6, 0, 1, "km/h|kph|kmh", false},
    Unit{Dimension::velocity, "mph", 5280 * foot / 3600, 0, 1, "mph|miles/hour", false},

    Unit{Dimension::area, "sq in", inch* inch, 0, 3,
         "sq in|in2|sq inch|sq inches|square in|square inch|square inches", false},
    Unit{Dimension::area, "cm2", 1e-4, 0, 2, "cm2|sq cm|square centimetre|square centimetres", false},
    Unit{Dimension::area, "mm2", 1e-6, 0, 1, "mm2|sq mm|square millimetre|square millimetres", false},
    Unit{Dimension::area, "m2", 1, 0, 6, "m2|sq m|square metre|square metres", true},

    Unit{Dimension::flow, "cfm", foot* foot* foot / 60, 0, 1,
         "cfm|ft3/min|cu ft/min|cubic feet/minute|cubic ft/min", false},
    Unit{Dimension::flow, "L/s", 0.001, 0, 1, "L/s|l/sec|litres/second|liters/second|dm3/s", false},
    Unit{Dimension::flow, "L/min", 0.001 / 60, 0, 0, "L/min|litres/minute|liters/minute", false},
    Unit{Dimension::flow, "m3/h", 1.0 / 3600, 0, 1, "m3/h|m3/hr|cubic metres/hour", false},
    Unit{Dimension::flow, "m3/s", 1, 0, 4, "m3/s|m3/sec", false},

    Unit{Dimension::power, "hp", horsepower, 0, 1, "hp|bhp|horsepower", false},
    Unit{Dimension::power, "kW", 1000, 0, 1, "kW|kilowatt|kilowatts", false},
    Unit{Dimension::power, "W", 1, 0, 0, "W|watt|watts", false},
    Unit{Dimension::power, "PS", metric_horsepower, 0, 1, "PS|metric hp|metric horsepower", false},

    Unit{Dimension::ratio, ":1", 1, 0, 3, ":1|: 1|to 1|x|times|fold", false},
    Unit{Dimension::ratio, "%", 0.01, 0, 1, "%|percent|per cent|pct", false},

    Unit{Dimension::viscosity, "mPa s", 0.001, 0, 2, "mPa s|millipascal second|millipascal seconds", true},
    Unit{Dimension::viscosity, "cP", 0.001, 0, 2, "cP|centipoise|centipoises", false},
    Unit{Dimension::viscosity, "Pa s", 1, 0, 5, "Pa s|pascal second|pascal seconds", true},
};

// What the trade means by each, where no source is named, is common practice.
inline constexpr std::array refused_table = {
    RefusedUnit{Dimension::length, "mil|mils|mill|mills",
                "can be read as thousandths of an inch (thou) and as millimetres (mm)", "thou"},
    RefusedUnit{
        Dimension::length, "tenth|tenths",
        "can be read as ten-thousandths of an inch (0.0001 in) and as tenths of a millimetre (0.1 mm)", ""},
    RefusedUnit{Dimension::length, "hundredth|hundredths",
                "can be read as hundredths of an inch (0.01 in) and of a millimetre (0.01 mm)", ""},
    RefusedUnit{Dimension::mass, "gr|grs", "can be read as grams (g) and as grains (0.0648 g)", "g"},
    RefusedUnit{Dimension::volume, "qt|qts|quart|quarts|pt|pts|pint|pints|gal|gals|gallon|gallons|fl oz|oz",
                "can be read as the US and as the imperial measure, which differ", ""},
    RefusedUnit{Dimension::pressure, "psig|psi g|psia|psi a|barg|bar g|bara|bar a",
                "says gauge or absolute, which the place it is typed in already settles", "psi"},
};

}  // namespace fettle::quantity

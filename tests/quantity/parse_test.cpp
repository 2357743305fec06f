#include "quantity/parse.h"

#include <clocale>
#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

namespace fettle::quantity {
namespace {

// The parsed SI value, or NaN with the message shown.
double si(std::string_view text, Dimension dimension) {
  const auto parsed = parse_si(text, dimension);
  if (!parsed) {
    ADD_FAILURE() << parsed.error().message();
    return std::nan("");
  }
  return *parsed;
}

double inches(std::string_view text) {
  return si(text, Dimension::length) / 0.0254;
}
double millimetres(std::string_view text) {
  return si(text, Dimension::length) / 0.001;
}
double degrees(std::string_view text) {
  return si(text, Dimension::angle) * 180 / std::numbers::pi;
}

TEST(ParseLength, AcceptsTheWaysToWriteInches) {
  for (const char* text : {"0.050 in", ".050\"", "0.050in", "0.050 inch", "0.050 inches", "0.050 IN",
                           "50 thou", "50 thousandths", "0.050″", "0.050''", "0,050 in", ",050 in", "5e-2 in",
                           "5.0E-2 in", "+0.050 in", "1/20 in", "0.050 in.", "  0.050 in ", "0.050-in"}) {
    EXPECT_NEAR(inches(text), 0.050, 1e-15) << text;
  }
}

TEST(ParseLength, AcceptsTheWaysToWriteMillimetres) {
  for (const char* text : {"1.27 mm", "1,27 mm", "1.27mm", "1.27 MM", "1.27 millimetres", "0.127 cm",
                           "1270 um", "1270 µm", "1270 μm", "1.27e-3 m", "0.00127 m", "1270 microns"}) {
    EXPECT_NEAR(millimetres(text), 1.27, 1e-14) << text;
  }
}

TEST(ParseLength, AcceptsCommonFractions) {
  for (const char* text :
       {"1 1/8 in", "1-1/8 in", "1 1/8\"", "1⅛ in", "1 ⅛″", "9/8 in", "1 1⁄8 in", "1.125 in"}) {
    EXPECT_DOUBLE_EQ(inches(text), 1.125) << text;
  }
  EXPECT_DOUBLE_EQ(inches("-1 1/8 in"), -1.125);
  EXPECT_DOUBLE_EQ(inches("1/8 in"), 0.125);
  EXPECT_DOUBLE_EQ(inches("½in"), 0.5);
}

TEST(ParseLength, AcceptsEveryMinusAndBlankOfAWordProcessor) {
  for (const char* text :
       {"-0.0005 in", "−0.0005 in", "–0.0005 in", "- 0.0005 in", "−0.0005 in", "−0.0005 in", "−0.0005 in"}) {
    EXPECT_NEAR(inches(text), -0.0005, 1e-18) << text;
  }
}

TEST(ParseLength, AcceptsFeetWithInches) {
  EXPECT_NEAR(inches("5 ft 3 1/2 in"), 63.5, 1e-12);
  EXPECT_NEAR(inches("5' 3.5\""), 63.5, 1e-12);
  EXPECT_NEAR(inches("5'-3 1/2\""), 63.5, 1e-12);
  EXPECT_NEAR(inches("-1 ft 6 in"), -18, 1e-12);
}

TEST(ParseLength, ReadsThousandsGroupsWhereNothingElseCanBeMeant) {
  EXPECT_NEAR(millimetres("1,234.5 mm"), 1234.5, 1e-9);
  EXPECT_NEAR(millimetres("1.234,5 mm"), 1234.5, 1e-9);
  EXPECT_NEAR(millimetres("1,234,567 mm"), 1234567, 1e-6);
  EXPECT_NEAR(millimetres("1234,500 mm"), 1234.5, 1e-9);
  EXPECT_NEAR(millimetres("-0,050 mm"), -0.050, 1e-15);
}

TEST(ParseAngle, AcceptsTheWaysToWriteDegrees) {
  for (const char* text : {"37°", "37 °", "37º", "37 deg", "37 degrees", "37 DEG.", "37deg"}) {
    EXPECT_NEAR(degrees(text), 37, 1e-13) << text;
  }
  EXPECT_DOUBLE_EQ(si("0.65 rad", Dimension::angle), 0.65);
  EXPECT_NEAR(degrees("1/2 turn"), 180, 1e-12);
}

TEST(ParseAngle, AcceptsMinutesAndSecondsOfArc) {
  EXPECT_NEAR(degrees("45° 30'"), 45.5, 1e-12);
  EXPECT_NEAR(degrees("45°30′36″"), 45.51, 1e-12);
  EXPECT_NEAR(degrees("45 deg 30 min"), 45.5, 1e-12);
  EXPECT_NEAR(degrees("-0° 30'"), -0.5, 1e-13);
  EXPECT_NEAR(degrees("30'"), 0.5, 1e-13);
}

TEST(ParseForce, ReadsPoundsAsForceOrAsMassAsTheDimensionWants) {
  EXPECT_NEAR(si("110 lb", Dimension::force), 489.30437767865499, 1e-11);  // 110 * 4.4482216152605
  EXPECT_DOUBLE_EQ(si("110 lb", Dimension::force), si("110 lbf", Dimension::force));
  EXPECT_DOUBLE_EQ(si("110 lb", Dimension::mass), 110 * 0.45359237);
  EXPECT_DOUBLE_EQ(si("110#", Dimension::mass), 110 * 0.45359237);
}

TEST(ParseCompoundUnits, AcceptTheWaysToWriteThem) {
  for (const char* text :
       {"65 ft lb", "65 lb ft", "65 ft-lb", "65 lb-ft", "65 ft·lb", "65 ft.lb", "65 ftlb", "65 ft lbf",
        "65 lbf·ft", "65 ft. lbs.", "65 foot pounds", "65 FT-LBS", "780 in lb", "780 in-lbs"}) {
    EXPECT_NEAR(si(text, Dimension::torque), 65 * 0.3048 * 4.4482216152605, 1e-11) << text;
  }
  for (const char* text : {"90 N m", "90 Nm", "90 N·m", "90 N⋅m", "90 N*m", "90 nm", "9000 N cm"}) {
    EXPECT_NEAR(si(text, Dimension::torque), 90, 1e-12) << text;
  }
  for (const char* text :
       {"350 lb/in", "350 lbs/in", "350 lbf/in", "350 lb / in", "350 pounds per inch", "350 #/in"}) {
    EXPECT_NEAR(si(text, Dimension::rate), 350 * 4.4482216152605 / 0.0254, 1e-9) << text;
  }
  for (const char* text :
       {"350 cu in", "350 cu. in.", "350 in3", "350 in³", "350 in^3", "350 cubic inches", "350 cid"}) {
    EXPECT_NEAR(si(text, Dimension::volume), 350 * 16.387064e-6, 1e-17) << text;
  }
  for (const char* text : {"64 cc", "64 ml", "64 mL", "64 cm3", "64 cm³", "0.064 L", "0.064 litre"}) {
    EXPECT_NEAR(si(text, Dimension::volume), 64e-6, 1e-19) << text;
  }
}

TEST(ParseRest, AcceptsTheOtherDimensions) {
  EXPECT_DOUBLE_EQ(si("24.5 N/mm", Dimension::rate), 24500);
  EXPECT_DOUBLE_EQ(si("1 bar", Dimension::pressure), 1e5);
  EXPECT_DOUBLE_EQ(si("101 kPa", Dimension::pressure), 101e3);
  EXPECT_DOUBLE_EQ(si("620 g", Dimension::mass), 0.620);
  EXPECT_DOUBLE_EQ(si("1.2 s", Dimension::time), 1.2);
  EXPECT_DOUBLE_EQ(si("5 ms", Dimension::time), 0.005);
  EXPECT_DOUBLE_EQ(si("20 min", Dimension::time), 1200);
  EXPECT_NEAR(si("6500 rpm", Dimension::speed), 6500 * 2 * std::numbers::pi / 60, 1e-10);
  EXPECT_DOUBLE_EQ(si("12 m/s", Dimension::velocity), 12);
}

TEST(ParseTemperature, IsAbsoluteWhileADifferenceHasNoZero) {
  for (const char* text :
       {"20 °C", "20°C", "20 C", "20 deg C", "20 ℃", "293.15 K", "68 F", "68 °F", "68°F"}) {
    EXPECT_NEAR(si(text, Dimension::temperature), 293.15, 1e-12) << text;
  }
  EXPECT_DOUBLE_EQ(si("9 F", Dimension::temperature_difference), 5);
  EXPECT_DOUBLE_EQ(si("-1.5 C", Dimension::temperature_difference), -1.5);
}

TEST(ParseKeeps, TheTextAsTyped) {
  for (const char* text : {" 1-1/8\"", "50 thou", "1,27 mm", "0.0500 in"}) {
    const auto length = parse<Dimension::length>(text);
    ASSERT_TRUE(length);
    EXPECT_EQ(length->typed(), text);
  }
}

TEST(ParseNumbers, DoNotDependOnTheLocale) {
  const std::string before = std::setlocale(LC_NUMERIC, nullptr);
  // Not every machine has it; the check is then the same as above.
  std::setlocale(LC_NUMERIC, "de_DE.UTF-8");
  EXPECT_NEAR(millimetres("1.27 mm"), 1.27, 1e-14);
  EXPECT_NEAR(millimetres("1,27 mm"), 1.27, 1e-14);
  std::setlocale(LC_NUMERIC, before.c_str());
}

}  // namespace
}  // namespace fettle::quantity

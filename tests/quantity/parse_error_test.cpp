#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "quantity/parse.h"

namespace fettle::quantity {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::Not;

ParseError refusal(std::string_view text, Dimension dimension) {
  const auto parsed = parse_si(text, dimension);
  if (parsed) {
    ADD_FAILURE() << text << " was read as " << *parsed;
    return {};
  }
  return parsed.error();
}

std::string message(std::string_view text, Dimension dimension) {
  return refusal(text, dimension).message();
}

TEST(ParseError, SaysWhatWasGivenWhatIsWantedAndARightExample) {
  for (const Dimension dimension : all_dimensions) {
    const ParseError error = refusal("0.050", dimension);
    EXPECT_EQ(error.given, "0.050");
    EXPECT_THAT(error.message(),
                AllOf(HasSubstr("\"0.050\""), HasSubstr("no unit"),
                      HasSubstr(std::string(name_with_article(dimension))), HasSubstr(error.example)));
    EXPECT_TRUE(parse_si(error.example, dimension)) << error.example;
  }
}

TEST(ParseError, ABareNumberIsShownWithAUnit) {
  EXPECT_EQ(refusal("0.050", Dimension::length).example, "0.050 in");
  EXPECT_EQ(refusal("41", Dimension::angle).example, "41 deg");
  EXPECT_EQ(refusal("0", Dimension::angle).example, "0 deg");
}

TEST(ParseError, ACommaBeforeThreeDigitsShowsBothReadings) {
  EXPECT_THAT(message("1,270 in", Dimension::length), AllOf(HasSubstr("1270"), HasSubstr("1.270")));
  EXPECT_EQ(refusal("1,270 in", Dimension::length).example, "1.270 in");
  EXPECT_EQ(refusal("-12,500 mm", Dimension::length).example, "-12.500 mm");
  EXPECT_EQ(refusal("6,500 rpm", Dimension::speed).example, "6500 rpm");
}

TEST(ParseError, WordsWithTwoMeaningsShowBoth) {
  EXPECT_THAT(message("0.5 mil", Dimension::length), AllOf(HasSubstr("thou"), HasSubstr("mm")));
  EXPECT_THAT(message("2 tenths", Dimension::length), AllOf(HasSubstr("0.0001 in"), HasSubstr("0.1 mm")));
  EXPECT_THAT(message("500 gr", Dimension::mass), AllOf(HasSubstr("grams"), HasSubstr("grains")));
  EXPECT_THAT(message("5 qt", Dimension::volume), AllOf(HasSubstr("US"), HasSubstr("imperial")));
}

TEST(ParseError, AUnitOfAnotherDimensionSaysSo) {
  EXPECT_THAT(message("3 in", Dimension::angle), HasSubstr("is a length, not an angle"));
  EXPECT_THAT(message("3 deg", Dimension::length), HasSubstr("is an angle, not a length"));
  EXPECT_THAT(message("3 lb", Dimension::length), HasSubstr("is a force or a mass, not a length"));
  EXPECT_THAT(message("68 deg", Dimension::temperature), HasSubstr("is an angle, not a temperature"));
  EXPECT_THAT(message("350 lb", Dimension::rate), HasSubstr("not a spring rate"));
}

TEST(ParseError, AMistypedUnitSuggestsTheNearest) {
  EXPECT_THAT(message("5 inchs", Dimension::length), HasSubstr("did you mean \"inch"));
  EXPECT_THAT(message("5 degres", Dimension::angle), HasSubstr("did you mean \"degre"));
  EXPECT_THAT(message("5 mn", Dimension::length), HasSubstr("did you mean"));
  EXPECT_EQ(refusal("5 thuo", Dimension::length).example.substr(0, 1), "5");
  EXPECT_THAT(message("5 furlongs", Dimension::length), Not(HasSubstr("did you mean")));
}

TEST(ParseError, CaseIsNotGuessedWhereItChangesThePrefix) {
  EXPECT_THAT(message("1 mpa", Dimension::pressure), HasSubstr("did you mean \"MPa\""));
  EXPECT_FALSE(parse_si("1 mPa", Dimension::pressure));
  EXPECT_FALSE(parse_si("1 Mg", Dimension::mass));
}

TEST(ParseError, RefusesWhatIsNoOrdinaryNumber) {
  for (const char* text : {"",          " ",         "in",          "nan in",
                           "inf in",    "-inf in",   "infinity in", "0x10 in",
                           "0x1p-3 in", "1e400 in",  "1e31 in",     "1e99999999999999999999 in",
                           "1/0 in",    "1 9/8 in",  "1 8/8 in",    "- in",
                           "+ in",      "--1 in",    "+-1 in",      ". in",
                           ", in",      "1..2 in",   "1,2,3 in",    "1.2.3 in",
                           "1 500 mm",  "1 2 in",    "1. 1/2 in",   "1.5 1/2 in",
                           "1/2/3 in",  "10³ in",    "3/8-24",      "1 in 2",
                           "1 in 2 in", "1 in 2 ft", "1.5 ft 2 in", "1 ft 12 in",
                           "5 m m",     "5 in/",     "½5 in",       "٣ in",
                           "5 in\n",    "5 \x01in",  "(5 in)",      "5 in to 6 in",
                           "5-6 in",    "=5 in"}) {
    EXPECT_FALSE(parse_si(text, Dimension::length)) << text;
  }
  EXPECT_FALSE(parse_si(std::string_view("5\0 in", 5), Dimension::length));
  EXPECT_FALSE(parse_si("1e30 m", Dimension::length));
}

TEST(ParseError, RefusesTemperaturesBelowAbsoluteZero) {
  EXPECT_THAT(message("-274 C", Dimension::temperature), HasSubstr("absolute zero"));
  EXPECT_TRUE(parse_si("-273 C", Dimension::temperature));
}

TEST(ParseError, RefusesLongTextUnreadAndCutsItInTheMessage) {
  const std::string longest = std::string(longest_quantity - 3, '0') + " in";
  EXPECT_TRUE(parse_si(longest, Dimension::length));
  EXPECT_FALSE(parse_si("0" + longest, Dimension::length));
  EXPECT_LT(message(std::string(1'000'000, '1'), Dimension::length).size(), 300U);
}

TEST(ParseError, ShowsOnlyPrintableText) {
  const ParseError error = refusal("5 \xFF\x1B[31m\xC3 in", Dimension::length);
  EXPECT_EQ(error.given, "5 \uFFFD\uFFFD[31m\uFFFD in");
  for (const char c : error.message()) {
    EXPECT_TRUE(static_cast<unsigned char>(c) >= 0x20);
  }
}

}  // namespace
}  // namespace fettle::quantity

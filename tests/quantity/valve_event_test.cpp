#include "quantity/valve_event.h"

#include <cmath>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fettle::quantity {
namespace {

using enum ValveEvent;
using testing::AllOf;
using testing::HasSubstr;

double degrees(std::string_view text, ValveEvent event) {
  const auto parsed = parse_event(text, event);
  if (!parsed) {
    ADD_FAILURE() << parsed.error().message();
    return std::nan("");
  }
  return parsed->degrees();
}

std::string message(std::string_view text, ValveEvent event) {
  const auto parsed = parse_event(text, event);
  if (parsed) {
    ADD_FAILURE() << text << " was read as " << parsed->degrees();
    return {};
  }
  return parsed.error().message();
}

TEST(ValveEvent, IsCountedInSignedDegreesFromOverlapTdc) {
  EXPECT_NEAR(degrees("14 BTDC", intake_opening), -14, 1e-12);
  EXPECT_NEAR(degrees("3 ATDC", intake_opening), 3, 1e-12);
  EXPECT_NEAR(degrees("38 ABDC", intake_closing), 218, 1e-12);
  EXPECT_NEAR(degrees("52 BBDC", exhaust_opening), -232, 1e-12);
  EXPECT_NEAR(degrees("3 ATDC", exhaust_closing), 3, 1e-12);
  EXPECT_NEAR(degrees("2 BTDC", exhaust_closing), -2, 1e-12);
}

// Duration = IC - IO = 14 + 180 + 38, overlap = EC - IO: the trade's sums, common practice, no source.
TEST(ValveEvent, GivesTheDurationsAndCentrelinesOfTheTrade) {
  const double io = degrees("14 BTDC", intake_opening);
  const double ic = degrees("38 ABDC", intake_closing);
  const double eo = degrees("52 BBDC", exhaust_opening);
  const double ec = degrees("6 ATDC", exhaust_closing);
  EXPECT_NEAR(ic - io, 14 + 180 + 38, 1e-12);
  EXPECT_NEAR(ec - eo, 52 + 180 + 6, 1e-12);
  EXPECT_NEAR((io + ic) / 2, 102, 1e-12);
  EXPECT_NEAR(-(eo + ec) / 2, 113, 1e-12);
  EXPECT_NEAR(ec - io, 14 + 6, 1e-12);
}

TEST(ValveEvent, AcceptsTheWaysToWriteIt) {
  for (const char* text : {"14 BTDC", "14° BTDC", "14 deg BTDC", "14 btdc", "14.0 Btdc", "14BTDC", "BTDC 14",
                           "14 degrees before TDC", "14 before top dead centre", "14 before top dead center",
                           "14° before TDC", "346", "346 deg", "346°", "-14", "−14 deg", "14,0 BTDC"}) {
    EXPECT_NEAR(degrees(text, intake_opening), -14, 1e-12) << text;
  }
  EXPECT_NEAR(degrees("TDC", intake_opening), 0, 1e-12);
  EXPECT_NEAR(degrees("at BDC", exhaust_opening), -180, 1e-12);
  EXPECT_NEAR(degrees("13 1/2 BTDC", intake_opening), -13.5, 1e-12);
}

TEST(ValveEvent, ReadsADeadCentreFromEitherSide) {
  EXPECT_NEAR(degrees("170 ATDC", intake_closing), 170, 1e-12);
  EXPECT_NEAR(degrees("10 BBDC", intake_closing), 170, 1e-12);
}

TEST(ValveEvent, TakesAWheelReadingToTheTurnThatFits) {
  EXPECT_NEAR(degrees("218", intake_closing), 218, 1e-12);
  EXPECT_NEAR(degrees("-142", intake_closing), 218, 1e-12);
  EXPECT_NEAR(degrees("128", exhaust_opening), -232, 1e-12);
  EXPECT_NEAR(degrees("-232", exhaust_opening), -232, 1e-12);
  EXPECT_NEAR(degrees("355", exhaust_closing), -5, 1e-12);
  EXPECT_NEAR(degrees("+14", intake_opening), 14, 1e-12);
  EXPECT_NEAR(degrees("5", exhaust_closing), 5, 1e-12);
}

TEST(ValveEvent, ABareNumberThatMayComeFromACardIsRefusedWithBothReadings) {
  EXPECT_THAT(message("14", intake_opening), AllOf(HasSubstr("14 BTDC"), HasSubstr("14 ATDC")));
  EXPECT_THAT(message("38", intake_closing), AllOf(HasSubstr("38 ABDC"), HasSubstr("38 ATDC")));
  EXPECT_THAT(message("80", exhaust_opening), AllOf(HasSubstr("80 BBDC"), HasSubstr("80 ATDC")));
}

TEST(ValveEvent, ASignBesideBeforeOrAfterIsRefusedWithBothReadings) {
  EXPECT_THAT(message("-4 BTDC", intake_opening), AllOf(HasSubstr("4 BTDC"), HasSubstr("4 ATDC")));
  EXPECT_FALSE(parse_event("+4 BTDC", intake_opening));
}

TEST(ValveEvent, AnEventTypedForAnotherOneIsRefusedByName) {
  EXPECT_THAT(message("14 ABDC", intake_opening),
              AllOf(HasSubstr("14 ABDC"), HasSubstr("no intake opening"), HasSubstr("100 BTDC"),
                    HasSubstr("75 ATDC"), HasSubstr("14 BTDC")));
  EXPECT_FALSE(parse_event("14 BTDC", intake_closing));
  EXPECT_FALSE(parse_event("52 BBDC", exhaust_closing));
  EXPECT_FALSE(parse_event("52 ABDC", exhaust_opening));
}

TEST(ValveEvent, TheAllowedRangeIncludesItsEnds) {
  EXPECT_TRUE(parse_event("100 BTDC", intake_opening));
  EXPECT_FALSE(parse_event("100.1 BTDC", intake_opening));
  EXPECT_TRUE(parse_event("120 ABDC", intake_closing));
  EXPECT_FALSE(parse_event("120.1 ABDC", intake_closing));
  EXPECT_NEAR(allowed_range(exhaust_opening).earliest.degrees(), -280, 1e-12);
}

TEST(ValveEvent, RefusesWhatIsNoEvent) {
  for (const char* text : {"", "BTDC", "14 TDC", "14 in", "14 BTDC BTDC", "14 BTDCX", "x BTDC", "400", "-400",
                           "346 BTDC", "nan BTDC", "1e9", "14 mm BTDC", "14 20 BTDC"}) {
    EXPECT_FALSE(parse_event(text, intake_opening)) << text;
  }
  EXPECT_FALSE(parse_event(std::string(1000, '1'), intake_opening));
}

TEST(ValveEvent, IsPrintedFromItsDeadCentre) {
  EXPECT_EQ(print_event(CrankAngle::from_degrees(-14), intake_opening), "14.0 BTDC");
  EXPECT_EQ(print_event(CrankAngle::from_degrees(218), intake_closing), "38.0 ABDC");
  EXPECT_EQ(print_event(CrankAngle::from_degrees(170), intake_closing), "10.0 BBDC");
  EXPECT_EQ(print_event(CrankAngle::from_degrees(-232.25), exhaust_opening, 2), "52.25 BBDC");
  EXPECT_EQ(print_event(CrankAngle::from_degrees(3), exhaust_closing, 0), "3 ATDC");
  EXPECT_EQ(print_event(CrankAngle::from_degrees(0.01), intake_opening), "0.0 BTDC");
  EXPECT_THROW(print_event(CrankAngle::from_radians(std::nan("")), intake_opening), std::invalid_argument);
  EXPECT_THROW(print_event(CrankAngle::from_degrees(0), intake_opening, -1), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::quantity

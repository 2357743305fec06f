#include "mechanism/true_tdc.h"

#include <cmath>
#include <limits>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/circular.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

SliderCrank straight() {
  return SliderCrank({43 * millimetre, 148.6 * millimetre, 0.0});
}
SliderCrank offset() {
  return SliderCrank({43 * millimetre, 148.6 * millimetre, 1.5 * millimetre});
}

// Arithmetic of the trade: half way between the two stops.
TEST(TrueTdc, StopsAtNoughtAndFortyOneGiveTwentyAndAHalf) {
  const StopTdc result = tdc_from_stop(0.0, 41 * degree, straight());
  EXPECT_NEAR(result.tdc / degree, 20.5, 1e-10);
  EXPECT_NEAR(result.span / degree, 41, 1e-10);
}

TEST(TrueTdc, StopsMayStraddleTheWheelsZero) {
  EXPECT_NEAR(tdc_from_stop(350 * degree, 30 * degree, straight()).tdc / degree, 10, 1e-9);
  EXPECT_NEAR(tdc_from_stop(-10 * degree, 390 * degree, straight()).tdc / degree, 10, 1e-9);
  EXPECT_NEAR(tdc_from_stop(330 * degree, 10 * degree, straight()).tdc / degree, 350, 1e-9);
}

TEST(TrueTdc, ExpectedSpanIsTheDwellOfTheStopDepth) {
  const auto span = expected_stop_span(5 * millimetre, straight());
  ASSERT_TRUE(span);
  EXPECT_NEAR(straight().depth(0.5 * *span) / millimetre, 5, 1e-10);
  EXPECT_FALSE(expected_stop_span(90 * millimetre, straight()));
}

TEST(TrueTdc, UnequalWeightsPullTheMeanAndScatterIsReported) {
  const std::vector<StopPair> pairs{{0, 41 * degree, 1.0}, {0, 42 * degree, 3.0}};
  const StopsTdc result = tdc_from_stops(pairs, straight());
  EXPECT_NEAR(result.tdc / degree, 20.875, 1e-10);
  EXPECT_NEAR(result.residuals[0] / degree, -0.375, 1e-10);
  EXPECT_NEAR(result.residuals[1] / degree, 0.125, 1e-10);
  // chi-squared of one degree of freedom over the mean weight 2: sqrt((0.375² + 3·0.125²)/2).
  EXPECT_NEAR(result.scatter / degree, std::sqrt((0.140625 + 0.046875) / 2), 1e-10);
  EXPECT_THROW(tdc_from_stops({}, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_stops(std::vector<StopPair>{{0, 1, 0.0}}, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_stops(std::vector<StopPair>{{0, 1, 1}, {std::numbers::pi, std::numbers::pi + 1, 1}},
                              straight()),
               std::invalid_argument);
}

RC_GTEST_PROP(TrueTdc, AStopOfAnyDepthFindsTrueTdcInSpiteOfTheOffset, ()) {
  const SliderCrank crank = offset();
  const double tdc = *rc::gen::inRange(-4000, 4000) / 10.0 * degree;
  const double depth = crank.stroke() * *rc::gen::inRange(1, 950) / 1000.0;
  const auto crossing = crank.angles_at_depth(depth);
  RC_ASSERT(crossing.has_value());
  const StopTdc result = tdc_from_stop(tdc + crossing->before, tdc + crossing->after, crank);
  RC_ASSERT(std::abs(wrap_centred(result.tdc - tdc, full_turn)) < 1e-12);
  RC_ASSERT(std::abs(result.span - (crossing->after - crossing->before)) < 1e-12);
}

RC_GTEST_PROP(TrueTdc, TurningTheWheelTurnsTheAnswer, ()) {
  const double turn = *rc::gen::inRange(0, 3600) / 10.0 * degree;
  const StopTdc one = tdc_from_stop(0.3, 1.1, offset());
  const StopTdc other = tdc_from_stop(0.3 + turn, 1.1 + turn, offset());
  RC_ASSERT(std::abs(wrap_centred(other.tdc - one.tdc - turn, full_turn)) < 1e-12);
}

std::vector<TracePoint> trace(const SliderCrank& crank, double tdc, double top, double scale, double reach,
                              int points) {
  std::vector<TracePoint> result;
  for (int i = 0; i < points; ++i) {
    const double after = reach * (2.0 * i / (points - 1) - 1.0);
    result.push_back({wrap_positive(tdc + after, full_turn), top - scale * crank.depth(after),
                      0.005 * millimetre, 0.1 * degree});
  }
  return result;
}

RC_GTEST_PROP(TrueTdc, CleanTraceIsRecoveredWhereverTheWheelStands, ()) {
  const SliderCrank crank = offset();
  const double tdc = *rc::gen::inRange(0, 36000) / 100.0 * degree;
  const double top = *rc::gen::inRange(-1000, 1000) / 100.0 * millimetre;
  const double scale = *rc::gen::inRange(960, 1001) / 1000.0;
  const auto points = trace(crank, tdc, top, scale, 30 * degree, 31);
  const TdcFit fit = tdc_from_trace(points, crank, {.fit_scale = true});
  RC_ASSERT(fit.converged);
  RC_ASSERT(std::abs(wrap_centred(fit.tdc - tdc, full_turn)) < 1e-8);
  RC_ASSERT(std::abs(fit.top - top) < 1e-9);
  RC_ASSERT(std::abs(fit.scale - scale) < 1e-7);
  RC_ASSERT(fit.covariance.rows() == 3 && fit.dof == 28);
}

TEST(TrueTdc, OneSideOfATraceIsEnoughWhenTheTopIsKnown) {
  auto points = trace(offset(), 1.0, 0.0, 1.0, 30 * degree, 31);
  points.resize(12);
  const TdcFit fit = tdc_from_trace(points, offset(), {.fit_top = false});
  ASSERT_TRUE(fit.converged) << fit.summary;
  EXPECT_NEAR(fit.tdc, 1.0, 1e-8);
}

TEST(TrueTdc, TraceCovarianceCoversTheNoise) {
  const SliderCrank crank = offset();
  std::mt19937_64 random(17);
  std::normal_distribution<double> normal;
  const auto clean = trace(crank, 0.1, 2 * millimetre, 1.0, 20 * degree, 21);
  double mean = 0.0;
  double squares = 0.0;
  double stated = 0.0;
  double chi_squared = 0.0;
  constexpr int draws = 2000;
  for (int draw = 0; draw < draws; ++draw) {
    auto points = clean;
    for (TracePoint& point : points) {
      point.wheel += point.wheel_u * normal(random);
      point.height += point.height_u * normal(random);
    }
    const TdcFit fit = tdc_from_trace(points, crank);
    ASSERT_TRUE(fit.converged) << fit.summary;
    const double error = wrap_centred(fit.tdc - 0.1, full_turn);
    mean += error / draws;
    squares += error * error / draws;
    stated += fit.covariance(0, 0) / draws;
    chi_squared += fit.chi_squared / draws;
  }
  // 2000 draws: the standard deviation is known to 1.6 %, the mean of chi-squared (19 degrees of freedom) to
  // 0.14.
  EXPECT_NEAR(std::sqrt(squares / stated), 1.0, 0.06);
  EXPECT_LT(std::abs(mean), 4 * std::sqrt(squares / draws));
  EXPECT_NEAR(chi_squared, 19, 0.6);
}

TEST(TrueTdc, DropsAtEqualHeightsAgreeWithTheStopMethod) {
  const SliderCrank crank = offset();
  const auto crossing = crank.angles_at_depth(1.27 * millimetre);
  const double tdc = 200 * degree;
  const std::vector<DropReading> readings{
      {tdc + crossing->before + 0.01, 1.27 * millimetre, Side::before_tdc, 1e-5, 0.0},
      {tdc + crossing->after + 0.01, 1.27 * millimetre, Side::after_tdc, 1e-5, 0.0}};
  const TdcFit fit = tdc_from_drops(readings, crank);
  ASSERT_TRUE(fit.converged) << fit.summary;
  EXPECT_NEAR(fit.tdc, tdc_from_stop(readings[0].wheel, readings[1].wheel, crank).tdc, 1e-4);
  EXPECT_NEAR(fit.tdc, tdc + 0.01, 1e-4);
}

TEST(TrueTdc, DropsAtUnequalHeightsAreSolvedOnTheExactMechanism) {
  const SliderCrank crank = offset();
  const double tdc = 3 * degree;
  std::vector<DropReading> readings;
  for (const double depth : {0.5, 2.0, 5.0}) {
    readings.push_back({tdc + crank.angles_at_depth(depth * millimetre)->before, depth * millimetre,
                        Side::before_tdc, 1e-5, 1e-3});
  }
  readings.push_back(
      {tdc + crank.angles_at_depth(3 * millimetre)->after, 3 * millimetre, Side::after_tdc, 1e-5, 1e-3});
  const TdcFit fit = tdc_from_drops(readings, crank);
  ASSERT_TRUE(fit.converged) << fit.summary;
  EXPECT_NEAR(fit.tdc, tdc, 1e-9);
  // The indicator was zeroed 0.2 mm off the top: fitted away when asked, an error of TDC when not.
  for (DropReading& reading : readings) {
    reading.depth -= 0.2 * millimetre;
  }
  const TdcFit fitted = tdc_from_drops(readings, crank, {.fit_top = true});
  ASSERT_TRUE(fitted.converged) << fitted.summary;
  EXPECT_NEAR(fitted.tdc, tdc, 1e-8);
  EXPECT_NEAR(fitted.top / millimetre, 0.2, 1e-6);
  EXPECT_GT(std::abs(tdc_from_drops(readings, crank).tdc - tdc), 1e-4);
}

TEST(TrueTdc, TooFewOrUselessPointsAreSaidToBeSo) {
  const TdcFit none = tdc_from_trace({}, straight());
  EXPECT_FALSE(none.converged);
  EXPECT_THAT(none.summary, testing::HasSubstr("too few"));
  EXPECT_FALSE(tdc_from_drops({}, straight()).converged);
  const std::vector<TracePoint> same(5, TracePoint{1.0, 0.0, 1e-5, 1e-3});
  const TdcFit useless = tdc_from_trace(same, straight());
  EXPECT_FALSE(useless.converged);
  EXPECT_FALSE(useless.summary.empty());
}

TEST(TrueTdc, NumbersThatCannotBeReadingsAreRefused) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(tdc_from_stop(nan, 0.0, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_trace(std::vector<TracePoint>{{nan, 0, 1, 0}}, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_trace(std::vector<TracePoint>{{0, 0, 0, 0}}, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_trace(std::vector<TracePoint>{{0, 0, 1, -1}}, straight()), std::invalid_argument);
  EXPECT_THROW(tdc_from_trace({}, straight(), {.most_iterations = 0}), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test

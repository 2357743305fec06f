#include "study/evaluate.h"

#include <cmath>

#include <gtest/gtest.h>

#include "build/number_at.h"
#include "stations/observed.h"
#include "stations/prove.h"
#include "stations/station_work.h"
#include "study/statistics.h"
#include "study_support.h"

namespace fettle::study {
namespace {

using nlohmann::json;

/// Parts of the odd-fire twin that findings hang on, in the doubted sense.
json twin_study(int count) {
  return {{"study", 1},
          {"name", "twin"},
          {"build", "x"},
          {"draw", "random"},
          {"count", count},
          {"seed", 3},
          {"vary",
           {{{"path", "/engine/bore"}, {"name", "bore"}, {"tolerance", "0.0010 in"}},
            {{"path", "/crowns/land_height"}, {"name", "land"}, {"sd", "0.004 in"}},
            {{"path", "/springs/intake/rate"}, {"name", "rate"}, {"tolerance", "12 lbf/in"}},
            {{"path", "/valves/intake/angle"}, {"name", "angle"}, {"tolerance", "0.2 deg"}}}}};
}

double proved(const build::Build& build, const PlannedResult& result) {
  const stations::Report report = stations::prove(build, {.advise = false});
  const stations::Finding* finding = stations::find(report, result.id, result.where);
  return finding != nullptr && finding->value ? *finding->value : std::nan("");
}

build::Build with_numbers(const Plan& plan, std::span<const double> numbers) {
  build::Build build = plan.build;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    build::number_at(build, plan.numbers[i].path).number->set(numbers[i]);
  }
  return build;
}

TEST(Evaluate, ADrawIsWhatProvingThatBuildGives) {
  // The other way round the whole program: the drawn numbers put into the build, and that proved.
  const auto plan = plan_of(twin_study(10), example_build("invented-odd-twin.json"));
  ASSERT_NE(plan, nullptr);
  Evaluator evaluator(*plan);
  std::vector<double> row(plan->width());
  for (const std::uint64_t draw : {0U, 7U}) {
    evaluator.evaluate(draw, row);
    const auto numbers = std::span(row).first(plan->numbers.size());
    const stations::Report report = stations::prove(with_numbers(*plan, numbers), {.advise = false});
    std::size_t compared = 0;
    for (std::size_t i = 0; i < plan->results.size(); ++i) {
      const auto& result = plan->results[i];
      const stations::Finding* finding = stations::find(report, result.id, result.where);
      if (finding != nullptr && finding->value && result.name.find("(2)") == std::string::npos) {
        EXPECT_DOUBLE_EQ(row[numbers.size() + i], *finding->value) << result.name;
        ++compared;
      }
    }
    EXPECT_GT(compared, 200U);
  }
}

TEST(Evaluate, NumbersThatFitsHangOnAreFoundOut) {
  json document = twin_study(10);
  document["vary"] = {{{"path", "/engine/stroke"}, {"name", "stroke"}, {"tolerance", "0.010 in"}}};
  const auto plan = plan_of(document, example_build("invented-odd-twin.json"));
  ASSERT_NE(plan, nullptr);
  EXPECT_TRUE(plan->fit_anew);
  EXPECT_EQ(plan->fit_anew_for, std::vector<std::string>{"stroke"});
  Evaluator evaluator(*plan);
  std::vector<double> row(plan->width());
  evaluator.evaluate(4, row);
  const build::Build build = with_numbers(*plan, std::span(row).first(1));
  for (std::size_t i = 0; i < plan->results.size(); ++i) {
    if (plan->results[i].id == "compression.static_ratio") {
      EXPECT_DOUBLE_EQ(row[1 + i], proved(build, plan->results[i]));
    }
  }
}

TEST(Evaluate, SpreadAgreesWithFirstOrderPropagation) {
  // JCGM 100:2008, 5.1.2 with sensitivities by central differences of whole proofs; tolerances are so small
  // that the film is straight in them.
  const json document = {{"study", 1},
                         {"name", "film"},
                         {"build", "x"},
                         {"draw", "random"},
                         {"count", 20000},
                         {"seed", 3},
                         {"findings", {{{"finding", "bottom_end.main_film"}, {"main", 1}}}},
                         {"vary",
                          {{{"path", "/bearings/oil/viscosity"}, {"name", "oil"}, {"tolerance", "0.1 mPa s"}},
                           {{"path", "/bearings/oil/speed"}, {"name", "speed"}, {"sd", "50 rpm"}},
                           {{"path", "/bearings/main/load"}, {"name", "load"}, {"tolerance", "0.1 kN"}}}}};
  const auto plan = plan_of(document, example_build("invented-four-short-block.json"));
  ASSERT_NE(plan, nullptr);
  ASSERT_EQ(plan->results.size(), 1U);
  std::vector<double> u;
  for (const PlannedNumber& number : plan->numbers) {
    u.push_back(number.law.kind == Law::Kind::normal ? number.law.sd
                                                     : (number.law.high - number.law.low) / std::sqrt(12.0));
  }
  std::vector<double> parts;
  double variance = 0;
  for (std::size_t i = 0; i < u.size(); ++i) {
    std::vector<double> numbers;
    for (const PlannedNumber& number : plan->numbers) {
      numbers.push_back(number.base);
    }
    numbers[i] += u[i];
    const double more = proved(with_numbers(*plan, numbers), plan->results[0]);
    numbers[i] -= 2 * u[i];
    const double less = proved(with_numbers(*plan, numbers), plan->results[0]);
    parts.push_back((more - less) / 2);
    variance += parts.back() * parts.back();
  }
  ASSERT_GT(variance, 0);

  Evaluator evaluator(*plan);
  Eigen::MatrixXd numbers(static_cast<Eigen::Index>(plan->draws), static_cast<Eigen::Index>(u.size()));
  std::vector<double> ratios;
  std::vector<double> row(plan->width());
  for (std::uint64_t draw = 0; draw < plan->draws; ++draw) {
    evaluator.evaluate(draw, row);
    numbers.row(static_cast<Eigen::Index>(draw)) =
        Eigen::Map<const Eigen::RowVectorXd>(row.data(), static_cast<Eigen::Index>(u.size()));
    ratios.push_back(row.back());
  }
  // Relative standard deviation of a standard deviation of 20000 draws: 1/sqrt(2 n) = 0.5 %; three of them.
  EXPECT_NEAR(*statistics(ratios).sd / std::sqrt(variance), 1, 0.015);
  const auto shares = Regression(numbers).shares(ratios);
  ASSERT_TRUE(shares.has_value());
  for (std::size_t i = 0; i < u.size(); ++i) {
    EXPECT_NEAR(shares->share[i], parts[i] * parts[i] / variance, 0.03) << plan->numbers[i].name;
  }
  EXPECT_GT(shares->explained, 0.999);
}

TEST(Evaluate, AChangedGasketMovesTheClearanceByItsPartAlongTheValve) {
  // Closed form: a gasket thicker by t lifts the head along the bore, and the valve's way to the piston grows
  // by t cos(angle of the valve); a doubted gasket was there while it was read and moves nothing.
  const build::Build build = example_build("invented-odd-twin.json");
  json document = twin_study(1);
  document["draw"] = "grid";
  document.erase("count");
  document["findings"] = {{{"finding", "piston_valve.clearance"}, {"cylinder", 1}, {"valve", "intake"}}};
  document["vary"] = {{{"path", "/gasket/thickness"}, {"list", {"0.031 in", "0.041 in"}}}};
  const auto changed = plan_of(document, build);
  ASSERT_NE(changed, nullptr);
  Evaluator of_changed(*changed);
  std::vector<double> first(changed->width());
  std::vector<double> second(changed->width());
  of_changed.evaluate(0, first);
  of_changed.evaluate(1, second);
  const double along = 0.010 * 0.0254 * std::cos(build.valves->intake->angle->si());
  EXPECT_NEAR(second[1] - first[1], along, 1e-9);

  document["vary"][0]["meaning"] = "doubted";
  const auto doubted = plan_of(document, build);
  ASSERT_NE(doubted, nullptr);
  Evaluator of_doubted(*doubted);
  of_doubted.evaluate(0, first);
  of_doubted.evaluate(1, second);
  EXPECT_NEAR(second[1], first[1], 1e-12);
}

TEST(Evaluate, ACamMovedOnAGridMovesItsEvents) {
  json document = twin_study(1);
  document["draw"] = "grid";
  document.erase("count");
  document["findings"] = {{{"finding", "cam.intake_centerline"}, {"cylinder", 1}}};
  document["vary"] = {{{"path", "/timing_set/fitted"}, {"from", "-4 deg"}, {"to", "4 deg"}, {"steps", 3}}};
  const auto plan = plan_of(document, example_build("invented-odd-twin.json"));
  ASSERT_NE(plan, nullptr);
  Evaluator evaluator(*plan);
  std::vector<double> late(plan->width());
  std::vector<double> early(plan->width());
  evaluator.evaluate(0, late);
  evaluator.evaluate(2, early);
  // Advanced by 8 crank degrees in all, the centreline comes 8 degrees earlier after TDC.
  EXPECT_NEAR((late[1] - early[1]) * 180 / 3.14159265358979, 8, 1e-9);
}

/// Variance of the one result of a plan from all inputs, straight in them: sensitivities by central
/// differences; a t-distributed component of v degrees of freedom has the variance u² v/(v - 2)
/// (JCGM 101:2008, 6.4.9.4), so that the spread of draws is more than the doubt of first order.
double straight_variance(const Plan& plan) {
  const stations::Sources sources(plan.build);
  const PlannedGroup& planned = plan.groups.at(0);
  const auto group = stations::station_work()[planned.station].groups(sources).at(planned.group);
  const auto value = [&](const std::vector<double>& inputs) {
    for (const stations::Valued& valued : group.evaluate(stations::Observed(sources, inputs))) {
      if (valued.key.id.text() == plan.results[0].id && valued.key.where == plan.results[0].where) {
        return valued.value;
      }
    }
    return std::nan("");
  };
  std::vector<double> inputs = sources.estimates();
  double variance = 0;
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    double spread = 0;
    for (const metrology::Component& component : sources.inputs()[i].components) {
      const bool student = component.distribution == metrology::Distribution::student_t;
      spread += component.u * component.u * (student ? component.dof / (component.dof - 2) : 1);
    }
    const double step = std::sqrt(spread);
    inputs[i] += step;
    const double more = value(inputs);
    inputs[i] = sources.estimates()[i] - step;
    variance += std::pow((more - value(inputs)) / 2, 2);
    inputs[i] = sources.estimates()[i];
  }
  return variance;
}

TEST(Evaluate, DrawnReadingsSpreadAFindingByTheirDistributions) {
  for (const json& finding : {json{{"finding", "bottom_end.end_play"}},
                              json{{"finding", "bottom_end.main_clearance"}, {"main", 1}}}) {
    json document = twin_study(20000);
    document["vary"] = json::array();
    document["readings"] = true;
    document["findings"] = json::array({finding});
    const auto plan = plan_of(document, example_build("invented-four-short-block.json"));
    ASSERT_NE(plan, nullptr);
    ASSERT_EQ(plan->results.size(), 1U);
    Evaluator evaluator(*plan);
    std::vector<double> values;
    std::vector<double> row(plan->width());
    for (std::uint64_t draw = 0; draw < plan->draws; ++draw) {
      evaluator.evaluate(draw, row);
      values.push_back(row.back());
    }
    // Three standard deviations of a standard deviation of 20000 draws, 0.5 % each.
    EXPECT_NEAR(*statistics(values).sd / std::sqrt(straight_variance(*plan)), 1, 0.015) << finding;
  }
}

}  // namespace
}  // namespace fettle::study

#include "mechanism/selective_fit.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fettle::mechanism::test {
namespace {

constexpr double micrometre = 1e-6;

// Every pairing there is; parts >= places. Nothing where none keeps the band.
std::optional<double> least_of_all_pairings(const Eigen::MatrixXd& clearance, const FitBand& band) {
  std::vector<Eigen::Index> parts(static_cast<std::size_t>(clearance.cols()));
  std::iota(parts.begin(), parts.end(), 0);
  std::optional<double> best;
  do {
    double least = 1e9;
    double greatest = -1e9;
    for (Eigen::Index place = 0; place < clearance.rows(); ++place) {
      const double one = clearance(place, parts[static_cast<std::size_t>(place)]);
      least = std::min(least, one);
      greatest = std::max(greatest, one);
    }
    if (least >= band.least && greatest <= band.greatest) {
      best = std::min(best.value_or(greatest - least), greatest - least);
    }
  } while (std::next_permutation(parts.begin(), parts.end()));
  return best;
}

RC_GTEST_PROP(SelectiveFit, SpreadIsTheLeastOfAllPairings, ()) {
  const int places = *rc::gen::inRange(1, 6);
  const int parts = *rc::gen::inRange(places, 8);
  Eigen::MatrixXd clearance(places, parts);
  for (double& one : clearance.reshaped()) {
    one = *rc::gen::inRange(0, 40) * micrometre;
  }
  const FitBand band = *rc::gen::arbitrary<bool>() ? FitBand{} : FitBand{5 * micrometre, 33 * micrometre};
  const auto best = least_of_all_pairings(clearance, {band.least - 1e-12, band.greatest + 1e-12});
  const auto fit = least_spread(clearance, band);
  RC_ASSERT(fit.has_value() == best.has_value());
  if (!fit) {
    return;
  }
  std::vector<std::size_t> used = fit->part_of_place;
  std::sort(used.begin(), used.end());
  RC_ASSERT(std::adjacent_find(used.begin(), used.end()) == used.end());
  RC_ASSERT(std::abs(fit->greatest - fit->least - *best) < 1e-12);
}

// Bores less pistons: pairing both in the order of their sizes makes the spread least (any crossing can be
// undone without widening it).
TEST(SelectiveFit, PistonsGoToBoresInOrderOfSize) {
  const std::vector<double> bores{100.012, 100.004, 100.020, 100.008};
  const std::vector<double> pistons{99.950, 99.962, 99.946, 99.954};
  Eigen::MatrixXd clearance(4, 4);
  for (int i = 0; i < 4; ++i) {
    for (int j = 0; j < 4; ++j) {
      clearance(i, j) = (bores[static_cast<std::size_t>(i)] - pistons[static_cast<std::size_t>(j)]) * 1e-3;
    }
  }
  const auto fit = least_spread(clearance);
  ASSERT_TRUE(fit);
  EXPECT_EQ(fit->part_of_place, (std::vector<std::size_t>{3, 2, 1, 0}));
  // 0.058, 0.058, 0.058, 0.058: each bore 0.058 over its piston.
  EXPECT_NEAR(fit->greatest - fit->least, 0, 1e-12);
  EXPECT_NEAR(fit->least, 58 * micrometre, 1e-12);
}

TEST(SelectiveFit, PartsStayWhereMovingThemGainsNothing) {
  const Eigen::MatrixXd clearance = Eigen::MatrixXd::Constant(5, 5, 40 * micrometre);
  const std::vector<std::size_t> now{4, 2, 0, 1, 3};
  EXPECT_EQ(least_spread(clearance, {}, now)->part_of_place, now);
}

TEST(SelectiveFit, NoPairingInTheBandIsSaid) {
  const Eigen::MatrixXd clearance = Eigen::MatrixXd::Constant(2, 2, 40 * micrometre);
  EXPECT_FALSE(least_spread(clearance, {50 * micrometre, 60 * micrometre}));
  EXPECT_THROW(static_cast<void>(least_spread(Eigen::MatrixXd::Zero(3, 2))), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(least_spread(Eigen::MatrixXd::Constant(1, 1, NAN))), std::invalid_argument);
}

constexpr double inch = 0.0254;
constexpr double thou = 0.001 * inch;

// Two shells of one size in the upper and the lower half: -0.001 in tightens by 0.001, one half of it by
// 0.0005 (arithmetic of the trade).
TEST(Shells, AMixedPairMovesTheClearanceHalfAsMuch) {
  const std::vector<ShellSize> sizes{{0, 10}, {-thou, 10}, {thou, 10}};
  const std::vector<double> standard{2.0 * thou, 2.5 * thou, 3.0 * thou, 1.0 * thou};
  const auto choice = choose_shells(sizes, standard, {1.9 * thou, 2.1 * thou}, thou);
  ASSERT_TRUE(choice.found) << choice.summary;
  const auto change = [&](std::size_t i) {
    return (sizes[choice.pairs[i].upper].change + sizes[choice.pairs[i].lower].change) / 2;
  };
  for (std::size_t i = 0; i < standard.size(); ++i) {
    EXPECT_NEAR(standard[i] + change(i), 2.0 * thou, 1e-10) << i;
  }
  // Only the second needs a half of another size.
  EXPECT_NE(choice.pairs[1].upper, choice.pairs[1].lower);
  for (const std::size_t i : {0U, 2U, 3U}) {
    EXPECT_EQ(choice.pairs[i].upper, choice.pairs[i].lower) << i;
  }
}

TEST(Shells, HalvesFurtherApartThanAllowedAreNotMixed) {
  const std::vector<ShellSize> sizes{{-thou, 1}, {thou, 1}};
  const std::vector<double> standard{2.0 * thou};
  EXPECT_FALSE(choose_shells(sizes, standard, {1.9 * thou, 2.1 * thou}, thou).found);
  EXPECT_TRUE(choose_shells(sizes, standard, {1.9 * thou, 2.1 * thou}, 2 * thou).found);
}

// Against every choice there is, the stock kept.
RC_GTEST_PROP(Shells, SpreadIsTheLeastOfAllChoices, ()) {
  std::vector<ShellSize> sizes;
  for (const double change : {0.0, -thou, thou}) {
    sizes.push_back({change, static_cast<std::size_t>(*rc::gen::inRange(0, 4))});
  }
  std::vector<double> standard;
  for (int i = *rc::gen::inRange(1, 5); i > 0; --i) {
    standard.push_back(*rc::gen::inRange(10, 40) * 0.1 * thou);
  }
  const FitBand band{1.5 * thou, 3.5 * thou};
  std::optional<double> best;
  std::vector<std::size_t> digits(2 * standard.size(), 0);
  for (bool more = true; more;) {
    std::vector<std::size_t> uppers(3, 0), lowers(3, 0);
    double least = 1, greatest = -1;
    bool allowed = true;
    for (std::size_t i = 0; i < standard.size(); ++i) {
      const auto u = digits[2 * i];
      const auto l = digits[2 * i + 1];
      ++uppers[u];
      ++lowers[l];
      allowed = allowed && std::abs(sizes[u].change - sizes[l].change) < 1.01 * thou;
      const double one = standard[i] + (sizes[u].change + sizes[l].change) / 2;
      least = std::min(least, one);
      greatest = std::max(greatest, one);
    }
    for (std::size_t s = 0; s < 3; ++s) {
      allowed = allowed && uppers[s] <= sizes[s].pairs && lowers[s] <= sizes[s].pairs;
    }
    if (allowed && least > band.least - 1e-10 && greatest < band.greatest + 1e-10) {
      best = std::min(best.value_or(1), greatest - least);
    }
    std::size_t place = 0;
    while (place < digits.size() && ++digits[place] == 3) {
      digits[place++] = 0;
    }
    more = place < digits.size();
  }
  const auto choice = choose_shells(sizes, standard, band, thou);
  RC_ASSERT(choice.found == best.has_value());
  if (choice.found) {
    RC_ASSERT(std::abs(choice.greatest - choice.least - *best) < 1e-9);
  }
}

}  // namespace
}  // namespace fettle::mechanism::test

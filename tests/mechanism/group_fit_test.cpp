#include <algorithm>
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/selective_fit.h"

namespace fettle::mechanism::test {
namespace {

using Allowed = Eigen::Array<bool, Eigen::Dynamic, Eigen::Dynamic>;
constexpr double gram = 1e-3;

Allowed all_allowed(std::size_t count) {
  const auto size = static_cast<Eigen::Index>(count);
  return Allowed::Constant(size, size, true);
}

std::vector<double> sums_of(const std::vector<double>& weights, const GroupedPlaces& places,
                            const std::vector<std::size_t>& part_of_place) {
  std::vector<double> sums;
  for (const auto& group : places.groups) {
    double sum = 0;
    for (const std::size_t place : group) {
      sum += weights[part_of_place[place]] + places.fixed[place];
    }
    sums.push_back(sum);
  }
  return sums;
}

double spread_of(const std::vector<double>& sums) {
  const auto [least, greatest] = std::minmax_element(sums.begin(), sums.end());
  return *greatest - *least;
}

/// Every pairing there is; nothing where all hold a forbidden pair.
struct Best {
  double spread = 0;
  int moved = 0;
};
std::optional<Best> best_of_all(const std::vector<double>& weights, const GroupedPlaces& places,
                                const Allowed& allowed, const std::vector<std::size_t>& now) {
  std::vector<std::size_t> parts(weights.size());
  std::iota(parts.begin(), parts.end(), std::size_t{0});
  std::optional<Best> best;
  do {
    bool keeps = true;
    int moved = 0;
    for (std::size_t place = 0; place < parts.size(); ++place) {
      keeps = keeps && allowed(static_cast<Eigen::Index>(place), static_cast<Eigen::Index>(parts[place]));
      moved += parts[place] != now[place] ? 1 : 0;
    }
    const double spread = spread_of(sums_of(weights, places, parts));
    const bool better =
        !best || spread < best->spread - 1e-12 || (spread < best->spread + 1e-12 && moved < best->moved);
    if (keeps && better) {
      best = Best{spread, moved};
    }
  } while (std::next_permutation(parts.begin(), parts.end()));
  return best;
}

GroupedPlaces drawn_places(int count, int most_in_a_group) {
  GroupedPlaces places;
  for (std::size_t place = 0; place < static_cast<std::size_t>(count); ++place) {
    const bool joins = !places.groups.empty() && *rc::gen::arbitrary<bool>() &&
                       static_cast<int>(places.groups.back().size()) < most_in_a_group;
    if (!joins) {
      places.groups.emplace_back();
    }
    places.groups.back().push_back(place);
    places.fixed.push_back(*rc::gen::inRange(0, 4) * gram);
  }
  return places;
}

RC_GTEST_PROP(GroupFit, SpreadAndMovesAreTheLeastOfAllPairings, ()) {
  const int count = *rc::gen::inRange(1, 7);
  const GroupedPlaces places = drawn_places(count, 3);
  std::vector<double> weights;
  for (int part = 0; part < count; ++part) {
    weights.push_back((600 + *rc::gen::inRange(0, 12)) * gram);
  }
  Allowed allowed = all_allowed(weights.size());
  for (bool& one : allowed.reshaped()) {
    one = *rc::gen::inRange(0, 5) > 0;
  }
  std::vector<std::size_t> now(weights.size());
  std::iota(now.begin(), now.end(), std::size_t{0});
  const auto best = best_of_all(weights, places, allowed, now);
  const auto fit = least_group_spread(weights, places, allowed, now);
  RC_ASSERT(fit.has_value() == best.has_value());
  if (!fit) {
    return;
  }
  const auto sums = sums_of(weights, places, fit->part_of_place);
  RC_ASSERT(std::abs(spread_of(sums) - best->spread) < 1e-12);
  RC_ASSERT(std::abs(fit->greatest - fit->least - best->spread) < 1e-9);
  int moved = 0;
  for (std::size_t place = 0; place < now.size(); ++place) {
    moved += fit->part_of_place[place] != now[place] ? 1 : 0;
  }
  RC_ASSERT(moved == best->moved);
}

// Eight parts on four pins of two: the heaviest with the lightest, the next with the next, makes the greatest
// sum least and the least greatest (an exchange of two parts between two such pairs cannot mend it).
TEST(GroupFit, TheHeaviestGoesWithTheLightest) {
  const std::vector<double> weights{600 * gram, 601 * gram, 603 * gram, 604 * gram,
                                    605 * gram, 606 * gram, 608 * gram, 609 * gram};
  const GroupedPlaces places{{{0, 1}, {2, 3}, {4, 5}, {6, 7}}, std::vector<double>(8, 0.0)};
  const auto fit = least_group_spread(weights, places, all_allowed(8), {});
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->greatest - fit->least, 0, 1e-12);
  for (const double sum : sums_of(weights, places, fit->part_of_place)) {
    EXPECT_NEAR(sum, 1209 * gram, 1e-12);
  }
}

// Places numbered anew: the same parts stand together, and nothing else changes.
RC_GTEST_PROP(GroupFit, NumberingPlacesAnewDoesNotChangeTheSpread, ()) {
  const GroupedPlaces places{{{0, 1}, {2, 3}, {4, 5}}, std::vector<double>(6, 0.0)};
  std::vector<double> weights;
  for (int part = 0; part < 6; ++part) {
    weights.push_back((600 + *rc::gen::inRange(0, 300) * 0.1) * gram);
  }
  std::vector<std::size_t> to(6);
  std::iota(to.begin(), to.end(), std::size_t{0});
  for (std::size_t i = to.size(); i-- > 1;) {
    std::swap(to[i], to[static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(i) + 1))]);
  }
  GroupedPlaces renamed{{}, std::vector<double>(6, 0.0)};
  std::vector<double> renamed_weights(6);
  for (const auto& group : places.groups) {
    renamed.groups.push_back({to[group[0]], to[group[1]]});
  }
  for (std::size_t i = 0; i < 6; ++i) {
    renamed_weights[to[i]] = weights[i];
  }
  const auto before = least_group_spread(weights, places, all_allowed(6), {});
  const auto after = least_group_spread(renamed_weights, renamed, all_allowed(6), {});
  RC_ASSERT(std::abs((before->greatest - before->least) - (after->greatest - after->least)) < 1e-12);
}

TEST(GroupFit, TwelvePartsAreTried) {
  std::vector<double> weights;
  for (int part = 0; part < 12; ++part) {
    weights.push_back((600 + 1.7 * ((part * 7) % 12)) * gram);
  }
  GroupedPlaces places;
  for (std::size_t pin = 0; pin < 6; ++pin) {
    places.groups.push_back({2 * pin, 2 * pin + 1});
  }
  places.fixed.assign(12, 0.0);
  const auto fit = least_group_spread(weights, places, all_allowed(12), {});
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->greatest - fit->least, 0, 1e-12);  // evenly spaced: every pair can make the same sum
}

TEST(GroupFit, WhatDoesNotFitIsRefused) {
  const GroupedPlaces places{{{0, 1}}, {0, 0}};
  const std::vector<double> weights{1, 2};
  EXPECT_THROW(least_group_spread(std::vector<double>{1, std::nan("")}, places, all_allowed(2), {}),
               std::invalid_argument);
  EXPECT_THROW(least_group_spread(weights, {{{0, 0}}, {0, 0}}, all_allowed(2), {}), std::invalid_argument);
  EXPECT_THROW(least_group_spread(weights, {{{0, 1}}, {0}}, all_allowed(2), {}), std::invalid_argument);
  EXPECT_THROW(least_group_spread(weights, places, all_allowed(3), {}), std::invalid_argument);
  Allowed none = all_allowed(2);
  none.col(0) = false;
  EXPECT_FALSE(least_group_spread(weights, places, none, {}));
}

TEST(SelectiveFit, AForbiddenPairIsLeftOut) {
  Eigen::MatrixXd clearance(2, 2);
  clearance << 1, std::numeric_limits<double>::infinity(), 3, 1.5;
  const auto fit = least_spread(clearance);
  ASSERT_TRUE(fit);
  EXPECT_EQ(fit->part_of_place, (std::vector<std::size_t>{0, 1}));
  clearance(0, 0) = std::numeric_limits<double>::infinity();
  EXPECT_FALSE(least_spread(clearance));
}

}  // namespace
}  // namespace fettle::mechanism::test

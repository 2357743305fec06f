#include "mechanism/assignment.h"

#include <algorithm>
#include <limits>
#include <numeric>
#include <set>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace fettle::mechanism::test {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// Every pairing there is; columns >= rows.
double least_of_all_permutations(const Eigen::MatrixXd& cost) {
  std::vector<Eigen::Index> columns(static_cast<std::size_t>(cost.cols()));
  std::iota(columns.begin(), columns.end(), 0);
  double least = infinity;
  do {
    double sum = 0.0;
    for (Eigen::Index row = 0; row < cost.rows(); ++row) {
      sum += cost(row, columns[static_cast<std::size_t>(row)]);
    }
    least = std::min(least, sum);
  } while (std::next_permutation(columns.begin(), columns.end()));
  return least;
}

Eigen::MatrixXd any_costs(Eigen::Index rows, Eigen::Index columns, bool with_forbidden) {
  Eigen::MatrixXd cost(rows, columns);
  for (double& entry : cost.reshaped()) {
    entry = *rc::gen::inRange(-20, 60) / 4.0;
    if (with_forbidden && *rc::gen::inRange(0, 3) == 0) {
      entry = infinity;
    }
  }
  return cost;
}

// Arithmetic: of the six pairings 1 + 2 + 2 is the least.
TEST(Assignment, ASmallTableIsSolved) {
  Eigen::MatrixXd cost(3, 3);
  cost << 4, 1, 3, 2, 0, 5, 3, 2, 2;
  const auto found = assign(cost);
  ASSERT_TRUE(found);
  EXPECT_DOUBLE_EQ(found->cost, 5.0);
  EXPECT_EQ(found->column_of_row[0], 1U);
  EXPECT_EQ(found->column_of_row[1], 0U);
  EXPECT_EQ(found->column_of_row[2], 2U);
}

RC_GTEST_PROP(Assignment, CostIsTheLeastOfAllPermutations, ()) {
  const Eigen::Index rows = *rc::gen::inRange(1, 7);
  const Eigen::Index columns = *rc::gen::inRange(static_cast<int>(rows), 8);
  const Eigen::MatrixXd cost = any_costs(rows, columns, *rc::gen::inRange(0, 2) == 1);
  const double least = least_of_all_permutations(cost);
  const auto found = assign(cost);
  const auto turned = assign(cost.transpose());
  RC_ASSERT(found.has_value() == (least < infinity));
  RC_ASSERT(turned.has_value() == found.has_value());
  if (!found) {
    return;
  }
  double sum = 0.0;
  std::set<std::size_t> used;
  for (Eigen::Index row = 0; row < rows; ++row) {
    const auto column = found->column_of_row[static_cast<std::size_t>(row)];
    RC_ASSERT(column.has_value());
    used.insert(*column);
    sum += cost(row, static_cast<Eigen::Index>(*column));
  }
  RC_ASSERT(used.size() == static_cast<std::size_t>(rows));
  RC_ASSERT(std::abs(sum - least) < 1e-12);
  RC_ASSERT(std::abs(found->cost - least) < 1e-12);
  RC_ASSERT(std::abs(turned->cost - least) < 1e-12);
}

// For points on a line paired by a convex cost, sorted order is optimal (rearrangement inequality).
TEST(Assignment, SixteenPistonsGoToBoresInOrderOfSize) {
  Eigen::MatrixXd cost(16, 16);
  for (int i = 0; i < 16; ++i) {
    for (int j = 0; j < 16; ++j) {
      const double bore = (i * 7 % 16) * 1.3;
      const double piston = (j * 11 % 16) * 1.1;
      cost(i, j) = (bore - piston) * (bore - piston);
    }
  }
  double sorted = 0.0;
  for (int i = 0; i < 16; ++i) {
    sorted += i * i * 0.04;
  }
  EXPECT_NEAR(assign(cost)->cost, sorted, 1e-10);
}

TEST(Assignment, WhatIsNoCostIsRefused) {
  Eigen::MatrixXd cost = Eigen::MatrixXd::Zero(2, 2);
  cost(0, 1) = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(static_cast<void>(assign(cost)), std::invalid_argument);
  cost(0, 1) = -infinity;
  EXPECT_THROW(static_cast<void>(assign(cost)), std::invalid_argument);
  EXPECT_EQ(assign(Eigen::MatrixXd(0, 3))->cost, 0.0);
}

}  // namespace
}  // namespace fettle::mechanism::test

#include "study/points.h"

#include <array>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

namespace fettle::study {
namespace {

std::vector<Law> unit_laws(std::size_t count) {
  return std::vector<Law>(count, between(0, 1, Spread::rectangular));
}

std::uint64_t word_of(double unit) {
  return static_cast<std::uint64_t>(unit * 0x1p52);
}

TEST(Laws, InverseOfTheNormalDistribution) {
  // Standard normal quantiles, any table (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1).
  const Law law = normal(10.0, 2.0);
  EXPECT_NEAR(law.at(0.975), 10 + 2 * 1.959964, 1e-5);
  EXPECT_NEAR(law.at(0.5), 10, 1e-12);
  EXPECT_NEAR(law.at(0.0013498980), 10 - 2 * 3.0, 1e-6);
}

TEST(Laws, BoundsAndQuartersOfTheTriangle) {
  // Area under the triangle's left flank: u = 2 x^2 on a base of 1.
  const Law law = between(0, 1, Spread::triangular);
  EXPECT_NEAR(law.at(0.125), 0.25, 1e-12);
  EXPECT_NEAR(law.at(0.5), 0.5, 1e-12);
  EXPECT_NEAR(law.at(0.875), 0.75, 1e-12);
}

TEST(Laws, EachValueOfAListIsAsLikely) {
  Law law;
  law.kind = Law::Kind::values;
  law.values = {3, 5, 9};
  EXPECT_EQ(law.at(0.01), 3);
  EXPECT_EQ(law.at(0.34), 5);
  EXPECT_EQ(law.at(0.9999999999999999), 9);
}

TEST(Points, GridTakesEveryCombinationOnce) {
  Law two;
  two.kind = Law::Kind::values;
  two.values = {1, 2};
  Law three = two;
  three.values = {10, 20, 30};
  const std::vector<Law> laws{two, three};
  ASSERT_EQ(Points::grid_size(laws), 6U);
  Points points(Drawing::grid, false, 1, laws);
  std::set<std::pair<double, double>> seen;
  for (std::uint64_t k = 0; k < 6; ++k) {
    std::array<double, 2> x{};
    points.at(k, x);
    seen.insert({x[0], x[1]});
  }
  EXPECT_EQ(seen.size(), 6U);
  std::array<double, 2> second{};
  points.at(1, second);
  EXPECT_EQ(second, (std::array<double, 2>{1, 20}));
}

TEST(Points, SobolSequenceIsTheOneOfJoeAndKuo) {
  // First points after the origin in two dimensions (Joe and Kuo, SIAM J. Sci. Comput. 30, 2008, and their
  // program's output; from memory): the shift falls out of the difference of two points' bits.
  constexpr std::array<std::array<double, 2>, 7> printed{{{0.5, 0.5},
                                                          {0.75, 0.25},
                                                          {0.25, 0.75},
                                                          {0.375, 0.375},
                                                          {0.875, 0.875},
                                                          {0.625, 0.125},
                                                          {0.125, 0.625}}};
  Points points(Drawing::sobol, false, 5, unit_laws(2));
  std::array<double, 2> first{};
  points.at(0, first);
  for (std::size_t k = 1; k < printed.size(); ++k) {
    std::array<double, 2> x{};
    points.at(k, x);
    for (std::size_t i = 0; i < 2; ++i) {
      EXPECT_EQ(word_of(x[i]) ^ word_of(first[i]), word_of(printed[k][i]) ^ word_of(printed[0][i]))
          << "point " << k << ", coordinate " << i;
    }
  }
}

TEST(Points, ADrawDoesNotDependOnThoseBeforeIt) {
  for (const Drawing drawing : {Drawing::random, Drawing::sobol}) {
    Points in_order(drawing, false, 9, unit_laws(5));
    Points backward(drawing, false, 9, unit_laws(5));
    std::vector<std::array<double, 5>> drawn(40);
    for (std::uint64_t k = 0; k < drawn.size(); ++k) {
      in_order.at(k, drawn[k]);
    }
    for (std::uint64_t k = drawn.size(); k-- > 0;) {
      std::array<double, 5> x{};
      backward.at(k, x);
      EXPECT_EQ(x, drawn[k]);
    }
  }
}

TEST(Points, SobolFillsEvenlyWhateverTheSeed) {
  // Of 256 = 2^8 points with the origin's every interval [i, i + 1)/256 of a coordinate holds one; from the
  // second to the 256th, all but one (a digital (0, 1)-sequence in base 2; a shift only permutes intervals).
  Points points(Drawing::sobol, false, 1234567, unit_laws(3));
  for (std::size_t i = 0; i < 3; ++i) {
    std::set<int> cells;
    for (std::uint64_t k = 0; k < 255; ++k) {
      std::array<double, 3> x{};
      points.at(k, x);
      cells.insert(static_cast<int>(x[i] * 256));
    }
    EXPECT_EQ(cells.size(), 255U);
  }
}

TEST(Points, SetsForIndicesShareAllButOneNumber) {
  Points points(Drawing::sobol, true, 3, unit_laws(3));
  for (std::uint64_t set = 0; set < 10; ++set) {
    std::array<std::array<double, 3>, 5> x{};
    for (std::uint64_t member = 0; member < 5; ++member) {
      points.at(set * 5 + member, x[member]);
    }
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        EXPECT_EQ(x[2 + i][j], i == j ? x[1][j] : x[0][j]);
      }
      EXPECT_NE(x[0][i], x[1][i]);
    }
  }
}

}  // namespace
}  // namespace fettle::study

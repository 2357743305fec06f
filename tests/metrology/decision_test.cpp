#include "metrology/decision.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "metrology/student.h"

namespace fettle::metrology {
namespace {

constexpr double normal = std::numeric_limits<double>::infinity();

// ISO 14253-1:2017, clauses 4 and 5: conformity and nonconformity are proved only clear of the uncertainty at
// the limit.
TEST(Decision, ProvesConformityOnlyInsideTheGuardBands) {
  const LimitInterval limit{1.0, 2.0};
  EXPECT_EQ(decide(1.5, 0.2, limit), Verdict::holds);
  EXPECT_EQ(decide(1.25, 0.25, limit), Verdict::holds);
  EXPECT_EQ(decide(1.2, 0.25, limit), Verdict::too_close);
  EXPECT_EQ(decide(0.8, 0.25, limit), Verdict::too_close);
  EXPECT_EQ(decide(0.7, 0.25, limit), Verdict::fails);
  EXPECT_EQ(decide(2.25, 0.25, limit), Verdict::too_close);
  EXPECT_EQ(decide(2.26, 0.25, limit), Verdict::fails);
  EXPECT_EQ(decide(1.5, 0.6, limit), Verdict::too_close);  // narrower than twice the uncertainty
}

TEST(Decision, NeedsOnlyTheSideThatIsLimited) {
  EXPECT_EQ(decide(5.0, 1.0, {3.0, std::nullopt}), Verdict::holds);
  EXPECT_EQ(decide(1.0, 1.0, {3.0, std::nullopt}), Verdict::fails);
  EXPECT_EQ(decide(-5.0, 1.0, {std::nullopt, 3.0}), Verdict::holds);
  EXPECT_EQ(decide(3.0, 0.0, {std::nullopt, 3.0}), Verdict::holds);  // the limit itself conforms
}

TEST(Decision, IsOpenWhereSomethingIsMissing) {
  EXPECT_EQ(decide(std::nullopt, 0.1, {1.0, 2.0}), Verdict::open);
  EXPECT_EQ(decide(1.5, std::nullopt, {1.0, 2.0}), Verdict::open);
  EXPECT_EQ(decide(1.5, 0.1, {}), Verdict::open);
  EXPECT_EQ(name(Verdict::too_close), "too close");
}

TEST(Decision, RefusesWhatIsNoLimit) {
  EXPECT_THROW(decide(1.0, 0.1, {2.0, 1.0}), std::invalid_argument);
  EXPECT_THROW(decide(1.0, -0.1, {1.0, 2.0}), std::invalid_argument);
  EXPECT_THROW(decide(std::nan(""), 0.1, {1.0, 2.0}), std::invalid_argument);
}

TEST(ConformityProbability, FollowsTheNormalLaw) {
  // JCGM 106:2012, 7.3: Phi((T_U - y) / u); here T_U - y = 3, u = 1.8 (recomputed 0.9522).
  EXPECT_NEAR(conformity_probability(0.0, 1.8, normal, {std::nullopt, 3.0}), 0.9522, 0.00005);
  EXPECT_NEAR(conformity_probability(0.0, 1.8, normal, {-3.0, std::nullopt}), 0.9522, 0.00005);
  // 7.4, both sides: one standard uncertainty each way holds 68.27 % of the normal law.
  EXPECT_NEAR(conformity_probability(5.0, 2.0, normal, {3.0, 7.0}), 0.682689, 1e-6);
  EXPECT_NEAR(conformity_probability(3.0, 2.0, normal, {3.0, std::nullopt}), 0.5, 1e-15);
}

TEST(ConformityProbability, FollowsTheStudentLawOfFewDegreesOfFreedom) {
  // JCGM 100:2008, table G.2: t95(4) = 2.78, t95(10) = 2.23 (two-sided).
  EXPECT_NEAR(conformity_probability(0.0, 1.0, 4.0, {-2.776445, 2.776445}), 0.95, 1e-6);
  EXPECT_NEAR(conformity_probability(0.0, 1.0, 10.0, {std::nullopt, 2.228139}), 0.975, 1e-6);
}

TEST(ConformityProbability, IsCertainWithoutUncertainty) {
  EXPECT_EQ(conformity_probability(1.0, 0.0, normal, {0.0, 2.0}), 1.0);
  EXPECT_EQ(conformity_probability(3.0, 0.0, normal, {0.0, 2.0}), 0.0);
}

// JCGM 100:2008, table G.2 (two-sided 95 and 99 %).
TEST(CoverageFactor, AgreesWithThePrintedTable) {
  EXPECT_NEAR(coverage_factor(0.95, 1.0), 12.71, 0.005);
  EXPECT_NEAR(coverage_factor(0.95, 5.0), 2.57, 0.005);
  EXPECT_NEAR(coverage_factor(0.95, 20.0), 2.09, 0.005);
  EXPECT_NEAR(coverage_factor(0.99, 16.0), 2.92, 0.005);
  EXPECT_NEAR(coverage_factor(0.95, normal), 1.960, 0.0005);
  EXPECT_NEAR(coverage_factor(0.95, 1e16), coverage_factor(0.95, 1e9), 1e-8);
  EXPECT_THROW(coverage_factor(1.0, 5.0), std::invalid_argument);
  EXPECT_THROW(coverage_factor(0.95, 0.0), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::metrology

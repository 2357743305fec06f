#include <gtest/gtest.h>

#include "stations/block_bench.h"

namespace fettle::stations::test {
namespace {

using build::BoltStage;
using build::ReadingKind;

constexpr double kpsi = 6.894757293168e6;

/// Rod bolts 7/16-20 of a strength typed in, 1.1 in of shank at 0.390 in and 0.4 in of thread under tension.
build::Build bolt_build() {
  build::Build build = block_build();
  build::Fastener bolt;
  bolt.use = build::FastenerUse::rod;
  bolt.diameter = inches(0.4375);
  bolt.pitch = inches(0.05);
  bolt.shank_diameter = inches(0.390);
  bolt.shank_length = inches(1.1);
  bolt.thread_length = inches(0.4);
  bolt.proof_strength = build::Pressure::from_si(170 * kpsi);
  bolt.yield_strength = build::Pressure::from_si(190 * kpsi);
  bolt.modulus = build::Pressure::from_si(30e3 * kpsi);
  bolt.count = 8;
  build.fasteners["rod bolts"] = bolt;
  return build;
}

/// Stress area of 7/16-20, 0.7854 (D - 0.9743/n)^2 = 0.1187 square inches (ASME B1.1; the table of check
/// values), and stiffness E/(l_d/A_d + l_t/A_t) (Shigley, *Mechanical Engineering Design*, eq. 8-17), lb/in.
const double stress_area = 0.7854 * std::pow(0.4375 - 0.9743 * 0.05, 2);
const double stiffness = 30e6 / (1.1 / (std::numbers::pi / 4 * 0.390 * 0.390) + 0.4 / stress_area);

void stretched(build::Build& build, int number, double stretch_in, std::optional<double> torque = {}) {
  build.readings.push_back(bolt_length(number, BoltStage::before, 1.6500));
  build.readings.push_back(bolt_length(number, BoltStage::tight, 1.6500 + stretch_in, torque));
}

TEST(FastenerStation, StretchTellsThePreloadAndItsMargins) {
  build::Build build = bolt_build();
  stretched(build, 1, 0.0055);
  const Report report = prove(build);
  const Where where = of_fastener("rod bolts", 1);
  EXPECT_NEAR(stress_area, 0.1187, 5e-5);
  EXPECT_NEAR(value_of(report, "fastener.stretch", where) / inch, 0.0055, 1e-9);
  const double preload = stiffness * 0.0055;
  EXPECT_NEAR(value_of(report, "fastener.preload", where) / pound_force / preload, 1, 1e-4);
  EXPECT_NEAR(value_of(report, "fastener.proof_part", where), preload / stress_area / 170e3, 1e-4);
  EXPECT_NEAR(value_of(report, "fastener.yield_margin", where), 1 - preload / stress_area / 190e3, 1e-4);
}

// T = K F d (Shigley, section 8-8).
TEST(FastenerStation, TorqueAloneTellsThePreloadWithItsScatter) {
  build::Build build = bolt_build();
  build.fasteners["rod bolts"].nut_factor = 0.20;
  build::Reading torque = of_part(ReadingKind::bolt_torque);
  torque.fastener = "rod bolts";
  torque.number = 3;
  torque.torque = quantity::Torque::typed(60 * foot_pound, "60 ft lb");
  torque.tester = "wrench";
  build.readings.push_back(torque);
  const Finding& preload = finding(prove(build), "fastener.preload", of_fastener("rod bolts", 3));
  EXPECT_NEAR(*preload.value / pound_force, 60 * 12 / (0.20 * 0.4375), 1e-3);
  EXPECT_EQ(preload.basis, "from the torque");
  // 25 to 30 % of scatter at one torque (Shigley, section 8-8).
  EXPECT_GT(preload.expanded / *preload.value, 0.25);
  EXPECT_LT(preload.expanded / *preload.value, 0.33);
}

TEST(FastenerStation, StretchAndTorqueTogetherShowTheFriction) {
  build::Build build = bolt_build();
  stretched(build, 1, 0.0055, 55);
  const double shown = 55 * 12 / (stiffness * 0.0055 * 0.4375);
  EXPECT_NEAR(value_of(prove(build), "fastener.nut_factor", of_fastener("rod bolts", 1)) / shown, 1, 1e-4);
}

TEST(FastenerStation, AngleTakesTheThreadsAdvanceAsStretch) {
  build::Build build = bolt_build();
  build::Reading turn = of_part(ReadingKind::bolt_turn);
  turn.fastener = "rod bolts";
  turn.number = 1;
  turn.angle = angle(36);
  build.readings.push_back(turn);
  // A tenth of a turn of a thread of 0.050 in is 0.005 in.
  EXPECT_NEAR(value_of(prove(build), "fastener.preload", of_fastener("rod bolts", 1)) / pound_force /
                  (stiffness * 0.005),
              1, 1e-4);
}

TEST(FastenerStation, TheErrorOfTheGaugeCancelsInTheStretch) {
  build::Build build = bolt_build();
  build::Tool gauge = exact(build::ToolKind::micrometer);
  gauge.permissible_error = length_measure(0.001);
  gauge.noise = length_measure(0.0002);
  build.tools["dial"] = gauge;
  stretched(build, 1, 0.0055);
  const Finding& stretch = finding(prove(build), "fastener.stretch", of_fastener("rod bolts", 1));
  EXPECT_NEAR(stretch.u / inch, 0.0002 * std::numbers::sqrt2, 1e-8);
}

TEST(FastenerStation, LimitsAreTheMakersElseThoseOfTheSize) {
  build::Build build = bolt_build();
  stretched(build, 1, 0.0075);
  const Where where = of_fastener("rod bolts", 1);
  const auto limit = finding(prove(build), "fastener.stretch", where).limit;
  ASSERT_TRUE(limit.has_value());
  EXPECT_NEAR(*limit->min / inch, 0.007, 1e-9);
  EXPECT_NEAR(*limit->max / inch, 0.008, 1e-9);
  build.fasteners["rod bolts"].stretch_least = inches4(0.0060);
  build.fasteners["rod bolts"].stretch_most = inches4(0.0065);
  EXPECT_NEAR(*finding(prove(build), "fastener.stretch", where).limit->max / inch, 0.0065, 1e-9);
  EXPECT_EQ(finding(prove(build), "fastener.stretch", where).verdict, metrology::Verdict::fails);
}

TEST(FastenerStation, AGradeOfTheStandardGivesItsStrengths) {
  build::Build build = bolt_build();
  auto& bolt = build.fasteners["rod bolts"];
  bolt.proof_strength.reset();
  bolt.yield_strength.reset();
  bolt.grade = "8";  // SAE J429: proof 120, yield 130 kpsi
  stretched(build, 1, 0.0030);
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "fastener.proof_part", of_fastener("rod bolts", 1)),
              stiffness * 0.0030 / stress_area / 120e3, 1e-4);
}

TEST(FastenerStation, HalfAReadingSaysWhatIsMissing) {
  build::Build build = bolt_build();
  build.readings.push_back(bolt_length(2, BoltStage::before, 1.65));
  EXPECT_EQ(finding(prove(build), "fastener.stretch", of_fastener("rod bolts", 2)).needs, "its length tight");
}

TEST(FastenerStation, LimitsCanBeTypedForOneSet) {
  build::Build build = bolt_build();
  build.fasteners["cap bolts"] = build.fasteners["rod bolts"];
  stretched(build, 1, 0.0055);
  build.readings.push_back(build.readings[0]);
  build.readings.push_back(build.readings[1]);
  build.readings[2].fastener = build.readings[3].fastener = "cap bolts";
  build::Limit limit;
  limit.finding = "fastener.preload";
  limit.part = "cap bolts";
  limit.min = measure(1000, pound_force, "lb", quantity::Dimension::force);
  build.limits.push_back(limit);
  const Report report = prove(build);
  EXPECT_TRUE(finding(report, "fastener.preload", of_fastener("cap bolts", 1)).limit.has_value());
  EXPECT_FALSE(finding(report, "fastener.preload", of_fastener("rod bolts", 1)).limit.has_value());
}

/// Eight bolts at one torque, stretched alike, that came back to their lengths.
build::Build clean_set() {
  build::Build build = bolt_build();
  const double shown = 62 * 12 / (stiffness * 0.0055 * 0.4375);
  build.fasteners["rod bolts"].nut_factor = shown;
  for (int number = 1; number <= 8; ++number) {
    build.readings.push_back(bolt_length(number, BoltStage::before, 1.65));
    build.readings.push_back(
        bolt_length(number, BoltStage::tight, 1.65 + 0.0055 + 0.0001 * (number % 3), 62));
    build.readings.push_back(bolt_length(number, BoltStage::after, 1.65));
  }
  return build;
}

TEST(FastenerMistakes, ACleanSetHasNone) {
  for (const Mistake& mistake : prove(clean_set()).mistakes) {
    ADD_FAILURE() << mistake.id << ": " << mistake.says;
  }
}

TEST(FastenerMistakes, ABoltThatHasGrown) {
  build::Build build = clean_set();
  build.readings[5].size = inches4(1.6512);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"fastener.grown"});
  EXPECT_EQ(finding(report, "fastener.set", of_fastener("rod bolts", 2)).verdict, metrology::Verdict::fails);
}

TEST(FastenerMistakes, StretchThatScattersAtOneTorque) {
  build::Build build = clean_set();
  build.readings[1].size = inches4(1.65 + 0.0044);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"fastener.stretch_scatter"});
  // At another torque it may differ.
  build.readings[1].torque = quantity::Torque::typed(50 * foot_pound, "50 ft lb");
  EXPECT_FALSE(mistake_ids(prove(build)).contains("fastener.stretch_scatter"));
}

TEST(FastenerMistakes, StretchOutOfProportionGivesWay) {
  build::Build build = bolt_build();
  build.readings = {bolt_length(1, BoltStage::before, 1.65), bolt_length(1, BoltStage::tight, 1.6530, 30),
                    bolt_length(1, BoltStage::tight, 1.6550, 50)};
  EXPECT_FALSE(mistake_ids(prove(build)).contains("fastener.not_proportional"));
  build.readings[2].size = inches4(1.6570);
  EXPECT_TRUE(mistake_ids(prove(build)).contains("fastener.not_proportional"));
}

TEST(FastenerMistakes, ADryFigureOnOiledThreads) {
  build::Build build = clean_set();
  build.fasteners["rod bolts"].nut_factor = 0.30;
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"fastener.other_friction"});
}

TEST(FastenerProperties, UnitsDoNotMatter) {
  build::Build metric = clean_set();
  for (auto& reading : metric.readings) {
    reading.size = build::Length::typed(reading.size->si(), fmt::format("{} mm", reading.size->si() * 1e3));
    if (reading.torque) {
      reading.torque =
          quantity::Torque::typed(reading.torque->si(), fmt::format("{} N m", reading.torque->si()));
    }
  }
  const Report one = prove(clean_set());
  const Report other = prove(metric);
  ASSERT_EQ(one.findings.size(), other.findings.size());
  for (std::size_t i = 0; i < one.findings.size(); ++i) {
    EXPECT_EQ(one.findings[i].value, other.findings[i].value) << one.findings[i].id;
  }
}

/// Numbering the bolts of a set anew numbers their findings anew, and the scatter of the set stays.
TEST(FastenerProperties, RenumberingBoltsRenumbersTheFindings) {
  build::Build other = clean_set();
  for (auto& reading : other.readings) {
    reading.number = 9 - *reading.number;
  }
  const Report before = prove(clean_set());
  const Report after = prove(other);
  ASSERT_EQ(before.findings.size(), after.findings.size());
  for (const Finding& one : before.findings) {
    if (one.id.starts_with("fastener.")) {
      Where where = one.where;
      where.number = where.number ? std::optional(9 - *where.number) : std::nullopt;
      EXPECT_NEAR(*one.value, value_of(after, one.id, where), 1e-9 * std::abs(*one.value) + 1e-15) << one.id;
    }
  }
}

}  // namespace
}  // namespace fettle::stations::test

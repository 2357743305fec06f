#include "stations/corrections.h"

#include <gtest/gtest.h>

#include "bench.h"

/// Corrections of the cam's place: advance d makes every event d earlier, so that ICL falls by d and ECL
/// grows by d (STATIONS 10, arithmetic of the definitions).
namespace fettle::stations::test {
namespace {

using metrology::Verdict;

constexpr LobeKey intake_1{1, Valve::intake};
constexpr LobeKey exhaust_1{1, Valve::exhaust};

/// One cylinder read, the cam `late` degrees late of a card of 108 and 114.
build::Build late_cam(double late, const std::vector<double>& positions = {-4, -2, 0, 2, 4}) {
  build::Build build = hand_build();
  build.cam.emplace().card.emplace();
  build.cam->card->intake = build::LobeCard{angle(108), {}, {}, {}};
  build.cam->card->exhaust = build::LobeCard{angle(114), {}, {}, {}};
  build.timing_set.emplace();
  for (const double position : positions) {
    build.timing_set->positions.push_back(angle(position));
  }
  build.timing_set->fitted = angle(0);
  find_tdc(build);
  read_lobe(build, intake_1, 0.050, fmt::format("{} deg", 359 + late), fmt::format("{} deg", 217 + late));
  read_lobe(build, exhaust_1, 0.050, fmt::format("{} deg", 135 + late), fmt::format("{} deg", 357 + late));
  return build;
}

const Correction* recommended(const Report& report) {
  const Correction* found = nullptr;
  for (const Correction& one : report.corrections) {
    if (one.recommended) {
      EXPECT_EQ(found, nullptr) << "two are recommended";
      found = &one;
    }
  }
  return found;
}

const Effect& effect(const Correction& correction, std::string_view id, const Where& where = {}) {
  for (const Effect& one : correction.effects) {
    if (one.from.id == id && one.from.where == where) {
      return one;
    }
  }
  throw std::runtime_error(fmt::format("{} is not moved", id));
}

bool moves(const Correction& correction, std::string_view id) {
  return std::any_of(correction.effects.begin(), correction.effects.end(),
                     [&](const Effect& one) { return one.from.id == id; });
}

TEST(Corrections, OnlyTheOtherPositionsOfTheSetAreOffered) {
  const Report report = prove(late_cam(3));
  std::vector<std::string> offered;
  for (const Correction& one : report.corrections) {
    EXPECT_EQ(one.id, "cam.position");
    EXPECT_EQ(one.operations.back().path, "/timing_set/fitted");
    offered.push_back(one.operations.back().value);
  }
  EXPECT_EQ(offered, (std::vector<std::string>{"-4 deg", "-2 deg", "2 deg", "4 deg"}));
}

TEST(Corrections, AdvanceMovesEveryEventEarlierAndKeepsTheRest) {
  const Report report = prove(late_cam(4));
  const Correction* best = recommended(report);
  ASSERT_NE(best, nullptr);
  EXPECT_EQ(best->operations.back().value, "4 deg");
  EXPECT_NE(best->says.find("Advance"), std::string::npos);
  const auto to = [&](std::string_view id, const Where& where = {}) {
    return *effect(*best, id, where).to.value / degree;
  };
  EXPECT_NEAR(to("cam.intake_centerline", of(1)), 108, 1e-6);
  EXPECT_NEAR(to("cam.exhaust_centerline", of(1)), 114, 1e-6);
  EXPECT_NEAR(to("cam.advance", of(1)), 3, 1e-6);
  EXPECT_NEAR(to("cam.phase_error"), 0, 1e-6);
  EXPECT_NEAR(to("cam.opening", of(1, Valve::intake, 0.050)), -1, 1e-6);
  EXPECT_NEAR(to("cam.closing", of(1, Valve::exhaust, 0.050)), -3, 1e-6);
  for (const char* kept : {"cam.duration", "cam.lobe_separation", "cam.overlap", "tdc.wheel"}) {
    EXPECT_FALSE(moves(*best, kept)) << kept;
  }
  EXPECT_EQ(effect(*best, "cam.intake_centerline", of(1)).from.verdict, Verdict::fails);
  EXPECT_EQ(effect(*best, "cam.intake_centerline", of(1)).to.verdict, Verdict::holds);
}

TEST(Corrections, RecommendedOneComesNearestToWhatIsWanted) {
  for (const auto& [late, value] : {std::pair{3.4, "4 deg"}, {2.6, "2 deg"}, {-2.6, "-2 deg"}}) {
    const Report report = prove(late_cam(late));
    ASSERT_NE(recommended(report), nullptr) << late;
    EXPECT_EQ(recommended(report)->operations.back().value, value) << late;
    EXPECT_NE(recommended(report)->says.find(late > 0 ? "Advance" : "Retard"), std::string::npos);
  }
}

TEST(Corrections, MoveThatLeavesAsMuchFailingIsNotRecommended) {
  const Report report = prove(late_cam(-9));
  EXPECT_EQ(recommended(report), nullptr) << "the set does not reach: something else is wrong";
  EXPECT_FALSE(report.corrections.empty());
}

TEST(Corrections, CamThatStandsRightIsLeftAlone) {
  const Report report = prove(late_cam(0.5));
  EXPECT_EQ(recommended(report), nullptr);
  EXPECT_FALSE(report.corrections.empty()) << "what each position would do can still be looked at";
}

TEST(Corrections, CamDegreesCountTwiceAtTheCrank) {
  build::Build build = late_cam(4);
  build.timing_set->marked_in = build::MarkedIn::cam;
  const Report report = prove(build);
  ASSERT_NE(recommended(report), nullptr);
  EXPECT_EQ(recommended(report)->operations.back().value, "2 deg");
  EXPECT_NEAR(*effect(*recommended(report), "cam.intake_centerline", of(1)).to.value / degree, 108, 1e-6);
}

TEST(Corrections, MovesCountFromThePositionFittedNow) {
  build::Build build = late_cam(4);
  build.timing_set->fitted = angle(-2);  // read so; straight up would advance it by 2
  const Report report = prove(build);
  ASSERT_NE(recommended(report), nullptr);
  EXPECT_EQ(recommended(report)->operations.back().value, "2 deg");
  EXPECT_NEAR(*effect(*recommended(report), "cam.phase_error").to.value / degree, 0, 1e-6);
}

TEST(Corrections, ContinuousSetIsProposedToTheHalfDegree) {
  for (const auto& [late, value] :
       {std::pair{3.3, "3.5 deg"}, {2.7, "2.5 deg"}, {-3.1, "-3 deg"}, {12.0, "8 deg"}}) {
    build::Build build = late_cam(late, {-8, 8});
    build.timing_set->continuous = true;
    const Report report = prove(build);
    ASSERT_EQ(report.corrections.size(), 1U);
    EXPECT_EQ(report.corrections.front().operations.back().value, value);
    EXPECT_EQ(report.corrections.front().recommended, late < 8);
  }
}

TEST(Corrections, ContinuousSetInCamDegreesIsProposedInItsOwnMarks) {
  build::Build build = late_cam(5, {-8, 8});
  build.timing_set->continuous = true;
  build.timing_set->marked_in = build::MarkedIn::cam;
  const Report report = prove(build);
  ASSERT_EQ(report.corrections.size(), 1U);
  EXPECT_EQ(report.corrections.front().operations.back().value, "2.5 deg");
  EXPECT_NEAR(*effect(report.corrections.front(), "cam.phase_error").to.value / degree, 0, 1e-6);
}

TEST(Corrections, WithoutReadingsOrWithoutATimingSetThereIsNothingToOffer) {
  build::Build build = late_cam(4);
  build.readings.clear();
  EXPECT_TRUE(prove(build).corrections.empty());
  build = late_cam(4);
  build.timing_set.reset();
  EXPECT_TRUE(prove(build).corrections.empty());
}

/// The readings as they would be with every lobe `earlier_deg` earlier.
build::Build moved(build::Build build, double earlier_deg) {
  for (build::Reading& reading : build.readings) {
    if (reading.valve) {
      turn_wheel(reading, -earlier_deg * degree);
    }
  }
  return build;
}

void expect_same_as_when_really_moved(const build::Build& build) {
  const Report report = prove(build);
  ASSERT_EQ(report.corrections.size(), 4U);
  for (const Correction& one : report.corrections) {
    const double mark = std::stod(one.operations.back().value.get<std::string>());
    const Report after = prove(moved(build, mark), {.advise = false});
    std::size_t same = 0;
    for (const Finding& before : report.findings) {
      if (!before.value) {
        continue;
      }
      const auto found = std::find_if(one.effects.begin(), one.effects.end(), [&](const Effect& e) {
        return e.from.id == before.id && e.from.where == before.where;
      });
      const double predicted = found == one.effects.end() ? *before.value : *found->to.value;
      EXPECT_NEAR(predicted, *finding(after, before.id, before.where).value, allowed(build, before))
          << one.operations.back().value << " " << before.id;
      ++same;
    }
    EXPECT_GT(same, 10U);
  }
}

TEST(Corrections, EffectsAreThoseOfLobesReallyMoved) {
  invented::Shop shop(11);
  expect_same_as_when_really_moved(shop.full_build());
  expect_same_as_when_really_moved(point_build(shop, {1, 8}));
}

}  // namespace
}  // namespace fettle::stations::test

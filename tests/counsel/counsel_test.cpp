// Counsel against the same search made without any cleverness, and against what the stations themselves offer
// as one correction.

#include "counsel/counsel.h"

#include <algorithm>
#include <fstream>
#include <map>
#include <memory>
#include <sstream>

#include <gtest/gtest.h>

#include "build/codec.h"
#include "build/small_build.h"
#include "counsel/sets.h"
#include "ledger/document.h"
#include "stations/corrections.h"
#include "stations/prove.h"
#include "stations/station_work.h"

namespace fettle::counsel::test {
namespace {

using metrology::Verdict;
using stations::Effect;

build::Build example(const std::string& name) {
  std::ifstream stream(std::string(FETTLE_EXAMPLES) + "/" + name + ".json");
  std::ostringstream text;
  text << stream.rdbuf();
  auto read = build::read_build(text.str());
  EXPECT_TRUE(read.build) << name;
  return std::move(*read.build);
}

/// A build with its report and what its stations offer.
struct Bench {
  explicit Bench(const std::string& name)
      : build(example(name)),
        sources(std::make_unique<stations::Sources>(build)),
        report(stations::prove(*sources)),
        groups(stations::all_groups(*sources)) {
    for (const stations::StationWork& station : stations::station_work()) {
      if (station.changes != nullptr) {
        for (auto& change : station.changes(*sources, report)) {
          changes.push_back(std::move(change));
        }
      }
    }
  }

  std::size_t place(std::string_view id) const {
    const auto found = std::find_if(report.corrections.begin(), report.corrections.end(),
                                    [&](const auto& correction) { return correction.id == id; });
    EXPECT_NE(found, report.corrections.end()) << id;
    return static_cast<std::size_t>(found - report.corrections.begin());
  }

  Left after(const std::vector<Effect>& effects) const {
    Left left = left_to_mend(report);
    for (const Effect& effect : effects) {
      left.count(effect.from, -1);
      left.count(effect.to, +1);
    }
    return left;
  }

  bool share_a_place(std::size_t a, std::size_t b) const {
    for (const auto& one : changes[a].operations) {
      for (const auto& other : changes[b].operations) {
        if (ledger::overlap(one.path, other.path)) {
          return true;
        }
      }
    }
    return false;
  }

  build::Build build;
  std::unique_ptr<stations::Sources> sources;
  stations::Report report;
  std::vector<stations::Group> groups;
  std::vector<stations::Change> changes;
};

/// The least that one or two corrections leave, every pair worked out, and with how many of them.
std::pair<Left, std::size_t> brute_force(const Bench& bench) {
  std::pair<Left, std::size_t> least{left_to_mend(bench.report), 0};
  for (std::size_t a = 0; a < bench.changes.size(); ++a) {
    if (bench.changes[a].operations.empty()) {
      continue;
    }
    const auto alone =
        stations::effects_of(*bench.sources, bench.groups, bench.report, bench.changes[a].what_if);
    least = std::min(least, {bench.after(alone), std::size_t{1}});
    for (std::size_t b = a + 1; b < bench.changes.size(); ++b) {
      if (bench.changes[b].operations.empty() || bench.share_a_place(a, b)) {
        continue;
      }
      const auto both = made_together(bench.build, bench.changes[a].what_if, bench.changes[b].what_if);
      if (both) {
        const auto together = stations::effects_of(*bench.sources, bench.groups, bench.report, *both);
        least = std::min(least, {bench.after(together), std::size_t{2}});
      }
    }
  }
  return least;
}

class OnExamples : public testing::TestWithParam<const char*> {};

TEST_P(OnExamples, TheBestPlanIsThatOfBruteForce) {
  const Bench bench(GetParam());
  const auto [left, count] = brute_force(bench);
  const Counsel counsel = counsel::counsel(bench.build, {.most_together = 2});
  EXPECT_TRUE(counsel.complete);
  if (count == 0) {
    EXPECT_TRUE(counsel.plans.empty());
    return;
  }
  ASSERT_FALSE(counsel.plans.empty());
  EXPECT_EQ((Left{counsel.plans.front().fails, counsel.plans.front().too_close}), left);
  EXPECT_EQ(counsel.plans.front().corrections.size(), count);
}

TEST_P(OnExamples, NoPlanWritesOnePlaceTwice) {
  const Bench bench(GetParam());
  for (const Plan& plan : counsel::counsel(bench.build).plans) {
    for (std::size_t a = 0; a < plan.corrections.size(); ++a) {
      for (std::size_t b = a + 1; b < plan.corrections.size(); ++b) {
        EXPECT_FALSE(bench.share_a_place(plan.corrections[a], plan.corrections[b]));
      }
    }
  }
}

TEST_P(OnExamples, RemediesMendTheirFindingAndTellTheirHarm) {
  const Bench bench(GetParam());
  const Counsel counsel = counsel::counsel(bench.build, {.most_together = 1});
  std::size_t troubled = 0;
  for (const auto& finding : bench.report.findings) {
    troubled += finding.verdict == Verdict::fails || finding.verdict == Verdict::too_close ? 1 : 0;
  }
  EXPECT_EQ(counsel.troubles.size(), troubled);
  for (const Trouble& trouble : counsel.troubles) {
    for (const Remedy& remedy : trouble.remedies) {
      std::map<std::string, int> verdicts;
      for (const Effect& effect : counsel.report.corrections[remedy.correction].effects) {
        if (effect.from.id == trouble.finding.id && effect.from.where == trouble.finding.where) {
          EXPECT_EQ(effect.to.verdict, Verdict::holds);
          ++verdicts["mended"];
        }
      }
      EXPECT_EQ(verdicts["mended"], 1);
      for (const Effect& harmed : remedy.harmed) {
        EXPECT_NE(harmed.to.verdict, Verdict::holds);
        EXPECT_NE(harmed.to.verdict, harmed.from.verdict);
      }
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Examples, OnExamples,
                         testing::Values("invented-v8", "invented-twin-cam", "invented-four-short-block",
                                         "invented-vintage-six"));

TEST(Counsel, MendsATwinCamWithItsCamsAndItsShims) {
  const Bench bench("invented-twin-cam");
  const Counsel counsel = counsel::counsel(bench.build);
  ASSERT_FALSE(counsel.plans.empty());
  const std::vector<std::size_t> wanted{bench.place("cam.positions"), bench.place("lash.shims")};
  EXPECT_EQ(counsel.plans.front().corrections, wanted);
  EXPECT_TRUE(counsel.plans.front().all_hold());
}

TEST(Counsel, HasNothingToSayOfAnEngineThatHolds) {
  const auto read = build::read_document(build::small_document());
  ASSERT_TRUE(read.build);
  const Counsel counsel = counsel::counsel(*read.build);
  EXPECT_FALSE(counsel.report.findings.empty());
  EXPECT_TRUE(counsel.troubles.empty() && counsel.plans.empty());
  EXPECT_EQ(counsel.tried, 0);
}

TEST(MadeTogether, TwoCamsMovedApartAreTheTwoMovedAsOne) {
  // The station offers both cams' moves singly and as one correction: put together they must be the same.
  const Bench bench("invented-twin-cam");
  const auto both = made_together(bench.build, bench.changes[bench.place("cam.position_intake")].what_if,
                                  bench.changes[bench.place("cam.position_exhaust")].what_if);
  ASSERT_TRUE(both);
  const auto together = stations::effects_of(*bench.sources, bench.groups, bench.report, *both);
  const auto& offered = bench.report.corrections[bench.place("cam.positions")].effects;
  ASSERT_EQ(together.size(), offered.size());
  for (std::size_t i = 0; i < together.size(); ++i) {
    EXPECT_EQ(together[i].to.id, offered[i].to.id);
    EXPECT_NEAR(*together[i].to.value, *offered[i].to.value, 1e-12);
    EXPECT_EQ(together[i].to.verdict, offered[i].to.verdict);
  }
}

TEST(Counsel, RefusesOptionsOutOfRange) {
  const auto build = example("invented-v8");
  EXPECT_THROW(counsel::counsel(build, {.most_together = 0}), std::invalid_argument);
  EXPECT_THROW(counsel::counsel(build, {.most_together = 5}), std::invalid_argument);
  EXPECT_THROW(counsel::counsel(build, {.most_tried = 0}), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::counsel::test

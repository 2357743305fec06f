#include "record/record.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "build/codec.h"
#include "build/findings.h"
#include "record/html.h"
#include "record/seal.h"
#include "stations/prove.h"
#include "support/invented_shop.h"

namespace fettle::record {
namespace {

const RecordOptions options{"2026-01-02 03:04 UTC", "Invented Engine Works", quantity::System::inch};

std::string record_of(const build::Build& build) {
  return record_html(build, stations::prove(build), options);
}

build::Build invented_build() {
  return invented::Shop(5).full_build();
}

bool holds(const std::string& record, std::string_view text) {
  return record.find(text) != std::string::npos;
}

TEST(Html, TextIsEscapedAndElementsAreClosed) {
  Html html;
  html.open("p", "faint");
  html.text("a < b & \"c\"");
  EXPECT_THROW(html.take(), std::logic_error);
  html.close();
  EXPECT_EQ(html.take(), "<p class=\"faint\">a &lt; b &amp; &quot;c&quot;</p>\n");
  EXPECT_THROW(html.close(), std::logic_error);
}

TEST(Record, HoldsEveryFindingReadingToolAndLimit) {
  build::Build build = invented_build();
  build.notes.push_back({"Block decked 0.004 in", "2026-01-01", "Ann Example"});
  const stations::Report report = stations::prove(build);
  const std::string record = record_html(build, report, options);
  EXPECT_TRUE(holds(record, "Invented Engine Works"));
  EXPECT_TRUE(holds(record, "Block decked 0.004 in, 2026-01-01, Ann Example"));
  for (const auto& finding : report.findings) {
    if (finding.value) {
      quantity::PrintOptions print;
      print.uncertainty = finding.expanded;
      const auto dimension = build::finding_kind(finding.id)->dimension;
      EXPECT_TRUE(
          holds(record, escaped(quantity::print(*finding.value, dimension, quantity::System::inch, print))))
          << finding.id;
    }
    if (finding.limit) {
      EXPECT_TRUE(holds(record, escaped(finding.limit->source))) << finding.id;
    }
  }
  for (const auto& [name, tool] : build.tools) {
    EXPECT_TRUE(holds(record, "<td>" + name + "</td>"));
  }
  for (const auto& reading : build.readings) {
    for (const auto& point : reading.points) {
      EXPECT_TRUE(holds(record, point.wheel.typed + ", " + point.lift.typed()));
    }
  }
}

// What a person typed never becomes markup.
TEST(Record, NamesAndNotesCannotRunAnything) {
  build::Build build = invented_build();
  build.name = "<script>alert(1)</script>";
  build.notes.push_back({"</script><img src=x onerror=alert(1)>", {}, {}});
  const std::string record = record_of(build);
  EXPECT_FALSE(holds(record, "<script>alert"));
  EXPECT_FALSE(holds(record, "<img"));
  EXPECT_FALSE(holds(record, "</script><"));
  const auto within = nlohmann::ordered_json::parse(build_within(record));
  EXPECT_EQ(within["notes"].back()["text"], "</script><img src=x onerror=alert(1)>");
}

TEST(Record, TheBuildWithinIsTheBuild) {
  const build::Build build = invented_build();
  const std::string record = record_of(build);
  const auto within = nlohmann::ordered_json::parse(build_within(record));
  EXPECT_EQ(within, build::write_build(build));
  EXPECT_TRUE(build::read_build(build_within(record)).build);
  EXPECT_TRUE(holds(record, in_groups(digest_of(within.dump()))));
}

TEST(Record, AsksNothingOfAnyHost) {
  const std::string record = record_of(invented_build());
  for (const char* outside : {"http://", "https://", "src=", "href=", "url(", "@import"}) {
    EXPECT_FALSE(holds(record, outside)) << outside;
  }
}

TEST(Record, SaysWhatWasLeftOpenAndWhatWasNotDone) {
  build::Build build = invented_build();
  build.readings.clear();
  const std::string record = record_of(build);
  EXPECT_TRUE(holds(record, "not done"));
  EXPECT_TRUE(holds(record, "Nothing that was measured fails."));
  EXPECT_TRUE(build_within("no record").empty());
}

TEST(Record, NamesTheChosenSystemFirst) {
  const build::Build build = invented_build();
  const stations::Report report = stations::prove(build);
  RecordOptions metric = options;
  metric.system = quantity::System::metric;
  const std::string inches = record_html(build, report, options);
  const std::string millimetres = record_html(build, report, metric);
  EXPECT_TRUE(holds(inches, "Duration at 0.0500 in"));
  EXPECT_TRUE(holds(millimetres, "Duration at 1.270 mm"));
}

}  // namespace
}  // namespace fettle::record

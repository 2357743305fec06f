#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "build/codec.h"
#include "build/names.h"

namespace fettle::build {
namespace {

using nlohmann::ordered_json;

TEST(Schema, PublishedFileIsTheOneTheProgramReadsBy) {
  std::ifstream file(FETTLE_DOCS "/build.schema.json");
  ASSERT_TRUE(file) << "docs/build.schema.json is missing; write it with the program write_schema";
  EXPECT_EQ(ordered_json::parse(file), build_schema());
}

TEST(Schema, EveryKindOfReadingHasItsAlternative) {
  const ordered_json kinds = build_schema()["properties"]["readings"]["items"]["oneOf"];
  EXPECT_EQ(kinds.size(), names(ReadingKind{}).size());
  for (const auto& kind : kinds) {
    EXPECT_EQ(kind["additionalProperties"], false);
    EXPECT_GE(kind["required"].size(), 2U) << kind["title"];
  }
}

}  // namespace
}  // namespace fettle::build

#include "build/strict_json.h"

#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fettle::build {
namespace {

using testing::HasSubstr;

Problems problems_of(std::string_view text) {
  return read_strict_json(text).problems;
}

TEST(StrictJson, SoundTextGivesItsValue) {
  const StrictJson read = read_strict_json(R"({ "a": [1, 2.5, "x", true, null], "b": {} })");
  EXPECT_TRUE(read.problems.empty());
  EXPECT_EQ(read.value.dump(), R"({"a":[1,2.5,"x",true,null],"b":{}})");
}

TEST(StrictJson, EmptyTextIsSaidToBeEmpty) {
  for (const std::string_view text : {"", "   \n\t "}) {
    const auto problems = problems_of(text);
    ASSERT_EQ(problems.size(), 1U);
    EXPECT_THAT(problems[0].given, HasSubstr("empty"));
    EXPECT_FALSE(problems[0].example.empty());
  }
}

TEST(StrictJson, TextBeyondTheBoundIsRefusedUnread) {
  const std::string text(2000, ' ');
  const auto problems = read_strict_json(text, {.bytes = 1000}).problems;
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_THAT(problems[0].message(), HasSubstr("MB"));
}

TEST(StrictJson, TenThousandDeepNestingIsRefusedWithItsPlace) {
  const auto problems = problems_of(std::string(10000, '[') + std::string(10000, ']'));
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_THAT(problems[0].given, HasSubstr("nesting"));
  EXPECT_THAT(problems[0].place, HasSubstr("[0][0]"));
}

TEST(StrictJson, DuplicatedKeysAreNamedWithTheirPlace) {
  const auto problems =
      problems_of(R"({ "engine": { "bore": "1 in", "bore": "2 in" }, "x": [ { "a": 1, "a": 2 } ] })");
  ASSERT_EQ(problems.size(), 2U);
  EXPECT_EQ(problems[0].place, "engine.bore");
  EXPECT_EQ(problems[1].place, "x[0].a");
}

TEST(StrictJson, TruncatedUtf8IsRefused) {
  EXPECT_FALSE(problems_of("{ \"name\": \"\xC3\" }").empty());
  EXPECT_FALSE(problems_of("{ \"name\": \"\xE2\x82").empty());
}

TEST(StrictJson, BrokenTextNamesLineAndColumn) {
  const auto problems = problems_of("{\n  \"a\": ,\n}");
  ASSERT_EQ(problems.size(), 1U);
  EXPECT_THAT(problems[0].place, HasSubstr("line 2"));
}

TEST(StrictJson, NumbersBeyondADoubleAndNaNAreRefused) {
  for (const std::string_view text : {"[1e999]", "[NaN]", "[Infinity]", "[-1e999]", "[0x10]"}) {
    EXPECT_EQ(problems_of(text).size(), 1U) << text;
  }
}

TEST(StrictJson, TextAfterTheValueIsRefused) {
  EXPECT_FALSE(problems_of("{} {}").empty());
}

}  // namespace
}  // namespace fettle::build

#include "ledger/document.h"

#include <limits>
#include <tuple>

#include <gtest/gtest.h>

#include "ledger/entry.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using testing::removal;
using testing::set;
using testing::two_readings;

std::vector<Step> done(json& document, const std::vector<Operation>& operations) {
  const auto result = apply_operations(document, operations);
  const auto* steps = std::get_if<std::vector<Step>>(&result);
  EXPECT_NE(steps, nullptr) << std::get<Fault>(result).message;
  return steps != nullptr ? *steps : std::vector<Step>{};
}

json after(json document, const std::vector<Operation>& operations) {
  done(document, operations);
  return document;
}

Fault fault_of(json document, const Operation& operation) {
  const auto result = apply_operations(document, {operation});
  const auto* fault = std::get_if<Fault>(&result);
  EXPECT_NE(fault, nullptr) << document.dump();
  return fault != nullptr ? *fault : Fault{};
}

// RFC 6901, "JavaScript Object Notation (JSON) Pointer", section 5: the document and what each pointer
// evaluates to.
TEST(LedgerPath, EvaluatesTheExamplesOfRfc6901) {
  const json document = json::parse(R"({"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4,
                                        "i\\j": 5, "k\"l": 6, " ": 7, "m~n": 8})");
  const std::vector<std::pair<std::string, json>> examples = {
      {"", document},    {"/foo", json::array({"bar", "baz"})},
      {"/foo/0", "bar"}, {"/", 0},
      {"/a~1b", 1},      {"/c%d", 2},
      {"/e^f", 3},       {"/g|h", 4},
      {"/i\\j", 5},      {"/k\"l", 6},
      {"/ ", 7},         {"/m~0n", 8}};
  for (const auto& [path, value] : examples) {
    EXPECT_EQ(value_at(document, path), std::optional(value)) << path;
  }
}

// RFC 6901, section 3 (syntax) and section 4 (an array index has no leading zero).
TEST(LedgerPath, ThatIsNoPointerIsRefused) {
  for (const char* path : {"foo", "foo/0", "/a~2b", "/a~"}) {
    const Fault fault = fault_of({{"foo", {1, 2}}}, set(path, 1));
    EXPECT_EQ(fault.path, path);
    EXPECT_FALSE(fault.missing);
  }
  EXPECT_TRUE(fault_of({{"foo", {1, 2}}}, set("/foo/01", 1)).missing);
}

TEST(LedgerPath, NamesAnElementByItsId) {
  const json document = after(two_readings(), {set("/readings/r2/wheel", "40 deg")});
  EXPECT_EQ(document["readings"][1]["wheel"], "40 deg");
  EXPECT_EQ(document["readings"][0], two_readings()["readings"][0]);
}

TEST(LedgerPath, DoesNotTakeAnIndexWhereElementsHaveIds) {
  const Fault fault = fault_of(two_readings(), set("/readings/0/wheel", "1 deg"));
  EXPECT_TRUE(fault.missing);
  EXPECT_NE(fault.message.find("/readings/0"), std::string::npos);
  EXPECT_NE(fault.message.find("id"), std::string::npos);
}

TEST(LedgerPath, TakesAnIdThatLooksLikeAnIndex) {
  const json document =
      json::parse(R"({"readings": [{"id": "1", "wheel": "a"}, {"id": "0", "wheel": "b"}]})");
  EXPECT_EQ(after(document, {set("/readings/0/wheel", "c")})["readings"][1]["wheel"], "c");
}

TEST(LedgerSet, AppendsAnElementThatIsNotThereAndGivesItItsId) {
  const json document = after(two_readings(), {set("/readings/r3", {{"wheel", "5 deg"}})});
  EXPECT_EQ(document["readings"][2], (json{{"id", "r3"}, {"wheel", "5 deg"}}));
}

TEST(LedgerSet, MakesTheArrayOfReadingsWithTheFirstOne) {
  const json document = after({{"fettle", 1}}, {set("/readings/r1", {{"wheel", "5 deg"}}),
                                                set("/readings/r2", {{"wheel", "6 deg"}})});
  EXPECT_EQ(
      document,
      json::parse(
          R"({"fettle": 1, "readings": [{"id": "r1", "wheel": "5 deg"}, {"id": "r2", "wheel": "6 deg"}]})"));
}

TEST(LedgerSet, MakesNoOtherParent) {
  const Fault fault = fault_of({{"fettle", 1}}, set("/tools/wheel", {{"kind", "degree_wheel"}}));
  EXPECT_TRUE(fault.missing);
  EXPECT_NE(fault.message.find("'/tools'"), std::string::npos);
}

TEST(LedgerSet, RefusesAnElementUnderAnotherId) {
  EXPECT_FALSE(fault_of(two_readings(), set("/readings/r1", {{"id", "r9"}})).missing);
  EXPECT_FALSE(fault_of(two_readings(), set("/readings/r1/id", "r9")).missing);
  EXPECT_FALSE(fault_of(two_readings(), removal("/readings/r1/id")).missing);
  EXPECT_FALSE(fault_of(two_readings(), set("/readings/r3", "no object")).missing);
}

TEST(LedgerSet, RefusesAnIdThatTwoElementsHave) {
  const json document = json::parse(R"({"readings": [{"id": "a"}, {"id": "a"}]})");
  EXPECT_NE(fault_of(document, set("/readings/a/wheel", 1)).message.find("two elements"), std::string::npos);
  EXPECT_NE(fault_of(document, removal("/readings/a")).message.find("two elements"), std::string::npos);
}

TEST(LedgerSet, ReplacesAndAppendsByIndexWhereElementsHaveNoIds) {
  const std::string array = "/timing_set/positions";
  EXPECT_EQ(after(two_readings(), {set(array + "/1", "1 deg")}).at(json::json_pointer(array)),
            (json{"-4 deg", "1 deg", "4 deg"}));
  EXPECT_EQ(after(two_readings(), {set(array + "/3", "8 deg")}).at(json::json_pointer(array)).size(), 4U);
  EXPECT_EQ(after(two_readings(), {set(array + "/-", "8 deg")}).at(json::json_pointer(array)).size(), 4U);
  EXPECT_TRUE(fault_of(two_readings(), set(array + "/4", "8 deg")).missing);
}

TEST(LedgerSet, TellsAnIndexFromAnIdInAnEmptyArray) {
  const json document = json::parse(R"({"list": []})");
  EXPECT_EQ(after(document, {set("/list/0", {{"a", 1}})})["list"], json::parse(R"([{"a": 1}])"));
  EXPECT_EQ(after(document, {set("/list/r1", {{"a", 1}})})["list"], json::parse(R"([{"a": 1, "id": "r1"}])"));
  EXPECT_EQ(after(document, {set("/list/0", {{"id", "0"}})})["list"], json::parse(R"([{"id": "0"}])"));
}

TEST(LedgerRemove, RefusesWhatIsNotThere) {
  for (const char* path :
       {"/cam", "/readings/r3", "/timing_set/positions/3", "/timing_set/positions/-", "/name/x", "/cam/x"}) {
    EXPECT_TRUE(fault_of(two_readings(), removal(path)).missing) << path;
  }
}

TEST(LedgerDocument, StaysOneObject) {
  EXPECT_FALSE(fault_of(two_readings(), removal("")).missing);
  EXPECT_FALSE(fault_of(two_readings(), set("", 5)).missing);
  EXPECT_EQ(after(two_readings(), {set("", json::object())}), json::object());
}

TEST(LedgerSteps, AreUndoneExactlyWhereverTheElementStood) {
  const std::vector<std::vector<Operation>> changes = {
      {removal("/readings/r1")},
      {removal("/readings/r1"), removal("/readings/r2")},
      {removal("/readings/r1"), set("/readings/r1", {{"wheel", "1 deg"}})},
      {removal("/timing_set/positions/0"), set("/timing_set/positions/0", 7),
       removal("/timing_set/positions/1")},
      {set("/readings", json::array({5, {{"id", "a"}}})), removal("/readings/0"),
       set("/readings/a/wheel", 1)},
      {removal("/readings"), set("/readings/n1", json::object()), set("/readings/n2", json::object())},
      {set("", json::object()), set("/x", nullptr)}};
  for (const auto& operations : changes) {
    const json before = two_readings();
    json document = before;
    const auto steps = done(document, operations);
    const json changed = document;
    for (const Step& step : inverse(steps)) {
      ASSERT_EQ(apply_step(document, step), std::nullopt) << step.path;
    }
    EXPECT_TRUE(identical(document, before)) << document.dump();
    for (const Step& step : inverse(inverse(steps))) {
      ASSERT_EQ(apply_step(document, step), std::nullopt) << step.path;
    }
    EXPECT_TRUE(identical(document, changed));
  }
}

TEST(LedgerSteps, DoNotFitADocumentThatSaysSomethingElse) {
  json document = two_readings();
  const auto steps = done(document, {set("/readings/r1/wheel", "2 deg"), set("/fettle", 2)});
  json other = two_readings();
  other["readings"][0]["wheel"] = "1 deg";
  EXPECT_NE(apply_step(other, steps[0]), std::nullopt);
  other["fettle"] = 1.0;  // equal as a number, another text
  EXPECT_NE(apply_step(other, steps[1]), std::nullopt);
  json empty = json::object();
  EXPECT_NE(apply_step(empty, steps[0]), std::nullopt);
}

TEST(LedgerSteps, SurviveTheirJsonForm) {
  json document = {{"fettle", 1}, {"list", {1, 2}}};
  const auto steps =
      done(document, {set("/readings/r1", {{"wheel", nullptr}}), removal("/list/0"), set("/x~1y", json())});
  const json form = json::parse(to_json(steps).dump());
  EXPECT_EQ(to_json(steps_from_json(form)), form);
  EXPECT_TRUE(steps_from_json(form)[0].with_array);
  EXPECT_TRUE(steps_from_json(form)[1].shifts);
  EXPECT_EQ(steps_from_json(form)[2].value, std::optional(json()));
}

TEST(LedgerSteps, OfBrokenFormAreRefused) {
  for (const char* form :
       {"5", "[5]", R"([{"path": "/a"}])", R"([{"path": "/a", "place": ["a"]}])",
        R"([{"path": "/a", "place": [-1], "value": 1}])", R"([{"path": 1, "place": [], "value": 1}])",
        R"([{"path": "/a", "place": ["a"], "value": 1, "with_array": true}])"}) {
    EXPECT_THROW(steps_from_json(json::parse(form)), std::invalid_argument) << form;
  }
}

TEST(LedgerOverlap, IsEqualityPrefixOrExtensionByWholeTokens) {
  for (const auto& [a, b, expected] :
       std::vector<std::tuple<const char*, const char*, bool>>{{"/a", "/a", true},
                                                               {"/a", "/a/b", true},
                                                               {"/a/b", "/a", true},
                                                               {"/a", "/ab", false},
                                                               {"", "/a", true},
                                                               {"/a/b", "/a/c", false},
                                                               {"name", "name", true},
                                                               {"", "name", false},
                                                               {"/", "/a", false},
                                                               {"name", "/name", false}}) {
    EXPECT_EQ(overlap(a, b), expected) << a << " and " << b;
    EXPECT_EQ(overlap(b, a), expected) << a << " and " << b;
  }
}

TEST(LedgerValue, ThatCannotBeKeptIsNamed) {
  EXPECT_NE(unfit(std::numeric_limits<double>::infinity()), std::nullopt);
  EXPECT_NE(unfit(json{{"a", {std::numeric_limits<double>::quiet_NaN()}}}), std::nullopt);
  EXPECT_NE(unfit("\xff"), std::nullopt);
  EXPECT_NE(unfit(json{{"\xc3", 1}}), std::nullopt);
  EXPECT_NE(unfit(json::binary({1, 2})), std::nullopt);
  json deep = 1;
  for (int i = 0; i < maximum_depth - 1; ++i) {
    deep = json::array({deep});
  }
  EXPECT_EQ(unfit(deep), std::nullopt);
  EXPECT_NE(unfit(json::array({deep})), std::nullopt);
}

}  // namespace
}  // namespace fettle::ledger

#include "build/codec.h"
#include "build/reading_rules.h"
#include "build/schema_shape.h"

namespace fettle::build {

/// One alternative a kind, with the fields its rule names.
ordered_json shape(const Reading& reading) {
  ObjectShape all;
  describe(all, const_cast<Reading&>(reading));
  ordered_json kinds = ordered_json::array();
  for (const auto& named : names(ReadingKind{})) {
    const ReadingRule& rule = rule_for(named.value);
    ordered_json properties = ordered_json::object();
    ordered_json required = ordered_json::array({"kind"});
    const auto take = [&](std::string_view key) {
      properties[std::string(key)] = all.properties[std::string(key)];
    };
    take("id");
    properties["kind"] = {{"const", std::string(named.word)}, {"description", std::string(named.meaning)}};
    for (const auto key : rule.required) {
      take(key);
      required.emplace_back(std::string(key));
    }
    for (const auto* list : {&rule.one_of, &rule.optional}) {
      for (const auto key : *list) {
        take(key);
      }
    }
    take("taken");
    take("by");
    if (!rule.sides.empty()) {
      properties["side"]["enum"] = {std::string(word(rule.sides.front())),
                                    std::string(word(rule.sides.back()))};
    }
    ordered_json kind = object_shape(std::move(properties), std::move(required));
    kind["title"] = std::string(named.word);
    if (!rule.one_of.empty()) {
      kind["anyOf"] = {{{"required", {std::string(rule.one_of.front())}}},
                       {{"required", {std::string(rule.one_of.back())}}}};
    }
    kinds.push_back(std::move(kind));
  }
  return {{"oneOf", std::move(kinds)}};
}

ordered_json build_schema() {
  ordered_json schema = {{"$schema", "https://json-schema.org/draft/2020-12/schema"},
                         {"title", "Fettle build"}};
  schema.update(shape(Build{}));
  schema["properties"]["fettle"]["const"] = 1;
  return schema;
}

}  // namespace fettle::build

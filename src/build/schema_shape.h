#pragma once

#include <map>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "build/blank.h"
#include "build/describe.h"
#include "build/names.h"

/// The visitor that turns the description of a document (describe.h) into JSON Schema.
namespace fettle::build {

using nlohmann::ordered_json;

/// An example as the document would hold it: JSON where it is JSON, else a text.
inline ordered_json example_value(std::string_view example) {
  auto parsed = ordered_json::parse(example, nullptr, false);
  return parsed.is_discarded() ? ordered_json(std::string(example)) : parsed;
}

/// Whether an example is meant to be copied as it stands (those with "..." only show the shape).
inline bool complete(std::string_view example) {
  return example.find("...") == std::string_view::npos;
}

template <quantity::Dimension D>
ordered_json shape(const quantity::Quantity<D>&) {
  return {{"type", "string"}, {"$comment", fmt::format("{} with its unit", quantity::name_with_article(D))}};
}
inline ordered_json shape(const std::string&) {
  return {{"type", "string"}};
}
inline ordered_json shape(int) {
  return {{"type", "integer"}};
}
inline ordered_json shape(double) {
  return {{"type", "number"}};
}
inline ordered_json shape(bool) {
  return {{"type", "boolean"}};
}
inline ordered_json shape(const Measure&) {
  return {{"type", "string"}, {"$comment", "a number with its unit"}};
}
inline ordered_json shape(const WheelMark&) {
  return {{"type", "string"}, {"$comment", "degrees as the wheel shows them"}};
}
inline ordered_json shape(const SweepPoint&) {
  return {{"type", "array"},
          {"prefixItems", {shape(WheelMark{}), shape(quantity::Length::from_si(0))}},
          {"minItems", 2},
          {"maxItems", 2}};
}
ordered_json shape(const Reading&);
template <class T>
ordered_json shape(const std::optional<T>&);
template <class T>
ordered_json shape(const std::vector<T>&);
template <class T>
ordered_json shape(const std::map<std::string, T>&);
template <class T>
ordered_json shape(const T&);

/// Visits the keys of one object and gathers their shapes.
class ObjectShape {
 public:
  template <class T>
  void required(std::string_view key, const T& member, std::string_view meaning, std::string_view example) {
    required_keys.emplace_back(key);
    optional(key, member, meaning, example);
  }
  template <class T>
  void optional(std::string_view key, const T& member, std::string_view meaning, std::string_view example) {
    ordered_json property = shape(member);
    property["description"] = std::string(meaning);
    if (complete(example)) {
      property["examples"] = ordered_json::array({example_value(example)});
    }
    properties[std::string(key)] = std::move(property);
  }

  ordered_json properties = ordered_json::object();
  ordered_json required_keys = ordered_json::array();
};

inline ordered_json object_shape(ordered_json properties, ordered_json required) {
  return {{"type", "object"},
          {"properties", std::move(properties)},
          {"required", std::move(required)},
          {"additionalProperties", false}};
}

template <class T>
ordered_json shape(const std::optional<T>&) {
  return shape(blank<T>());
}

template <class T>
ordered_json shape(const std::vector<T>&) {
  return {{"type", "array"}, {"items", shape(blank<T>())}};
}

template <class T>
ordered_json shape(const std::map<std::string, T>&) {
  return {{"type", "object"}, {"additionalProperties", shape(T{})}};
}

template <class T>
ordered_json shape(const T& x) {
  if constexpr (std::is_enum_v<T>) {
    ordered_json words = ordered_json::array();
    for (const auto& named : names(T{})) {
      words.push_back(std::string(named.word));
    }
    return {{"type", "string"}, {"enum", std::move(words)}};
  } else {
    ObjectShape visitor;
    describe(visitor, const_cast<T&>(x));
    return object_shape(std::move(visitor.properties), std::move(visitor.required_keys));
  }
}

}  // namespace fettle::build

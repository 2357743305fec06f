#include <array>
#include <cmath>
#include <limits>

#include "build/reader.h"
#include "build/wheel_mark.h"
#include "quantity/text.h"

namespace fettle::build {

using nlohmann::json;

std::string kind_of(const json& node) {
  switch (node.type()) {
    case json::value_t::null:
      return "null";
    case json::value_t::string:
      return fmt::format("\"{}\"", quantity::shown_text(node.get_ref<const std::string&>()));
    case json::value_t::object:
      return "an object";
    case json::value_t::array:
      return "a list";
    default:
      return quantity::shown_text(node.dump());
  }
}

void ValueReader::refuse(const Place& place, std::string given, std::string accepted,
                         std::string_view example) {
  problems_.push_back({place.text(), std::move(given), std::move(accepted), std::string(example)});
}

void ValueReader::refuse(const Place& place, const quantity::ParseError& error) {
  refuse(place, fmt::format("\"{}\", which {}", error.given, error.problem), error.expected,
         fmt::format("\"{}\"", error.example));
}

void ValueReader::read(const json& node, std::string& out, const Place& place, const Wanted& wanted) {
  if (!node.is_string()) {
    refuse(place, kind_of(node), fmt::format("a text: {}", wanted.meaning), wanted.example);
    return;
  }
  out = node.get<std::string>();
}

void ValueReader::read(const json& node, int& out, const Place& place, const Wanted& wanted) {
  const bool whole = node.is_number_integer();
  const bool fits =
      whole && node >= std::numeric_limits<int>::min() && node <= std::numeric_limits<int>::max();
  if (!fits) {
    refuse(place, kind_of(node), fmt::format("a whole number: {}", wanted.meaning), wanted.example);
    return;
  }
  out = node.get<int>();
}

void ValueReader::read(const json& node, double& out, const Place& place, const Wanted& wanted) {
  if (!node.is_number()) {
    refuse(place, kind_of(node), fmt::format("a number: {}", wanted.meaning), wanted.example);
    return;
  }
  out = node.get<double>();
}

void ValueReader::read(const json& node, bool& out, const Place& place, const Wanted& wanted) {
  if (!node.is_boolean()) {
    refuse(place, kind_of(node), fmt::format("true or false: {}", wanted.meaning), wanted.example);
    return;
  }
  out = node.get<bool>();
}

const std::string* ValueReader::quantity_text(const json& node, std::string_view dimension,
                                              const Place& place, const Wanted& wanted) {
  if (node.is_string()) {
    return &node.get_ref<const std::string&>();
  }
  const bool bare = node.is_number();
  refuse(place, bare ? fmt::format("the bare number {}", kind_of(node)) : kind_of(node),
         fmt::format("a text with a number and its unit ({}): {}", dimension, wanted.meaning),
         fmt::format("\"{}\"", wanted.example));
  return nullptr;
}

void ValueReader::read(const json& node, Measure& out, const Place& place, const Wanted& wanted) {
  const std::string* text = quantity_text(node, "length, angle, force or another", place, wanted);
  if (text == nullptr) {
    return;
  }
  using quantity::Dimension;
  constexpr std::array candidates{Dimension::length, Dimension::angle,  Dimension::force,
                                  Dimension::rate,   Dimension::volume, Dimension::pressure,
                                  Dimension::mass,   Dimension::speed,  Dimension::ratio};
  for (const Dimension dimension : candidates) {
    if (const auto parsed = quantity::parse_si(*text, dimension)) {
      out = {dimension, *parsed, *text};
      return;
    }
  }
  refuse(place, fmt::format("\"{}\"", quantity::shown_text(*text)),
         fmt::format("a number with its unit: {}", wanted.meaning), fmt::format("\"{}\"", wanted.example));
}

void ValueReader::read(const json& node, WheelMark& out, const Place& place, const Wanted& wanted) {
  const std::string* text = quantity_text(node, "degrees on the wheel", place, wanted);
  if (text == nullptr) {
    return;
  }
  auto mark = parse_wheel(*text);
  if (!mark) {
    refuse(place, fmt::format("\"{}\"", quantity::shown_text(*text)),
           fmt::format("degrees as the wheel shows them: {}", wanted.meaning), "\"14 BTDC\" or \"346 deg\"");
    return;
  }
  out = std::move(*mark);
}

void ValueReader::read(const json& node, SweepPoint& out, const Place& place,
                       const Wanted& /*of the whole list*/) {
  constexpr Wanted wheel{"what the wheel showed", "5 deg"};
  constexpr Wanted lift{"what the indicator showed", "0.0010 in"};
  if (!node.is_array() || node.size() != 2) {
    refuse(place, kind_of(node), "a pair: wheel and lift", R"(["5 deg", "0.0010 in"])");
    return;
  }
  read(node[0], out.wheel, Place(place, std::size_t{0}), wheel);
  read(node[1], out.lift, Place(place, std::size_t{1}), lift);
}

void ObjectReader::refuse_unknown() const {
  for (const auto& [key, value] : node_.items()) {
    if (std::find(known_.begin(), known_.end(), key) != known_.end()) {
      continue;
    }
    const std::string near = nearest(key, {known_.begin(), known_.end()});
    std::string accepted = near.empty() ? "one of the keys " : fmt::format("{} (the nearest key)", near);
    if (near.empty()) {
      accepted += fmt::format("{}", fmt::join(known_, ", "));
    }
    values_.refuse(place_, fmt::format("the unknown key \"{}\"", quantity::shown_text(key)),
                   std::move(accepted), "");
  }
}

}  // namespace fettle::build

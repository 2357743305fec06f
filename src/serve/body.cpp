#include "serve/body.h"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

#include "build/strict_json.h"
#include "quantity/parse.h"
#include "quantity/text.h"

namespace fettle::serve {
namespace {

using nlohmann::json;

/// Of a body: one level more than a document has, for the object around it, and the operation around a value.
constexpr build::JsonBounds bounds{.bytes = std::size_t{4} << 20, .depth = 36};
constexpr std::size_t most_operations = 1000;
constexpr std::size_t most_letters_of_a_path = 500;

std::size_t letters(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

bool has_control(const std::string& text) {
  return std::any_of(text.begin(), text.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == 0x7F;
  });
}

}  // namespace

std::string shown(const json& value) {
  if (value.is_object()) {
    return "an object";
  }
  if (value.is_array()) {
    return fmt::format("a list of {}", value.size());
  }
  if (value.is_string()) {
    return fmt::format("\"{}\"", quantity::shown_text(value.get<std::string>()));
  }
  return value.dump();
}

Body::Body(std::string_view text) {
  build::StrictJson read = build::read_strict_json(text, bounds);
  problems_ = std::move(read.problems);
  value_ = std::move(read.value);
  if (problems_.empty() && !value_.is_object()) {
    problems_.push_back({"body", shown(value_), "one JSON object", R"({ "by": "Ada", "device": "phone" })"});
  }
}

Body::Body(json value, std::string place) : value_(std::move(value)), place_(std::move(place)) {
  if (!value_.is_object()) {
    problems_.push_back({place_, shown(value_), "an object", ""});
  }
}

std::string Body::at(std::string_view key) const {
  return place_.empty() ? std::string(key) : fmt::format("{}.{}", place_, key);
}

const json* Body::member(std::string_view key, Need need, std::string_view accepted,
                         std::string_view example) {
  known_.emplace_back(key);
  if (!value_.is_object()) {
    return nullptr;
  }
  const auto found = value_.find(key);
  if (found == value_.end()) {
    if (need == Need::required) {
      problems_.push_back({at(key), "nothing", std::string(accepted), std::string(example)});
    }
    return nullptr;
  }
  return &*found;
}

bool Body::has(std::string_view key) const {
  return value_.is_object() && value_.contains(key);
}

std::optional<std::string> Body::text(std::string_view key, Need need, std::size_t most) {
  const std::string accepted = fmt::format("a text of 1 to {} letters", most);
  const json* value = member(key, need, accepted, R"("Ada")");
  if (value == nullptr) {
    return std::nullopt;
  }
  if (!value->is_string()) {
    problems_.push_back({at(key), shown(*value), accepted, R"("Ada")"});
    return std::nullopt;
  }
  auto text = value->get<std::string>();
  if (letters(text) > most || has_control(text) || (text.empty() && need == Need::required)) {
    problems_.push_back({at(key), shown(*value), accepted + " without control characters", R"("Ada")"});
    return std::nullopt;
  }
  return text;
}

std::optional<std::int64_t> Body::whole(std::string_view key, Need need) {
  const json* value = member(key, need, "a whole number from 0", "57");
  if (value == nullptr) {
    return std::nullopt;
  }
  // JSON knows one kind of number: 57.0 is 57 too, but 57.5 is nothing that counts.
  const bool fits = value->is_number_unsigned() &&
                    value->get<std::uint64_t>() <= std::uint64_t{std::numeric_limits<std::int64_t>::max()};
  if (!fits) {
    problems_.push_back({at(key), shown(*value), "a whole number from 0", "57"});
    return std::nullopt;
  }
  return value->get<std::int64_t>();
}

const json* Body::object(std::string_view key, Need need) {
  const json* value =
      member(key, need, "a build: one JSON object", R"({ "fettle": 1, "name": "My engine" })");
  if (value != nullptr && !value->is_object()) {
    problems_.push_back({at(key), shown(*value), "a build: one JSON object", ""});
    return nullptr;
  }
  return value;
}

bool Body::flag(std::string_view key) {
  const json* value = member(key, Need::optional, "true or false", "true");
  if (value != nullptr && !value->is_boolean()) {
    problems_.push_back({at(key), shown(*value), "true or false", "true"});
  }
  return value != nullptr && value->is_boolean() && value->get<bool>();
}

std::optional<double> Body::quantity(std::string_view key, quantity::Dimension dimension, double least,
                                     double most, std::string_view accepted, std::string_view example) {
  const std::string wanted(accepted);
  const std::string shown_example = fmt::format("\"{}\"", example);
  const json* value = member(key, Need::optional, wanted, shown_example);
  if (value == nullptr) {
    return std::nullopt;
  }
  const auto read = value->is_string() ? quantity::parse_si(value->get<std::string>(), dimension)
                                       : quantity::Result<double, quantity::ParseError>(
                                             quantity::ParseError{shown(*value), "is no text", wanted, ""});
  if (!read || *read < least || *read > most) {
    problems_.push_back({at(key), shown(*value), wanted, shown_example});
    return std::nullopt;
  }
  return *read;
}

std::vector<Body> Body::bodies(std::string_view key, Need need, std::size_t most) {
  const std::string accepted = fmt::format("a list of 1 to {} objects", most);
  const json* list = member(key, need, accepted, "");
  std::vector<Body> bodies;
  if (list == nullptr) {
    return bodies;
  }
  if (!list->is_array() || list->empty() || list->size() > most) {
    problems_.push_back({at(key), shown(*list), accepted, ""});
    return bodies;
  }
  for (std::size_t i = 0; i < list->size(); ++i) {
    bodies.emplace_back(list->at(i), fmt::format("{}[{}]", at(key), i));
  }
  return bodies;
}

std::optional<Body> Body::inner(std::string_view key) {
  const json* value = member(key, Need::optional, "an object", "");
  return value == nullptr ? std::nullopt : std::optional<Body>(std::in_place, *value, at(key));
}

void Body::take_in(Body& inner) {
  inner.finish();
  problems_.insert(problems_.end(), inner.problems_.begin(), inner.problems_.end());
}

std::vector<ledger::Operation> Body::operations(std::string_view key, Need need) {
  const char* example = R"([ { "path": "/readings/r1/wheel", "value": "41 deg" } ])";
  const std::string accepted = fmt::format("a list of 1 to {} operations", most_operations);
  const json* list = member(key, need, accepted, example);
  std::vector<ledger::Operation> operations;
  if (list == nullptr) {
    return operations;
  }
  if (!list->is_array() || list->empty() || list->size() > most_operations) {
    problems_.push_back({at(key), shown(*list), accepted, example});
    return operations;
  }
  for (std::size_t i = 0; i < list->size(); ++i) {
    const json& one = list->at(i);
    const std::string place = fmt::format("{}[{}]", at(key), i);
    const auto path = one.is_object() ? one.find("path") : one.end();
    const bool has_path = one.is_object() && path != one.end() && path->is_string();
    if (!has_path || one.size() > (one.contains("value") ? 2U : 1U)) {
      problems_.push_back(
          {place, shown(one), "an object with a text \"path\" and, unless it removes, a \"value\"", example});
      continue;
    }
    if (letters(path->get<std::string>()) > most_letters_of_a_path) {
      problems_.push_back(
          {place + ".path", shown(*path), fmt::format("at most {} letters", most_letters_of_a_path), ""});
      continue;
    }
    operations.push_back(
        {path->get<std::string>(), one.contains("value") ? std::optional<json>(one["value"]) : std::nullopt});
  }
  return operations;
}

ledger::Writer Body::writer() {
  const auto name = [this](std::string_view key) {
    const auto given = text(key, Need::optional, 60);
    return given && !given->empty() ? *given : std::string("unnamed");
  };
  ledger::Writer writer{name("by"), name("device"), std::nullopt};
  if (has("change_key")) {
    writer.change_key = text("change_key", Need::required, 100);
  } else {
    known_.emplace_back("change_key");
  }
  return writer;
}

void Body::finish() {
  if (!value_.is_object()) {
    return;
  }
  for (const auto& [key, value] : value_.items()) {
    if (std::find(known_.begin(), known_.end(), key) == known_.end()) {
      const std::string near = build::nearest(key, known_);
      problems_.push_back(
          {at(quantity::shown_text(key)), "a member that is not known here",
           near.empty() ? fmt::format("{}", fmt::join(known_, ", ")) : fmt::format("did you mean {}?", near),
           ""});
    }
  }
}

}  // namespace fettle::serve

#pragma once

#include <cmath>
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
#include "build/place.h"
#include "build/problem.h"
#include "quantity/parse.h"

/// The visitor that fills the parts of a build from JSON and gathers every problem on the way.
namespace fettle::build {

/// What is wanted where a value stands: said when something else is there.
struct Wanted {
  std::string_view meaning;
  std::string_view example;
};

std::string kind_of(const nlohmann::json& node);

class ValueReader {
 public:
  explicit ValueReader(Problems& problems) : problems_(problems) {}

  void read(const nlohmann::json& node, std::string& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, int& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, double& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, bool& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, Measure& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, WheelMark& out, const Place& place, const Wanted& wanted);
  void read(const nlohmann::json& node, SweepPoint& out, const Place& place, const Wanted& wanted);

  template <quantity::Dimension D>
  void read(const nlohmann::json& node, quantity::Quantity<D>& out, const Place& place,
            const Wanted& wanted) {
    const std::string* text = quantity_text(node, quantity::name(D), place, wanted);
    if (text == nullptr) {
      return;
    }
    auto parsed = quantity::parse<D>(*text);
    if (parsed) {
      out = std::move(*parsed);
    } else {
      refuse(place, parsed.error());
    }
  }

  template <class T>
  void read(const nlohmann::json& node, std::optional<T>& out, const Place& place, const Wanted& wanted) {
    read(node, out.emplace(blank<T>()), place, wanted);
  }

  template <class T>
  void read(const nlohmann::json& node, std::vector<T>& out, const Place& place, const Wanted& wanted) {
    if (!node.is_array()) {
      refuse(place, kind_of(node), fmt::format("a list: {}", wanted.meaning), wanted.example);
      return;
    }
    out.reserve(node.size());
    for (std::size_t i = 0; i < node.size(); ++i) {
      read(node[i], out.emplace_back(blank<T>()), Place(place, i), wanted);
    }
  }

  template <class T>
  void read(const nlohmann::json& node, std::map<std::string, T>& out, const Place& place,
            const Wanted& wanted) {
    if (!node.is_object()) {
      refuse(place, kind_of(node), fmt::format("an object: {}", wanted.meaning), wanted.example);
      return;
    }
    for (const auto& [name, value] : node.items()) {
      read(value, out[name], Place(place, name), wanted);
    }
  }

  template <class T>
  void read(const nlohmann::json& node, T& out, const Place& place, const Wanted& wanted) {
    if constexpr (std::is_enum_v<T>) {
      read_word(node, out, place, wanted);
    } else {
      read_object(node, out, place, wanted);
    }
  }

  void refuse(const Place& place, std::string given, std::string accepted, std::string_view example);
  void refuse(const Place& place, const quantity::ParseError& error);

 private:
  /// The text of a quantity, or null after saying what stands there instead.
  const std::string* quantity_text(const nlohmann::json& node, std::string_view dimension, const Place& place,
                                   const Wanted& wanted);

  template <class T>
  void read_object(const nlohmann::json& node, T& out, const Place& place, const Wanted& wanted);

  template <class E>
  void read_word(const nlohmann::json& node, E& out, const Place& place, const Wanted& wanted) {
    std::vector<std::string> words;
    for (const auto& named : names(E{})) {
      words.emplace_back(named.word);
      if (node.is_string() && node.get_ref<const std::string&>() == named.word) {
        out = named.value;
        return;
      }
    }
    std::string accepted = "one of ";
    for (const std::string& word : words) {
      accepted += (&word == &words.front() ? "" : ", ") + word;
    }
    if (node.is_string()) {
      const std::string near = nearest(node.get<std::string>(), words);
      accepted += near.empty() ? "" : fmt::format(" (did you mean {}?)", near);
    }
    refuse(place, kind_of(node), std::move(accepted), wanted.example);
  }

  Problems& problems_;
};

/// Visits the keys of one object: reads those that are there, remembers all for the search of unknown ones.
class ObjectReader {
 public:
  ObjectReader(ValueReader& values, const nlohmann::json& node, const Place& place)
      : values_(values), node_(node), place_(place) {
    known_.reserve(64);
  }

  template <class T>
  void required(std::string_view key, T& member, std::string_view meaning, std::string_view example) {
    if (!visit(key, member, meaning, example)) {
      values_.refuse(Place(place_, key), "nothing", std::string(meaning), example);
    }
  }

  template <class T>
  void optional(std::string_view key, T& member, std::string_view meaning, std::string_view example) {
    visit(key, member, meaning, example);
  }

  /// Refuses every key that the description did not name.
  void refuse_unknown() const;

 private:
  template <class T>
  bool visit(std::string_view key, T& member, std::string_view meaning, std::string_view example) {
    known_.push_back(key);
    const auto found = node_.find(key);
    if (found == node_.end()) {
      return false;
    }
    values_.read(*found, member, Place(place_, key), Wanted{meaning, example});
    return true;
  }

  ValueReader& values_;
  const nlohmann::json& node_;
  const Place& place_;
  std::vector<std::string_view> known_;  // of the description: its keys are literals
};

template <class T>
void ValueReader::read_object(const nlohmann::json& node, T& out, const Place& place, const Wanted& wanted) {
  if (!node.is_object()) {
    refuse(place, kind_of(node), fmt::format("an object: {}", wanted.meaning), wanted.example);
    return;
  }
  ObjectReader visitor(*this, node, place);
  describe(visitor, out);
  visitor.refuse_unknown();
}

}  // namespace fettle::build

#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "build/problem.h"
#include "ledger/ledger.h"
#include "quantity/dimension.h"

namespace fettle::serve {

enum class Need { required, optional };

/// Takes the members of a request's body one by one and notes everything that is wrong with it.
class Body {
 public:
  /// Reads strict JSON; anything but one object is a problem.
  explicit Body(std::string_view text);
  /// An object that stands at `place` of a body.
  Body(nlohmann::json value, std::string place);

  /// A text of at most `most` letters (code points).
  std::optional<std::string> text(std::string_view key, Need need, std::size_t most);
  /// A whole number from 0.
  std::optional<std::int64_t> whole(std::string_view key, Need need);
  const nlohmann::json* object(std::string_view key, Need need);
  /// True or false; left out it is false.
  bool flag(std::string_view key);
  /// A text with its unit, SI, within bounds that `accepted` says in words.
  std::optional<double> quantity(std::string_view key, quantity::Dimension dimension, double least,
                                 double most, std::string_view accepted, std::string_view example);
  /// [ { "path", "value" } ], at least one where it is required.
  std::vector<ledger::Operation> operations(std::string_view key, Need need = Need::required);
  /// The objects of a list of 1 to `most`, each to be handed back with take_in().
  std::vector<Body> bodies(std::string_view key, Need need, std::size_t most);
  std::optional<Body> inner(std::string_view key);
  /// Finishes one of those and takes its problems over.
  void take_in(Body& inner);
  /// "by", "device" and "change_key". Who and where are "unnamed" when left out or empty.
  ledger::Writer writer();
  [[nodiscard]] bool has(std::string_view key) const;

  /// Notes members that nobody asked for; to be called last.
  void finish();
  void note(build::Problem problem) { problems_.push_back(std::move(problem)); }

  [[nodiscard]] const build::Problems& problems() const { return problems_; }

 private:
  const nlohmann::json* member(std::string_view key, Need need, std::string_view accepted,
                               std::string_view example);

  /// The place of a member as a message names it.
  [[nodiscard]] std::string at(std::string_view key) const;

  nlohmann::json value_;
  std::string place_;
  std::vector<std::string> known_;
  build::Problems problems_;
};

/// A value as a message shows it: short, without its inside.
std::string shown(const nlohmann::json& value);

}  // namespace fettle::serve

#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "build/problem.h"
#include "ledger/ledger.h"

namespace fettle::serve {

enum class Need { required, optional };

/// Takes the members of a request's body one by one and notes everything that is wrong with it.
class Body {
 public:
  /// Reads strict JSON; anything but one object is a problem.
  explicit Body(std::string_view text);

  /// A text of at most `most` letters (code points).
  std::optional<std::string> text(std::string_view key, Need need, std::size_t most);
  /// A whole number from 0.
  std::optional<std::int64_t> whole(std::string_view key, Need need);
  const nlohmann::json* object(std::string_view key, Need need);
  /// [ { "path", "value" } ], at least one.
  std::vector<ledger::Operation> operations(std::string_view key);
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

  nlohmann::json value_;
  std::vector<std::string> known_;
  build::Problems problems_;
};

/// A value as a message shows it: short, without its inside.
std::string shown(const nlohmann::json& value);

}  // namespace fettle::serve

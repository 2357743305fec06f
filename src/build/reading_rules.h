#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "build/types.h"

namespace fettle::build {

/// Which fields a kind of reading must and may carry, besides `id`, `kind`, `taken` and `by`.
struct ReadingRule {
  ReadingKind kind;
  std::vector<std::string_view> required;
  std::vector<std::string_view> optional;
  std::vector<std::string_view> one_of;  ///< at least one of these
  std::vector<Side> sides;               ///< accepted values of `side`; empty: none
};

const ReadingRule& rule_for(ReadingKind kind);

}  // namespace fettle::build

#pragma once

#include <optional>
#include <string_view>

namespace fettle::build {

enum class Arrangement { in_line, vee, flat };

struct Layout {
  Arrangement arrangement = Arrangement::in_line;
  int cylinders = 0;
};

inline constexpr int most_cylinders = 24;

/// Reads "V8", "V-twin", "inline 6", "inline-4", "flat 4", "single"; any case. Nothing for other texts and
/// for numbers of cylinders outside 1..24 (2.. and even for a vee and a flat engine).
std::optional<Layout> parse_layout(std::string_view text);

}  // namespace fettle::build

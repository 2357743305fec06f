#include "build/problem.h"

#include <algorithm>

#include <fmt/format.h>

namespace fettle::build {
namespace {

/// Number of single-letter insertions, removals and replacements that turn one text into the other.
std::size_t edit_distance(const std::string& a, const std::string& b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) {
    row[j] = j;
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({above + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U)});
      diagonal = above;
    }
  }
  return row[b.size()];
}

}  // namespace

std::string Problem::message() const {
  std::string text = fmt::format("{}: given {}; accepted: {}", place, given, accepted);
  if (!example.empty()) {
    text += fmt::format("; for example {}", example);
  }
  return text;
}

std::string nearest(const std::string& typed, const std::vector<std::string>& known) {
  constexpr std::size_t longest_key = 64;
  if (typed.size() > longest_key) {
    return {};
  }
  std::string best;
  std::size_t least = std::max<std::size_t>(2, typed.size() / 3) + 1;
  for (const std::string& candidate : known) {
    const std::size_t distance = edit_distance(typed, candidate);
    if (distance < least) {
      least = distance;
      best = candidate;
    }
  }
  return best;
}

}  // namespace fettle::build

#include "build/layout.h"

#include <algorithm>
#include <charconv>
#include <string>

#include "quantity/text.h"

namespace fettle::build {

std::optional<Layout> parse_layout(std::string_view text) {
  std::string word = quantity::lower(quantity::trim(text));
  std::replace(word.begin(), word.end(), '-', ' ');
  if (word == "single") {
    return Layout{Arrangement::in_line, 1};
  }
  Layout layout;
  std::string_view rest = word;
  if (rest.starts_with("inline")) {
    rest.remove_prefix(6);
  } else if (rest.starts_with("flat")) {
    layout.arrangement = Arrangement::flat;
    rest.remove_prefix(4);
  } else if (rest.starts_with("v")) {
    layout.arrangement = Arrangement::vee;
    rest.remove_prefix(1);
  } else {
    return std::nullopt;
  }
  rest = quantity::trim(rest);
  if (rest == "twin") {
    layout.cylinders = 2;
    return layout;
  }
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), layout.cylinders);
  const bool whole = error == std::errc{} && end == rest.data() + rest.size();
  const bool even = layout.arrangement == Arrangement::in_line || layout.cylinders % 2 == 0;
  if (!whole || !even || layout.cylinders < 1 || layout.cylinders > most_cylinders) {
    return std::nullopt;
  }
  return layout;
}

}  // namespace fettle::build

#include "quantity/unit.h"

#include <algorithm>
#include <array>
#include <cstddef>

#include <fmt/format.h>

#include "quantity/text.h"
#include "quantity/unit_table.h"

namespace fettle::quantity {
namespace {

// One form for the ways to write a compound unit: blanks, dots, hyphens and asterisks between words become
// one blank, "^" goes, and "/" and "per" become "/" without blanks.
std::string canonical(std::string_view spelling) {
  std::string form;
  for (const char c : spelling) {
    if (c == '^') {
      continue;
    }
    if (c == ' ' || c == '.' || c == '-' || c == '*') {
      if (!form.empty() && form.back() != ' ' && form.back() != '/') {
        form += ' ';
      }
      continue;
    }
    if (c == '/' && !form.empty() && form.back() == ' ') {
      form.pop_back();
    }
    form += c;
  }
  if (!form.empty() && form.back() == ' ') {
    form.pop_back();
  }
  constexpr std::string_view per = " per ";
  if (const std::size_t at = form.find(per); at != std::string::npos) {
    return fmt::format("{}/{}", form.substr(0, at), form.substr(at + per.size()));
  }
  return form;
}

std::string without_blanks(std::string_view text) {
  std::string kept;
  std::copy_if(text.begin(), text.end(), std::back_inserter(kept), [](char c) { return c != ' '; });
  return kept;
}

// Calls visit with each spelling of a '|' separated list until it returns true.
template <typename Visit>
bool any_spelling(std::string_view spellings, Visit visit) {
  while (true) {
    const std::size_t bar = spellings.find('|');
    if (visit(spellings.substr(0, bar))) {
      return true;
    }
    if (bar == std::string_view::npos) {
      return false;
    }
    spellings.remove_prefix(bar + 1);
  }
}

// "ft lb" is also written "ftlb", while "m m" is no way to write "mm".
bool is_spelled(std::string_view spellings, const std::string& typed, bool case_matters) {
  return any_spelling(spellings, [&](std::string_view spelling) {
    const std::string known = case_matters ? std::string(spelling) : lower(spelling);
    return typed == known || typed == without_blanks(known);
  });
}

// How many letters must be put in, left out or changed to turn one word into the other (Levenshtein).
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) {
    row[j] = j;
  }
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t substituted = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      diagonal = row[j];
      row[j] = std::min({substituted, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

}  // namespace

std::span<const Unit> all_units() {
  return unit_table;
}

const Unit* find_unit(Dimension dimension, std::string_view spelling) {
  const std::string typed = canonical(spelling);
  const std::string lowered = lower(typed);
  for (const Unit& unit : unit_table) {
    if (unit.dimension == dimension &&
        is_spelled(unit.spellings, unit.case_matters ? typed : lowered, unit.case_matters)) {
      return &unit;
    }
  }
  return nullptr;
}

const RefusedUnit* find_refused_unit(Dimension dimension, std::string_view spelling) {
  const std::string typed = lower(canonical(spelling));
  for (const RefusedUnit& refused : refused_table) {
    if (refused.dimension == dimension && is_spelled(refused.spellings, typed, false)) {
      return &refused;
    }
  }
  return nullptr;
}

std::vector<Dimension> dimensions_with(std::string_view spelling) {
  std::vector<Dimension> found;
  for (const Dimension dimension : all_dimensions) {
    if (find_unit(dimension, spelling) != nullptr) {
      found.push_back(dimension);
    }
  }
  return found;
}

std::optional<std::string> nearest_spelling(Dimension dimension, std::string_view mistyped) {
  const std::string typed = lower(canonical(mistyped));
  // One slip in a short word, two in a long one; a single letter may be anything.
  std::size_t nearest = typed.size() > 5 ? 3 : (typed.size() > 1 ? 2 : 0);
  std::optional<std::string> best;
  for (const Unit& unit : unit_table) {
    if (unit.dimension != dimension) {
      continue;
    }
    any_spelling(unit.spellings, [&](std::string_view spelling) {
      const std::size_t distance = edit_distance(typed, lower(spelling));
      if (spelling.size() > 1 && distance < nearest) {
        nearest = distance;
        best = std::string(spelling);
      }
      return false;
    });
  }
  return best;
}

std::string list_symbols(Dimension dimension) {
  std::string list;
  for (const Unit& unit : unit_table) {
    if (unit.dimension == dimension) {
      list += list.empty() ? "" : ", ";
      list += unit.symbol;
    }
  }
  return list;
}

double to_si(double value, const Unit& unit) {
  return value * unit.factor + unit.offset;
}

double from_si(double si, const Unit& unit) {
  return (si - unit.offset) / unit.factor;
}

}  // namespace fettle::quantity

#include "quantity/unit.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <numeric>
#include <stdexcept>

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
    const bool may_lead = c == ' ' || c == '-';  // "5-in"
    if (may_lead || ((c == '.' || c == '*') && !form.empty())) {
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

// Whether the typed letters are the spelling's, with its blanks or without them: "ft lb" is also written
// "ftlb", while "m m" is no way to write "mm".
bool is_same(std::string_view typed, std::string_view spelling, bool case_matters, bool with_blanks) {
  std::size_t at = 0;
  for (const char c : spelling) {
    if (c == ' ' && !with_blanks) {
      continue;
    }
    if (at == typed.size() || (case_matters ? typed[at] != c : lower(typed[at]) != lower(c))) {
      return false;
    }
    ++at;
  }
  return at == typed.size();
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

bool is_spelled(std::string_view spellings, std::string_view typed, bool case_matters) {
  return any_spelling(spellings, [&](std::string_view spelling) {
    return is_same(typed, spelling, case_matters, true) || is_same(typed, spelling, case_matters, false);
  });
}

// How many letters must be put in, left out, changed or swapped with their neighbour to turn one word into
// the other (optimal string alignment distance). Row i - 2 is kept for the swaps.
// Of words up to 47 letters; no spelling has more than 20.
std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::array<std::size_t, 48> before_last{};
  std::array<std::size_t, 48> last{};
  std::array<std::size_t, 48> row{};
  if (b.size() >= row.size()) {
    throw std::invalid_argument("edit_distance: the word is too long");
  }
  std::iota(last.begin(), last.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = a[i - 1] == b[j - 1] ? 0 : 1;
      row[j] = std::min({last[j - 1] + change, last[j] + 1, row[j - 1] + 1});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        row[j] = std::min(row[j], before_last[j - 2] + 1);
      }
    }
    before_last.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

}  // namespace

std::span<const Unit> all_units() {
  return unit_table;
}

const Unit* find_unit(Dimension dimension, std::string_view spelling) {
  const std::string typed = canonical(spelling);
  for (const Unit& unit : unit_table) {
    if (unit.dimension == dimension && is_spelled(unit.spellings, typed, unit.case_matters)) {
      return &unit;
    }
  }
  return nullptr;
}

const RefusedUnit* find_refused_unit(Dimension dimension, std::string_view spelling) {
  const std::string typed = canonical(spelling);
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
      const std::size_t longer = std::max(typed.size(), spelling.size());
      const std::size_t shorter = std::min(typed.size(), spelling.size());
      if (spelling.size() < 2 || longer - shorter >= nearest) {
        return false;
      }
      const std::size_t distance = edit_distance(typed, lower(spelling));
      if (distance < nearest) {
        nearest = distance;
        best = std::string(spelling);
      }
      return false;
    });
  }
  return best;
}

std::string list_symbols(Dimension dimension, std::size_t most) {
  std::string list;
  std::size_t listed = 0;
  for (const Unit& unit : unit_table) {
    if (unit.dimension != dimension) {
      continue;
    }
    if (listed == most) {
      return list + " ...";
    }
    list += listed == 0 ? "" : ", ";
    list += unit.symbol;
    ++listed;
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

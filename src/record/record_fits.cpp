// What was machined and which part went where; and fits that could still be closer.

#include <string>
#include <vector>

#include <fmt/format.h>

#include "build/names.h"
#include "record/record_parts.h"
#include "stations/report_json.h"

namespace fettle::record {
namespace {

struct Line {
  std::string what, is;
};

std::string as_words(std::string_view word) {
  std::string text(word);
  for (char& c : text) {
    c = c == '_' ? ' ' : c;
  }
  return text;
}

void add_places(std::vector<Line>& lines, const char* what, const std::vector<int>& marks) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    parts.push_back(fmt::format("{} in cyl {}", marks[i], i + 1));
  }
  if (!parts.empty()) {
    lines.push_back({what, fmt::format("{}", fmt::join(parts, ", "))});
  }
}

template <class List, class Text>
void add_list(std::vector<Line>& lines, const std::string& what, const List& list, Text text) {
  std::vector<std::string> parts;
  for (const auto& one : list) {
    parts.push_back(text(one));
  }
  if (!parts.empty()) {
    lines.push_back({what, fmt::format("{}", fmt::join(parts, ", "))});
  }
}

template <class Quantity>
void add_amount(std::vector<Line>& lines, const char* what, const std::optional<Quantity>& amount) {
  if (amount) {
    lines.push_back({what, amount->typed()});
  }
}

void add_shells(std::vector<Line>& lines, const char* what, const char* place,
                const std::optional<build::BearingSet>& set) {
  if (!set) {
    return;
  }
  add_list(lines, what, set->fitted, [&](const build::FittedShells& shells) {
    const auto half = [](const std::optional<quantity::Length>& size) {
      return size ? size->typed() : "standard";
    };
    return fmt::format("{} {}: {} above, {} below", place, shells.number, half(shells.upper),
                       half(shells.lower));
  });
}

std::vector<Line> lines_of(const build::Build& build) {
  std::vector<Line> lines;
  if (build.bores) {
    add_places(lines, "Pistons, by their marks", build.bores->pistons);
    add_list(lines, "Honed out, on the diameter", build.bores->honed, [](const build::HonedBore& bore) {
      return fmt::format("cyl {}: {}", bore.cylinder, bore.amount.typed());
    });
  }
  if (build.rods) {
    add_places(lines, "Rods, by their marks", build.rods->fitted);
  }
  if (build.bearings) {
    add_shells(lines, "Shells of the mains, not standard", "main", build.bearings->main);
    add_shells(lines, "Shells of the rods, not standard", "cyl", build.bearings->rod);
  }
  if (build.balance) {
    add_list(lines, "Taken off by weight", build.balance->taken_off, [](const build::TakenOff& one) {
      return fmt::format("{} {}: {}", as_words(build::word(one.item)), one.number, one.amount.typed());
    });
  }
  if (build.deck) {
    add_amount(lines, "Cut off the deck", build.deck->cut);
  }
  if (build.chamber) {
    add_amount(lines, "Milled off the head", build.chamber->milled);
  }
  if (build.crowns) {
    add_amount(lines, "Cut out of each crown", build.crowns->deepened);
  }
  if (build.gasket) {
    lines.push_back({"Head gasket, crushed", build.gasket->thickness.typed()});
  }
  if (build.pushrods) {
    add_amount(lines, "Pushrods, over the ball ends", build.pushrods->length);
  }
  if (build.timing_set && build.timing_set->fitted) {
    lines.push_back({"Timing set at", build.timing_set->fitted->typed()});
  }
  return lines;
}

/// Fits: who stands where, and what is taken off to match.
bool is_fit(std::string_view id) {
  return id == "bore.pistons" || id == "compression.pistons" || id.starts_with("balance.") ||
         id == "bottom_end.main_shells" || id == "bottom_end.rod_shells";
}

/// What a fit moves at its own station: of the engine as a whole, or where that says nothing, place by place.
std::vector<const stations::Effect*> told_effects(const stations::Correction& correction,
                                                  const stations::Station& station) {
  std::vector<const stations::Effect*> whole, all;
  for (const stations::Effect& effect : correction.effects) {
    if (stations::station_of(effect.from.id) == station.id) {
      all.push_back(&effect);
      if (effect.from.where == stations::Where{}) {
        whole.push_back(&effect);
      }
    }
  }
  return whole.empty() ? all : whole;
}

}  // namespace

void write_fits(Html& html, const build::Build& build) {
  const auto lines = lines_of(build);
  if (lines.empty()) {
    return;
  }
  html.element("h2", "Machined and fitted");
  html.open("table", "facts");
  html.open("tbody");
  for (const Line& line : lines) {
    html.open("tr");
    html.element("td", line.what);
    html.element("td", line.is);
    html.close();
  }
  html.close();
  html.close();
}

void write_closer_fits(Html& html, const stations::Report& report, const stations::Station& station,
                       quantity::System system) {
  bool begun = false;
  for (const stations::Correction& one : report.corrections) {
    if (!is_fit(one.id) || stations::station_of(one.id) != station.id) {
      continue;
    }
    if (!begun) {
      html.element("h3", "Closer fits that these parts would give");
      begun = true;
    }
    html.element("p", one.says + ".");
    html.open("ul", "values");
    for (const stations::Effect* effect : told_effects(one, station)) {
      html.open("li");
      const std::string place = where_text(effect->from.where);
      html.element("div", title_of(effect->from, system) + (place.empty() ? "" : ", " + place));
      html.element("div",
                   fmt::format("{} \u2192 {}", value_text(effect->from, system).first,
                               value_text(effect->to, system).first),
                   "second");
      html.close();
    }
    html.close();
  }
}

}  // namespace fettle::record

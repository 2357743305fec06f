#include "stations/part_places.h"

#include <fmt/format.h>

namespace fettle::stations {
namespace {

using build::Build;
using build::Reading;
using build::ReadingKind;
using build::WeighedItem;

int at_place(const std::vector<int>& marks, int cylinder) {
  const auto place = static_cast<std::size_t>(cylinder - 1);
  return place < marks.size() ? marks[place] : cylinder;
}

/// Readings that go with the piston, or with the rod, when it is moved.
bool of_a_piston(const Reading& reading) {
  switch (reading.kind) {
    case ReadingKind::dish_fill:
    case ReadingKind::piston_fill:
    case ReadingKind::deck_clearance:
      return true;
    case ReadingKind::part_weight:
      return reading.item == WeighedItem::piston || reading.item == WeighedItem::pin;
    default:
      return false;
  }
}

bool of_a_rod(const Reading& reading) {
  switch (reading.kind) {
    case ReadingKind::housing_bore:
    case ReadingKind::bearing_bore:
    case ReadingKind::film_strip:
      return true;
    case ReadingKind::part_weight:
      return reading.item == WeighedItem::big_end || reading.item == WeighedItem::small_end ||
             reading.item == WeighedItem::whole_rod;
    default:
      return false;
  }
}

std::string path_of(const Build& build, std::size_t place, const char* field) {
  return fmt::format("/readings/{}/{}", build.readings[place].id.value_or(std::to_string(place)), field);
}

/// Sets a list of numbers in a part, or the part with it alone.
Operation list_operation(bool has_part, const char* part, const char* key, const std::vector<int>& list) {
  return has_part ? Operation{fmt::format("/{}/{}", part, key), list}
                  : Operation{fmt::format("/{}", part), nlohmann::ordered_json{{key, list}}};
}

}  // namespace

int piston_in(const Build& build, int cylinder) {
  return build.bores ? at_place(build.bores->pistons, cylinder) : cylinder;
}

int rod_in(const Build& build, int cylinder) {
  return build.rods ? at_place(build.rods->fitted, cylinder) : cylinder;
}

std::optional<int> piston_of(const Observed& observed, const Reading& reading) {
  if (reading.piston || !reading.cylinder) {
    return reading.piston;
  }
  return piston_in(observed.sources().build(), *reading.cylinder);
}

std::optional<int> rod_of(const Observed& observed, const Reading& reading) {
  if (reading.rod || !reading.cylinder) {
    return reading.rod;
  }
  return rod_in(observed.sources().build(), *reading.cylinder);
}

bool piston_stayed(const Observed& observed, const Reading& reading) {
  return !reading.cylinder || piston_of(observed, reading) == piston_in(observed.build(), *reading.cylinder);
}

std::vector<Operation> keep_pistons(const Build& build) {
  std::vector<Operation> operations;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const Reading& reading = build.readings[i];
    if (of_a_piston(reading) && reading.cylinder && !reading.piston) {
      operations.push_back({path_of(build, i, "piston"), piston_in(build, *reading.cylinder)});
    }
  }
  return operations;
}

std::vector<Operation> keep_rods(const Build& build) {
  std::vector<Operation> operations;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const Reading& reading = build.readings[i];
    if (of_a_rod(reading) && reading.cylinder && !reading.rod) {
      operations.push_back({path_of(build, i, "rod"), rod_in(build, *reading.cylinder)});
    }
  }
  return operations;
}

void place_parts(Change& change, const Build& build, const std::vector<int>& pistons,
                 const std::vector<int>& rods) {
  auto parts = std::make_shared<Build>(change.what_if.parts ? *change.what_if.parts : build);
  const auto add = [&](std::vector<Operation> operations) {
    for (Operation& operation : operations) {
      change.operations.push_back(std::move(operation));
    }
  };
  add(keep_pistons(build));
  change.operations.push_back(list_operation(build.bores.has_value(), "bores", "pistons", pistons));
  if (!parts->bores) {
    parts->bores.emplace();
  }
  parts->bores->pistons = pistons;
  if (!rods.empty()) {
    add(keep_rods(build));
    change.operations.push_back(list_operation(build.rods.has_value(), "rods", "fitted", rods));
    if (!parts->rods) {
      parts->rods.emplace();
    }
    parts->rods->fitted = rods;
  }
  change.what_if.parts = std::move(parts);
}

std::string places_text(const std::vector<int>& marks, std::string_view part) {
  std::string text;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    text += fmt::format("{}{}: {} {}", i == 0 ? "" : "; ", i + 1, part, marks[i]);
  }
  return text;
}

}  // namespace fettle::stations

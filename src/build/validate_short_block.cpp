#include "build/validate_short_block.h"

#include <set>

#include <fmt/format.h>

#include "build/layout.h"
#include "build/validate_readings.h"
#include "quantity/angle.h"
#include "quantity/text.h"

namespace fettle::build {
namespace {

constexpr int most_piston = 99;
constexpr std::size_t most_sizes = 9;

/// Says that a quantity stands outside its bounds, which are part of the interval.
class Bounds {
 public:
  Bounds(std::string place, Problems& problems) : place_(std::move(place)), problems_(problems) {}

  template <class Q>
  void check(const char* key, const std::optional<Q>& quantity, double least, double most,
             const char* accepted, const char* example) const {
    if (quantity && (quantity->si() < least || quantity->si() > most)) {
      problems_.push_back(
          {fmt::format("{}.{}", place_, key), fmt::format("\"{}\"", quantity->typed()), accepted, example});
    }
  }
  void check_count(const char* key, const std::optional<int>& count, int least, int most,
                   const char* example) const {
    if (count && (*count < least || *count > most)) {
      problems_.push_back({fmt::format("{}.{}", place_, key), fmt::format("{}", *count),
                           fmt::format("{} to {}", least, most), example});
    }
  }

 private:
  std::string place_;
  Problems& problems_;
};

int cylinders_of(const Build& build) {
  const auto layout = parse_layout(build.engine.layout);
  return layout ? layout->cylinders : most_cylinders;
}

/// The crank has at most one main more than it has cylinders.
int most_mains(const Build& build) {
  const bool given = build.bearings && build.bearings->mains;
  return given ? *build.bearings->mains : cylinders_of(build) + 1;
}

void check_shells(const BearingSet& set, int most_number, const std::string& place, Problems& problems) {
  if (set.shells.size() > most_sizes) {
    problems.push_back({place + ".shells", fmt::format("{} sizes", set.shells.size()),
                        fmt::format("at most {} sizes", most_sizes), ""});
  }
  for (std::size_t i = 0; i < set.shells.size(); ++i) {
    const Bounds bounds(fmt::format("{}.shells[{}]", place, i), problems);
    bounds.check("change", std::optional(set.shells[i].change), -0.002, 0.002, "-2 to 2 mm", "\"-0.001 in\"");
    bounds.check_count("count", set.shells[i].count, 0, 999, "2");
  }
  std::set<int> numbers;
  for (std::size_t i = 0; i < set.fitted.size(); ++i) {
    const FittedShells& shells = set.fitted[i];
    const std::string at = fmt::format("{}.fitted[{}]", place, i);
    const Bounds bounds(at, problems);
    bounds.check_count("number", std::optional(shells.number), 1, most_number, "1");
    bounds.check("upper", shells.upper, -0.002, 0.002, "-2 to 2 mm", "\"-0.001 in\"");
    bounds.check("lower", shells.lower, -0.002, 0.002, "-2 to 2 mm", "\"-0.001 in\"");
    if (!numbers.insert(shells.number).second) {
      problems.push_back({at + ".number", fmt::format("{} a second time", shells.number),
                          "each bearing once, with both its halves", ""});
    }
  }
}

void check_bearing_set(const std::optional<BearingSet>& set, int most_number, const std::string& place,
                       Problems& problems) {
  if (!set) {
    return;
  }
  const Bounds bounds(place, problems);
  bounds.check("journal", set->journal, 0.005, 1, "5 mm to 1 m", "\"2.4485 in\"");
  bounds.check("width", set->width, 0.001, 0.5, "1 to 500 mm", "\"0.80 in\"");
  bounds.check("load", set->load, 1, 1e7, "1 N to 10 MN", "\"9 kN\"");
  check_shells(*set, most_number, place, problems);
}

void check_bearings(const Build& build, Problems& problems) {
  const Bearings& bearings = *build.bearings;
  const int cylinders = cylinders_of(build);
  Bounds("bearings", problems).check_count("mains", bearings.mains, 1, cylinders + 1, "5");
  check_bearing_set(bearings.main, most_mains(build), "bearings.main", problems);
  check_bearing_set(bearings.rod, cylinders, "bearings.rod", problems);
  if (bearings.oil) {
    const Bounds bounds("bearings.oil", problems);
    bounds.check("viscosity", std::optional(bearings.oil->viscosity), 1e-4, 10, "0.1 to 10000 mPa s",
                 "\"9 mPa s\"");
    bounds.check("speed", std::optional(bearings.oil->speed), 1, 5000, "10 to 47 000 rpm", "\"6000 rpm\"");
  }
}

/// Marks of the pistons or rods in cylinder 1, 2 ...: each of them once.
void check_marks(const std::vector<int>& marks, int cylinders, const std::string& place, Problems& problems) {
  const std::set<int> different(marks.begin(), marks.end());
  const bool each_once = different.size() == marks.size() && static_cast<int>(marks.size()) == cylinders &&
                         *different.begin() >= 1 && *different.rbegin() <= most_piston;
  if (!marks.empty() && !each_once) {
    problems.push_back(
        {place, fmt::format("[{}]", fmt::join(marks, ",")),
         fmt::format("{} different numbers from 1 to {}, one a cylinder", cylinders, most_piston), ""});
  }
}

void check_bores(const Build& build, Problems& problems) {
  const Bores& bores = *build.bores;
  const int cylinders = cylinders_of(build);
  check_marks(bores.pistons, cylinders, "bores.pistons", problems);
  std::set<int> numbers;
  for (std::size_t i = 0; i < bores.honed.size(); ++i) {
    const std::string at = fmt::format("bores.honed[{}]", i);
    const Bounds bounds(at, problems);
    bounds.check_count("cylinder", std::optional(bores.honed[i].cylinder), 1, cylinders, "1");
    bounds.check("amount", std::optional(bores.honed[i].amount), 0, 0.005, "0 to 5 mm", "\"0.001 in\"");
    if (!numbers.insert(bores.honed[i].cylinder).second) {
      problems.push_back(
          {at + ".cylinder", fmt::format("{} a second time", bores.honed[i].cylinder), "each bore once", ""});
    }
  }
  if (bores.running) {
    const Bounds bounds("bores.running", problems);
    bounds.check("bore", std::optional(bores.running->bore), 200, 700, "-70 to 420 C", "\"110 C\"");
    bounds.check("piston", std::optional(bores.running->piston), 200, 900, "-70 to 620 C", "\"140 C\"");
  }
}

}  // namespace

void check_short_block(const Build& build, Problems& problems) {
  if (build.bearings) {
    check_bearings(build, problems);
  }
  if (build.bores) {
    check_bores(build, problems);
  }
  if (build.rods) {
    check_marks(build.rods->fitted, cylinders_of(build), "rods.fitted", problems);
  }
}

void check_short_block_reading(const Build& build, const Reading& reading, const std::string& place,
                               Problems& problems) {
  const Bounds bounds(place, problems);
  constexpr double turn = 360 * quantity::radians_per_degree;
  bounds.check_count("main", reading.main, 1, most_mains(build), "1");
  bounds.check_count("piston", reading.piston, 1, most_piston, "1");
  bounds.check("diameter", reading.diameter, 0.005, 2, "5 mm to 2 m", "\"2.4480 in\"");
  bounds.check("wall", reading.wall, 0.0002, 0.05, "0.2 to 50 mm", "\"0.0735 in\"");
  bounds.check("along", reading.along, 0, 4, "0 to 4 m", "\"1.00 in\"");
  bounds.check("around", reading.around, -turn, turn, "-360 to 360 deg", "\"60 deg\"");
  bounds.check("temperature", reading.temperature, 220, 480, "-50 to 200 C", "\"68 F\"");
  bounds.check("shells", reading.shells, -0.002, 0.002, "-2 to 2 mm", "\"-0.001 in\"");
  bounds.check("honed", reading.honed, 0, 0.005, "0 to 5 mm", "\"0 in\"");
  if (reading.main && reading.cylinder) {
    problems.push_back({place, "both main and cylinder",
                        "main for a main bearing, or cylinder for that of a rod", "\"main\": 1"});
  }
}

void check_set_on(const Build& build, Problems& problems) {
  for (const auto& [name, tool] : build.tools) {
    if (!tool.set_on) {
      continue;
    }
    const std::string place = fmt::format("tools.{}.set_on", name);
    // From tool to tool; as many steps as there are tools means a ring.
    const Tool* on = &tool;
    std::size_t steps = 0;
    while (on->set_on && steps <= build.tools.size()) {
      const auto next = build.tools.find(*on->set_on);
      if (next == build.tools.end()) {
        break;
      }
      on = &next->second;
      ++steps;
    }
    const auto found = build.tools.find(*tool.set_on);
    const std::string given = fmt::format("\"{}\"", quantity::shown_text(*tool.set_on));
    if (found == build.tools.end()) {
      std::vector<std::string> known;
      for (const auto& [other, any] : build.tools) {
        known.push_back(other);
      }
      const std::string near = nearest(*tool.set_on, known);
      problems.push_back(
          {place, given,
           near.empty() ? "a name out of tools" : fmt::format("a name out of tools (did you mean {}?)", near),
           ""});
    } else if (measured_by(tool.kind) != quantity::Dimension::length ||
               measured_by(found->second.kind) != quantity::Dimension::length) {
      problems.push_back({place, given, "one tool for lengths set on another", ""});
    } else if (steps > build.tools.size()) {
      problems.push_back({place, given, "tools that are not set on each other in a ring", ""});
    }
  }
}

}  // namespace fettle::build

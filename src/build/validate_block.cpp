#include "build/validate_block.h"

#include <algorithm>
#include <array>
#include <set>

#include "build/bounds.h"
#include "build/layout.h"
#include "build/names.h"
#include "quantity/angle.h"
#include "quantity/text.h"

namespace fettle::build {
namespace {

constexpr double degree = quantity::radians_per_degree;
constexpr int most_mark = 99;  // on a piston or a rod
const char* const cuts = "0 to 10 mm";
const char* const nets = "-500 to 500 cc";

void check_banks(const Engine& engine, Problems& problems) {
  const auto layout = parse_layout(engine.layout);
  if (engine.banks.empty() || !layout) {
    return;
  }
  std::vector<int> all;
  for (const auto& bank : engine.banks) {
    all.insert(all.end(), bank.begin(), bank.end());
  }
  std::sort(all.begin(), all.end());
  bool each_once = static_cast<int>(all.size()) == layout->cylinders;
  for (std::size_t i = 0; each_once && i < all.size(); ++i) {
    each_once = all[i] == static_cast<int>(i) + 1;
  }
  const bool in_line = layout->arrangement == Arrangement::in_line;
  const bool alike = in_line ? engine.banks.size() == 1
                             : engine.banks.size() == 2 && engine.banks[0].size() == engine.banks[1].size();
  if (!each_once || !alike) {
    problems.push_back(
        {"engine.banks", fmt::format("{} lists with {} cylinders", engine.banks.size(), all.size()),
         in_line ? fmt::format("one list with each cylinder from 1 to {} once", layout->cylinders)
                 : fmt::format("two lists of {} cylinders, each from 1 to {} once", layout->cylinders / 2,
                               layout->cylinders),
         "[[1,3,5,7],[2,4,6,8]]"});
  }
}

void check_volumes(const Build& build, Problems& problems) {
  if (build.chamber) {
    Bounds bounds("chamber", problems);
    bounds.check("volume", build.chamber->volume, 0, 0.02, "0 to 20 L", "\"64 cc\"");
    bounds.check("area", build.chamber->area, 1e-6, 1, "1 mm2 to 1 m2", "\"8200 mm2\"");
    bounds.check("milled", build.chamber->milled, 0, 0.01, cuts, "\"0.010 in\"");
  }
  if (build.crowns) {
    Bounds bounds("crowns", problems);
    bounds.check("compression_height", build.crowns->compression_height, 0.001, 1, "1 mm to 1 m",
                 "\"1.540 in\"");
    bounds.check("dish", build.crowns->dish, -5e-4, 5e-4, nets, "\"5.0 cc\"");
    bounds.check("deepened", build.crowns->deepened, 0, 5e-4, "0 to 500 cc", "\"2.0 cc\"");
    bounds.check("land_diameter", build.crowns->land_diameter, 0.001, build.engine.bore.si(),
                 "1 mm to the bore", "\"3.965 in\"");
    bounds.check("land_height", build.crowns->land_height, 0, 0.1, "0 to 100 mm", "\"0.250 in\"");
  }
  if (build.deck) {
    Bounds bounds("deck", problems);
    bounds.check("height", build.deck->height, 0.01, 10, "10 mm to 10 m", "\"9.025 in\"");
    bounds.check("cut", build.deck->cut, 0, 0.01, cuts, "\"0.005 in\"");
  }
  if (build.gasket) {
    Bounds bounds("gasket", problems);
    bounds.check("thickness", build.gasket->thickness, 0, 0.02, "0 to 20 mm", "\"0.041 in\"");
    bounds.check("bore", build.gasket->bore, 0.001, 2, "1 mm to 2 m", "\"4.100 in\"");
  }
}

void check_plan(const CompressionPlan& plan, Problems& problems) {
  Bounds bounds("compression", problems);
  bounds.check("wanted_ratio", plan.wanted_ratio, 2, 30, "2 to 30", "9.6");
  bounds.check("barometer", plan.barometer, 2e4, 1.2e5, "200 to 1200 hPa, absolute", "\"1003 hPa\"");
  bounds.check("altitude", plan.altitude, -1000, 11000, "-1000 to 11000 m", "\"1200 ft\"");
  bounds.check("air", plan.air, 220, 340, "-53 to 67 C", "\"20 C\"");
  bounds.check("cranking_speed", plan.cranking_speed, 1, 200, "10 to 1900 rpm", "\"200 rpm\"");
  bounds.check("exponent", plan.exponent, 1, 1.45, "1 to 1.45", "1.30");
  bounds.check("leak", plan.leak, 0, 1e-5, "0 to 10 mm2", "\"0.2 mm2\"");
}

void check_fastener(const Fastener& fastener, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  bounds.check("diameter", fastener.diameter, 0.002, 0.1, "2 to 100 mm", "\"0.4375 in\"");
  bounds.check("pitch", fastener.pitch, 0.0002, 0.6 * fastener.diameter.si(),
               "0.2 mm to six tenths of the diameter", "\"0.0500 in\"");
  bounds.check("shank_diameter", fastener.shank_diameter, 0.001, 0.1, "1 to 100 mm", "\"0.390 in\"");
  bounds.check("shank_length", fastener.shank_length, 0, 1, "0 to 1 m", "\"1.100 in\"");
  bounds.check("thread_length", fastener.thread_length, 0, 1, "0 to 1 m", "\"0.400 in\"");
  for (const auto& [key, strength] :
       {std::pair{"proof_strength", fastener.proof_strength}, {"yield_strength", fastener.yield_strength}}) {
    bounds.check(key, strength, 50e6, 5e9, "50 MPa to 5 GPa", "\"190 ksi\"");
  }
  bounds.check("modulus", fastener.modulus, 1e10, 1e12, "10 to 1000 GPa", "\"207 GPa\"");
  bounds.check("nut_factor", fastener.nut_factor, 0.03, 0.6, "0.03 to 0.6", "0.17");
  if (fastener.grade) {
    constexpr std::array<std::string_view, 5> grades{"5", "8", "8.8", "10.9", "12.9"};
    if (std::find(grades.begin(), grades.end(), *fastener.grade) == grades.end()) {
      bounds.refuse("grade", fmt::format("\"{}\"", quantity::shown_text(*fastener.grade)),
                    "5, 8, 8.8, 10.9 or 12.9; else proof_strength and yield_strength", "\"10.9\"");
    }
  }
  if (fastener.count && (*fastener.count < 1 || *fastener.count > 500)) {
    bounds.refuse("count", fmt::format("{}", *fastener.count), "1 to 500", "16");
  }
  bounds.check("stretch_least", fastener.stretch_least, 0, 0.01, cuts, "\"0.0060 in\"");
  bounds.check("stretch_most", fastener.stretch_most, 0, 0.01, cuts, "\"0.0065 in\"");
  if (fastener.stretch_least && fastener.stretch_most && *fastener.stretch_least > *fastener.stretch_most) {
    bounds.refuse("stretch_least", fmt::format("\"{}\"", fastener.stretch_least->typed()),
                  "not above stretch_most", "\"0.0060 in\"");
  }
}

bool can_be_lightened(WeighedItem item) {
  return item == WeighedItem::piston || item == WeighedItem::big_end || item == WeighedItem::small_end;
}

void check_metal(const Balance& balance, Problems& problems) {
  const char* const kinds = "piston, big_end or small_end";
  std::set<std::pair<WeighedItem, int>> parts;
  for (std::size_t i = 0; i < balance.taken_off.size(); ++i) {
    const TakenOff& one = balance.taken_off[i];
    Bounds bounds(fmt::format("balance.taken_off[{}]", i), problems);
    if (!can_be_lightened(one.item)) {
      bounds.refuse("item", std::string(word(one.item)), kinds, "piston");
    }
    if (one.number < 1 || one.number > most_mark) {
      bounds.refuse("number", fmt::format("{}", one.number), fmt::format("1 to {}", most_mark), "1");
    }
    bounds.check("amount", std::optional(one.amount), 0, 0.5, "0 to 500 g", "\"1.5 g\"");
    if (!parts.insert({one.item, one.number}).second) {
      bounds.refuse("number", fmt::format("{} a second time", one.number), "each part once", "");
    }
  }
  std::set<WeighedItem> items;
  for (std::size_t i = 0; i < balance.spare.size(); ++i) {
    const SpareMetal& one = balance.spare[i];
    Bounds bounds(fmt::format("balance.spare[{}]", i), problems);
    if (!can_be_lightened(one.item)) {
      bounds.refuse("item", std::string(word(one.item)), kinds, "piston");
    }
    bounds.check("most", std::optional(one.most), 0, 0.5, "0 to 500 g", "\"5 g\"");
    if (!items.insert(one.item).second) {
      bounds.refuse("item", fmt::format("{} a second time", word(one.item)), "each kind once", "");
    }
  }
}

void check_balance(const Balance& balance, Problems& problems) {
  Bounds bounds("balance", problems);
  bounds.check("factor", balance.factor, 0, 1, "0 to 1", "0.5");
  bounds.check("oil", balance.oil, 0, 0.5, "0 to 500 g", "\"5 g\"");
  bounds.check("crank_bobweight", balance.crank_bobweight, 0, 500, "0 to 500 kg", "\"1850 g\"");
  bounds.check("bore_spacing", balance.bore_spacing, 0.001, 3, "1 mm to 3 m", "\"4.400 in\"");
  bounds.check("bank_stagger", balance.bank_stagger, -1, 1, "-1 to 1 m", "\"0.940 in\"");
  bounds.check("speed", balance.speed, 0, 3000, "0 to 28000 rpm", "\"6000 rpm\"");
  if (balance.rods_a_pin && (*balance.rods_a_pin < 1 || *balance.rods_a_pin > 2)) {
    bounds.refuse("rods_a_pin", fmt::format("{}", *balance.rods_a_pin), "1 or 2", "2");
  }
  check_metal(balance, problems);
}

/// A part that is weighed by its mark: a piston and its pin, or a rod and its ends.
void check_mark(const Reading& reading, Bounds& bounds) {
  if (reading.rod && (*reading.rod < 1 || *reading.rod > most_mark)) {
    bounds.refuse("rod", fmt::format("{}", *reading.rod), fmt::format("1 to {}", most_mark), "1");
  }
  if (reading.rod && reading.main) {
    bounds.refuse("rod", fmt::format("{}", *reading.rod), "no rod at a main bearing", "");
  }
  if (reading.kind != ReadingKind::part_weight || !reading.item) {
    return;
  }
  const WeighedItem item = *reading.item;
  const bool of_piston = item == WeighedItem::piston || item == WeighedItem::pin;
  const bool of_rod =
      item == WeighedItem::big_end || item == WeighedItem::small_end || item == WeighedItem::whole_rod;
  if (reading.piston && !of_piston) {
    bounds.refuse("piston", fmt::format("{}", *reading.piston), "with a piston or its pin", "");
  }
  if (reading.rod && !of_rod) {
    bounds.refuse("rod", fmt::format("{}", *reading.rod), "with big_end, small_end or whole_rod", "");
  }
  if (reading.lightened && !(of_rod || item == WeighedItem::piston)) {
    bounds.refuse("lightened", fmt::format("\"{}\"", reading.lightened->typed()),
                  "with a piston, or a rod or one of its ends", "");
  }
}

}  // namespace

void check_block(const Build& build, Problems& problems) {
  check_banks(build.engine, problems);
  check_volumes(build, problems);
  if (build.compression) {
    check_plan(*build.compression, problems);
  }
  for (const auto& [name, fastener] : build.fasteners) {
    check_fastener(fastener, fmt::format("fasteners.{}", name), problems);
  }
  if (build.balance) {
    check_balance(*build.balance, problems);
  }
}

void check_block_reading(const Build& build, const Reading& reading, const std::string& place,
                         Problems& problems) {
  Bounds bounds(place, problems);
  bounds.check("below", reading.below, -0.05, 0.05, "-50 to 50 mm", "\"0.008 in\"");
  bounds.check("size", reading.size, 1e-5, 2, "0.01 mm to 2 m", "\"1.6500 in\"");
  const bool crown = reading.kind == ReadingKind::dish_fill;
  bounds.check("volume", reading.volume, crown ? -5e-4 : 0, 0.02, crown ? nets : "0 to 20 L", "\"64.2 cc\"");
  bounds.check("mass", reading.mass, 0, 200, "0 to 200 kg", "\"562 g\"");
  bounds.check("pressure", reading.pressure, 0, 1e7, "0 to 10 MPa", "\"165 psi\"");
  bounds.check("torque", reading.torque, 0, 5000, "0 to 5000 N m", "\"45 ft lb\"");
  bounds.check("angle", reading.angle, 0, 720 * degree, "0 to 720 deg", "\"75 deg\"");
  bounds.check("milled", reading.milled, 0, 0.01, cuts, "\"0.010 in\"");
  bounds.check("cut", reading.cut, 0, 0.01, cuts, "\"0.005 in\"");
  bounds.check("deepened", reading.deepened, 0, 5e-4, "0 to 500 cc", "\"2.0 cc\"");
  bounds.check("lightened", reading.lightened, 0, 0.5, "0 to 500 g", "\"1.5 g\"");
  check_mark(reading, bounds);
  if (reading.milled && reading.kind == ReadingKind::chamber_fill &&
      !(build.chamber && build.chamber->area)) {
    bounds.refuse("milled", fmt::format("\"{}\"", reading.milled->typed()),
                  "with chamber.area given, which says what milling takes off", "\"8200 mm2\"");
  }
  if (!reading.fastener) {
    return;
  }
  const auto set = build.fasteners.find(*reading.fastener);
  if (set == build.fasteners.end()) {
    std::vector<std::string> known;
    for (const auto& [name, fastener] : build.fasteners) {
      known.push_back(name);
    }
    const std::string near = nearest(*reading.fastener, known);
    bounds.refuse("fastener", fmt::format("\"{}\"", quantity::shown_text(*reading.fastener)),
                  near.empty() ? fmt::format("a name out of fasteners: {}", fmt::join(known, ", "))
                               : fmt::format("a name out of fasteners (did you mean {}?)", near),
                  "");
  }
  const int most = set != build.fasteners.end() ? set->second.count.value_or(500) : 500;
  if (reading.number && (*reading.number < 1 || *reading.number > most)) {
    bounds.refuse("number", fmt::format("{}", *reading.number), fmt::format("1 to {}", most), "1");
  }
}

}  // namespace fettle::build

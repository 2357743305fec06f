#include "support/invented_block.h"

#include <array>
#include <utility>

#include <fmt/format.h>

namespace fettle::invented {
namespace {

using build::BoltStage;
using build::ReadingKind;
using build::ToolKind;
using build::WeighedItem;
using quantity::Dimension;

constexpr double cc = 1e-6;
constexpr double gram = 1e-3;
constexpr double psi = 6894.757293168;
constexpr double foot_pound = 1.3558179483314;

struct Unit {
  double si;
  const char* name;
  Dimension dimension;
};
constexpr Unit inches{inch, "in", Dimension::length};
constexpr Unit ccs{cc, "cc", Dimension::volume};
constexpr Unit grams{gram, "g", Dimension::mass};
constexpr Unit psis{psi, "psi", Dimension::pressure};

build::Measure figure(double value, const Unit& unit) {
  return {unit.dimension, value * unit.si, fmt::format("{:g} {}", value, unit.name)};
}

template <class Quantity>
Quantity typed(double si, const Unit& unit, int decimals) {
  return Quantity::typed(si, fmt::format("{:.{}f} {}", si / unit.si, decimals, unit.name));
}

build::Tool tool(ToolKind kind, const Unit& unit, double resolution, double permissible, double noise) {
  build::Tool one;
  one.kind = kind;
  one.resolution = figure(resolution, unit);
  one.permissible_error = figure(permissible, unit);
  one.noise = figure(noise, unit);
  return one;
}

quantity::RotationalSpeed redline(double rpm) {
  return quantity::RotationalSpeed::typed(rpm * 6 * degree, fmt::format("{:g} rpm", rpm));
}

std::map<std::string, build::Tool> kit() {
  return {{"outside micrometer", tool(ToolKind::micrometer, inches, 0.0001, 0.0001, 0.00005)},
          {"bore gauge", tool(ToolKind::bore_gauge, inches, 0.0001, 0.0001, 0.0001)},
          {"long feelers", tool(ToolKind::feeler_gauge, inches, 0.0005, 0.0002, 0.0003)},
          {"stretch gauge", tool(ToolKind::micrometer, inches, 0.0001, 0.0001, 0.0001)},
          {"burette", tool(ToolKind::burette, ccs, 0.1, 0.15, 0.15)},
          {"scale", tool(ToolKind::weighing_scale, grams, 0.1, 0.3, 0.15)},
          {"compression gauge", tool(ToolKind::pressure_gauge, psis, 2, 2, 2)}};
}

constexpr int bolts_a_rod = 2;
constexpr double bolt_length = 2.4 * inch;

}  // namespace

Block::Block(Shop& shop, std::uint64_t seed)
    : shop_(shop), plan_(shop.plan().block.value()), draws_(seed * 6151 + 29), kit_(kit()) {
  for (const auto& [name, one] : kit_) {
    tools_.emplace(name, ShownBy(one, draws_));
  }
  const auto about = [&](double plan, double half_width) { return plan + draws_.uniform(half_width); };
  for (int i = 0; i < shop.plan().cylinders(); ++i) {
    Cylinder one;
    one.bore = about(shop.plan().bore, 0.0003 * inch);
    one.piston = one.bore - about(plan_.piston_clearance, 0.0003 * inch);
    one.top_gap = about(plan_.top_gap, 0.001 * inch);
    one.second_gap = about(plan_.second_gap, 0.001 * inch);
    one.ring_side = about(plan_.ring_side, 0.0003 * inch);
    one.rod_journal = about(plan_.rod_journal - 0.0003 * inch, 0.0002 * inch);
    one.rod_bore = one.rod_journal + about(plan_.rod_clearance, 0.0003 * inch);
    one.deck = about(plan_.deck_clearance, 0.002 * inch);
    one.chamber = about(plan_.chamber, 0.4 * cc);
    one.dish = about(plan_.dish, 0.2 * cc);
    one.pressure = about(plan_.cranking_pressure, 3 * psi);
    for (const auto& [item, mass] : {std::pair{WeighedItem::big_end, plan_.big_end},
                                     {WeighedItem::small_end, plan_.small_end},
                                     {WeighedItem::rod_bearing, plan_.rod_bearing},
                                     {WeighedItem::piston, plan_.piston},
                                     {WeighedItem::pin, plan_.pin},
                                     {WeighedItem::locks, plan_.locks},
                                     {WeighedItem::rings, plan_.rings}}) {
      one.weights[item] = about(mass, 0.6 * gram);
    }
    cylinders_.push_back(std::move(one));
  }
  for (int i = 0; i < plan_.mains; ++i) {
    Main main;
    main.journal = about(plan_.main_journal - 0.0003 * inch, 0.0002 * inch);
    main.bore = main.journal + about(plan_.main_clearance, 0.0003 * inch);
    mains_.push_back(main);
  }
  for (int i = 0; i < bolts_a_rod * shop.plan().cylinders(); ++i) {
    stretches_.push_back(about(plan_.bolt_stretch, 0.0002 * inch));
  }
}

void Block::add_parts(build::Build& build) const {
  build.engine.compression_ratio = 9.0;
  const auto length = [&](double metres, int decimals) { return shop_.typed(metres, decimals); };
  build.bearings.emplace();
  build.bearings->mains = plan_.mains;
  build::BearingSet mains;
  mains.journal = length(plan_.main_journal, 4);
  mains.width = length(plan_.main_width, 2);
  mains.load = quantity::Force::typed(9e3, "9 kN");
  build::BearingSet rods;
  rods.journal = length(plan_.rod_journal, 4);
  rods.width = length(plan_.rod_width, 2);
  rods.load = quantity::Force::typed(11e3, "11 kN");
  build.bearings->main = std::move(mains);
  build.bearings->rod = std::move(rods);
  build.bearings->oil = build::Oil{quantity::Viscosity::typed(0.011, "11 mPa s"), redline(plan_.redline_rpm)};
  build.bores.emplace();
  build.crowns.emplace();
  build.crowns->compression_height = length(plan_.compression_height, 3);
  build.crowns->land_diameter = length(shop_.plan().bore - 0.020 * inch, 3);
  build.crowns->land_height = length(0.26 * inch, 2);
  build.deck.emplace();
  build.deck->height = length(
      shop_.plan().stroke / 2 + shop_.plan().rod_length + plan_.compression_height + plan_.deck_clearance, 3);
  build.chamber.emplace();
  build.chamber->area =
      quantity::Area::typed(plan_.chamber_area, fmt::format("{:g} cm2", plan_.chamber_area * 1e4));
  build.compression.emplace();
  build.compression->altitude = length(600 * 12 * inch, 0);
  build::Fastener bolt;
  bolt.use = build::FastenerUse::rod;
  bolt.diameter = length(plan_.bolt_diameter, 4);
  bolt.pitch = length(plan_.bolt_pitch, 5);
  bolt.shank_length = length(plan_.bolt_shank, 2);
  bolt.thread_length = length(plan_.bolt_thread, 2);
  bolt.grade = "8";
  bolt.count = static_cast<int>(stretches_.size());
  build.fasteners.emplace("rod bolts", std::move(bolt));
  build.balance.emplace();
  build.balance->factor = plan_.balance_factor;
  build.balance->rods_a_pin = 2;
  build.balance->speed = redline(plan_.redline_rpm);
  build.balance->bore_spacing = length(plan_.bore_spacing, 2);
  build.balance->bank_stagger = length(plan_.bank_stagger, 2);
  build.valve_train.emplace();
  build.valve_train->redline = redline(plan_.redline_rpm);
  for (const auto& [name, one] : kit_) {
    build.tools.emplace(name, one);
  }
}

build::Reading Block::of(ReadingKind kind) {
  build::Reading reading;
  reading.id = shop_.next_id();
  reading.kind = kind;
  return reading;
}

build::Length Block::shown(const char* tool, double truth, int decimals_in) {
  return shop_.typed(tools_.at(tool).read(truth), decimals_in);
}

void Block::add_diameter(build::Build& build, build::Reading reading, const char* gauge, double diameter,
                         double along_in, double around_deg) {
  reading.diameter = shown(gauge, diameter);
  reading.along = shop_.typed(along_in * inch, 2);
  reading.around = quantity::Angle::typed(around_deg * degree, fmt::format("{:g} deg", around_deg));
  reading.gauge = gauge;
  build.readings.push_back(std::move(reading));
}

void Block::read_bores(build::Build& build) {
  constexpr std::array depths{0.5, 2.0, 3.6};
  for (int i = 0; i < shop_.plan().cylinders(); ++i) {
    const Cylinder& one = cylinders_[static_cast<std::size_t>(i)];
    for (std::size_t depth = 0; depth < depths.size(); ++depth) {
      for (const double around : {0.0, 90.0}) {
        build::Reading reading = of(ReadingKind::bore_diameter);
        reading.cylinder = i + 1;
        // Widest at the top, and out of round by as much again.
        const double taper = 0.0002 * inch * (1 - static_cast<double>(depth) / 2) + (around > 0 ? 5e-6 : 0);
        add_diameter(build, std::move(reading), "bore gauge", one.bore + taper, depths.at(depth), around);
      }
    }
    build::Reading piston = of(ReadingKind::piston_diameter);
    piston.piston = i + 1;
    piston.diameter = shown("outside micrometer", one.piston);
    piston.gauge = "outside micrometer";
    build.readings.push_back(std::move(piston));
    for (const auto& [kind, ring, gap] : {std::tuple{ReadingKind::ring_gap, build::Ring::top, one.top_gap},
                                          {ReadingKind::ring_gap, build::Ring::second, one.second_gap},
                                          {ReadingKind::ring_side, build::Ring::top, one.ring_side},
                                          {ReadingKind::ring_side, build::Ring::second, one.ring_side}}) {
      build::Reading reading = of(kind);
      reading.cylinder = i + 1;
      reading.ring = ring;
      add_gap(build, std::move(reading), gap);
    }
  }
}

void Block::add_gap(build::Build& build, build::Reading reading, double gap) {
  reading.gap = shown("long feelers", gap);
  reading.gauge = "long feelers";
  build.readings.push_back(std::move(reading));
}

void Block::read_bearings(build::Build& build) {
  const auto read = [&](ReadingKind kind, const char* gauge, double diameter, auto place) {
    for (const double around : {0.0, 60.0, 120.0}) {
      build::Reading reading = of(kind);
      place(reading);
      add_diameter(build, std::move(reading), gauge, diameter, 0.4, around);
    }
  };
  for (int number = 1; number <= plan_.mains; ++number) {
    const auto place = [&](build::Reading& reading) { reading.main = number; };
    const Main& main = mains_[static_cast<std::size_t>(number - 1)];
    read(ReadingKind::journal_diameter, "outside micrometer", main.journal, place);
    read(ReadingKind::bearing_bore, "bore gauge", main.bore, place);
  }
  for (int cylinder = 1; cylinder <= shop_.plan().cylinders(); ++cylinder) {
    const auto place = [&](build::Reading& reading) { reading.cylinder = cylinder; };
    const Cylinder& one = cylinders_[static_cast<std::size_t>(cylinder - 1)];
    read(ReadingKind::journal_diameter, "outside micrometer", one.rod_journal, place);
    read(ReadingKind::bearing_bore, "bore gauge", one.rod_bore, place);
    build::Reading side = of(ReadingKind::rod_side);
    side.cylinder = cylinder;
    add_gap(build, std::move(side), 0.0150 * inch);
  }
  add_gap(build, of(ReadingKind::end_play), 0.0060 * inch);
}

void Block::add_volume(build::Build& build, ReadingKind kind, int cylinder, double volume) {
  build::Reading reading = of(kind);
  reading.cylinder = cylinder;
  reading.volume = typed<quantity::Volume>(tools_.at("burette").read(volume), ccs, 1);
  for (int i = 0; i < 2; ++i) {
    const double poured = tools_.at("burette").read(volume);
    reading.again.push_back({Dimension::volume, poured, fmt::format("{:.1f} cc", poured / cc)});
  }
  reading.tester = "burette";
  build.readings.push_back(std::move(reading));
}

void Block::read_volumes(build::Build& build) {
  for (int cylinder = 1; cylinder <= shop_.plan().cylinders(); ++cylinder) {
    const Cylinder& one = cylinders_[static_cast<std::size_t>(cylinder - 1)];
    add_volume(build, ReadingKind::chamber_fill, cylinder, one.chamber);
    add_volume(build, ReadingKind::dish_fill, cylinder, one.dish);
    for (const auto& [place, rock] :
         {std::pair{build::PistonPlace::front, -0.0006}, {build::PistonPlace::rear, 0.0006}}) {
      build::Reading deck = of(ReadingKind::deck_clearance);
      deck.cylinder = cylinder;
      deck.place = place;
      deck.below = shop_.typed(shop_.dial_shows(one.deck + rock * inch), 4);
      deck.gauge = "dial";
      build.readings.push_back(std::move(deck));
    }
  }
  for (const auto& [kind, size] : {std::pair{ReadingKind::gasket_crush, shop_.plan().gasket},
                                   {ReadingKind::gasket_bore, plan_.gasket_bore}}) {
    build::Reading reading = of(kind);
    reading.size = shown("outside micrometer", size);
    reading.gauge = "outside micrometer";
    build.readings.push_back(std::move(reading));
  }
}

void Block::read_bolts(build::Build& build) {
  for (std::size_t i = 0; i < stretches_.size(); ++i) {
    for (const auto& [stage, length] :
         {std::pair{BoltStage::before, bolt_length}, {BoltStage::tight, bolt_length + stretches_[i]}}) {
      build::Reading reading = of(ReadingKind::bolt_length);
      reading.fastener = "rod bolts";
      reading.number = static_cast<int>(i) + 1;
      reading.stage = stage;
      reading.size = shown("stretch gauge", length);
      reading.gauge = "stretch gauge";
      if (stage == BoltStage::tight) {
        reading.torque = quantity::Torque::typed(plan_.bolt_torque_ft_lb * foot_pound,
                                                 fmt::format("{:g} ft lb", plan_.bolt_torque_ft_lb));
      }
      build.readings.push_back(std::move(reading));
    }
  }
}

void Block::read_weights(build::Build& build) {
  const auto weigh = [&](WeighedItem item, double mass, std::optional<int> cylinder,
                         std::optional<build::Valve> valve) {
    build::Reading reading = of(ReadingKind::part_weight);
    reading.item = item;
    reading.cylinder = cylinder;
    reading.valve = valve;
    reading.mass = typed<quantity::Mass>(tools_.at("scale").read(mass), grams, 1);
    reading.tester = "scale";
    build.readings.push_back(std::move(reading));
  };
  weigh(WeighedItem::valve, plan_.intake_valve, {}, build::Valve::intake);
  weigh(WeighedItem::valve, plan_.exhaust_valve, {}, build::Valve::exhaust);
  for (const auto& [item, mass] : {std::pair{WeighedItem::retainer, plan_.retainer},
                                   {WeighedItem::spring, plan_.spring},
                                   {WeighedItem::rocker, plan_.rocker},
                                   {WeighedItem::pushrod, plan_.pushrod},
                                   {WeighedItem::lifter, plan_.lifter}}) {
    weigh(item, mass, {}, {});
  }
  for (int cylinder = 1; cylinder <= shop_.plan().cylinders(); ++cylinder) {
    for (const auto& [item, mass] : cylinders_[static_cast<std::size_t>(cylinder - 1)].weights) {
      weigh(item, mass, cylinder, {});
    }
  }
}

void Block::read_cranking(build::Build& build) {
  for (int cylinder = 1; cylinder <= shop_.plan().cylinders(); ++cylinder) {
    build::Reading reading = of(ReadingKind::compression_gauge);
    reading.cylinder = cylinder;
    const double shown =
        tools_.at("compression gauge").read(cylinders_[static_cast<std::size_t>(cylinder - 1)].pressure);
    reading.pressure = typed<quantity::Pressure>(shown, psis, 0);
    reading.tester = "compression gauge";
    build.readings.push_back(std::move(reading));
  }
}

std::optional<double> Block::truth(const stations::Finding& finding) const {
  std::map<std::string, double> known;
  if (finding.where.main) {
    const Main& main = mains_.at(static_cast<std::size_t>(*finding.where.main - 1));
    known = {{"bottom_end.main_clearance", main.bore - main.journal},
             {"bottom_end.main_journal", main.journal}};
  } else if (finding.where.cylinder) {
    const Cylinder& one = cylinders_.at(static_cast<std::size_t>(*finding.where.cylinder - 1));
    known = {{"bottom_end.rod_clearance", one.rod_bore - one.rod_journal},
             {"bottom_end.rod_journal", one.rod_journal},
             {"bore.top_gap", one.top_gap},
             {"bore.second_gap", one.second_gap},
             {"compression.chamber", one.chamber},
             {"compression.crown", one.dish},
             {"deck.clearance", one.deck}};
  } else if (finding.where.number && finding.id == "fastener.stretch") {
    return stretches_.at(static_cast<std::size_t>(*finding.where.number - 1));
  }
  const auto found = known.find(finding.id);
  return found == known.end() ? std::nullopt : std::optional(found->second);
}

}  // namespace fettle::invented

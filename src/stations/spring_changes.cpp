// Which shims under which spring: the packing list that brings every seat load into its band with the fewest
// shims on the shelf.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/shim_choice.h"
#include "stations/limits.h"
#include "stations/spring.h"
#include "stations/spring_packing.h"

namespace fettle::stations {
namespace {

using build::Valve;
using nlohmann::ordered_json;

/// The stock without end, where a thickness has no count: more than any set takes.
constexpr int plenty = 1000;

/// A length in the unit that the shims were typed in.
std::string like_the_stock(double thickness, const std::vector<build::ShimStock>& stock) {
  const bool inches = !stock.empty() && stock.front().thickness.typed().find('m') == std::string::npos;
  return inches ? fmt::format("{:.3f} in", thickness / 0.0254) : fmt::format("{:.2f} mm", thickness * 1e3);
}

/// Heights were read over the shims fitted until now: that must be written into them first.
std::vector<Operation> keep_shims(const build::Build& build, Valve valve) {
  std::vector<Operation> operations;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    if (reading.kind == build::ReadingKind::installed_height && reading.valve == valve && !reading.shim) {
      const double now = fitted_shims(build, {*reading.cylinder, *reading.valve});
      operations.push_back({fmt::format("/readings/{}/shim", reading.id.value_or(std::to_string(i))),
                            like_the_stock(now, build.springs->shims)});
    }
  }
  return operations;
}

std::string packing_text(const build::Build& build, const Packing& packing) {
  std::string text;
  for (const PackedSpring& packed : packing.springs) {
    text += text.empty() ? "" : "; ";
    text += fmt::format("{}: ", packed.key.cylinder);
    for (std::size_t i = 0; i < packed.shims.size(); ++i) {
      text += (i == 0 ? "" : " + ") + like_the_stock(packed.shims[i], build.springs->shims);
    }
    text += packed.shims.empty() ? "none" : "";
  }
  return text;
}

}  // namespace

void put_shims(const build::Build& build, Valve valve,
               const std::vector<std::pair<LobeKey, double>>& thicknesses, Change& change) {
  auto parts = std::make_shared<build::Build>(build);
  auto& fitted = parts->springs->fitted;
  std::erase_if(fitted, [&](const build::FittedShims& shims) { return shims.valve == valve; });
  ordered_json list = ordered_json::array();
  const auto list_one = [&](const LobeKey& key, const std::string& text) {
    list.push_back(
        {{"cylinder", key.cylinder}, {"valve", std::string(build::word(key.valve))}, {"thickness", text}});
  };
  for (const build::FittedShims& shims : fitted) {
    if (shims.thickness.si() > 0) {
      list_one({shims.cylinder, shims.valve}, shims.thickness.typed());
    }
  }
  for (const auto& [key, thickness] : thicknesses) {
    if (thickness > 0) {
      fitted.push_back({key.cylinder, key.valve, quantity::Length::from_si(thickness)});
      list_one(key, like_the_stock(thickness, build.springs->shims));
    }
  }
  change.operations = keep_shims(build, valve);
  change.operations.push_back({"/springs/fitted", std::move(list)});
  change.what_if.parts = std::move(parts);
}

std::optional<Packing> spring_packing(const Observed& observed, Valve valve) {
  const build::Build& build = observed.build();
  if (!build.springs || build.springs->shims.empty()) {
    return std::nullopt;
  }
  const auto limit = limit_for(build, "spring.seat_load", {std::nullopt, valve, std::nullopt});
  if (!limit || (!limit->min && !limit->max)) {
    return std::nullopt;
  }
  std::vector<mechanism::ShimStock> stock;
  for (const build::ShimStock& shim : build.springs->shims) {
    stock.push_back({shim.thickness.si(), shim.count.value_or(plenty)});
  }
  TdcOfWheels tdc_of(observed);
  std::vector<mechanism::ShimmableSpring> springs;
  Packing packing;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const LobeKey key{cylinder, valve};
    const SpringState state = spring_state(observed, key);
    if (!state.height || !state.characteristic) {
      continue;
    }
    const double bare = *state.height + fitted_shims(build, key);
    const auto lift = net_lift(observed, key, tdc_of);
    const auto bind = limit_for(build, "spring.coil_bind_margin", {cylinder, valve, std::nullopt});
    const double thickest = lift && state.solid_height
                                ? bare - lift->lift - *state.solid_height - (bind ? bind->min.value_or(0) : 0)
                                : bare / 4;
    springs.push_back({[read = *state.characteristic, bare](double stack) { return read.load(bare - stack); },
                       std::max(0.0, thickest)});
    packing.springs.push_back({key, {}, 0, 0});
  }
  if (springs.empty()) {
    return std::nullopt;
  }
  constexpr double far_above = 1e5;  // N; no spring's seat load
  const auto choice =
      mechanism::choose_shims(stock, springs, {limit->min.value_or(0), limit->max.value_or(far_above), 3});
  packing.found = choice.found;
  packing.summary = choice.summary;
  packing.spread = choice.spread;
  for (std::size_t i = 0; i < choice.stacks.size(); ++i) {
    PackedSpring& packed = packing.springs[i];
    packed.thickness = choice.stacks[i].thickness;
    packed.seat_load = choice.stacks[i].seat_load;
    for (const std::size_t shim : choice.stacks[i].shims) {
      packed.shims.push_back(stock[shim].thickness);
    }
  }
  return packing;
}

std::vector<Change> spring_changes(const Sources& sources, const Report& /*report*/) {
  std::vector<Change> changes;
  const Observed observed(sources, sources.estimates());
  const build::Build& build = sources.build();
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    const auto packing = spring_packing(observed, valve);
    const bool differs =
        packing && packing->found &&
        std::any_of(packing->springs.begin(), packing->springs.end(), [&](const auto& packed) {
          return std::abs(packed.thickness - fitted_shims(build, packed.key)) > 1e-6;
        });
    if (!differs) {
      continue;
    }
    Change change;
    change.id = fmt::format("spring.shims_{}", build::word(valve));
    change.says = fmt::format("Shim the {} springs, by cylinder: {}", build::word(valve),
                              packing_text(build, *packing));
    std::vector<std::pair<LobeKey, double>> thicknesses;
    for (const PackedSpring& packed : packing->springs) {
      thicknesses.emplace_back(packed.key, packed.thickness);
    }
    put_shims(build, valve, thicknesses, change);
    changes.push_back(std::move(change));
  }
  return changes;
}

}  // namespace fettle::stations

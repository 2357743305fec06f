// Which shells go into which bearing: of those in hand, the ones that bring every clearance into its band and
// lay them closest together.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/selective_fit.h"
#include "stations/bottom_end.h"
#include "stations/bottom_end_state.h"
#include "stations/length_text.h"
#include "stations/limits.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using nlohmann::ordered_json;

constexpr double inch = 0.0254;
/// Halves further apart than this are not put together (common practice, no source).
constexpr double most_mixed = 0.001 * inch;
/// Laying clearances closer together by less than this is not worth other shells.
constexpr double worth_while = 0.0002 * inch;

struct ChosenShells {
  Spot spot;
  ShellSizes now, then;
};

std::vector<mechanism::ShellSize> sizes_of(const build::BearingSet& set, std::size_t bearings) {
  std::vector<mechanism::ShellSize> sizes;
  for (const build::ShellStock& stock : set.shells) {
    const std::size_t pairs = stock.count ? static_cast<std::size_t>(*stock.count) : bearings;
    sizes.push_back({stock.change.si(), pairs});
  }
  return sizes;
}

/// Shells for the bearings of one kind whose clearance is known; nothing where no choice keeps the band, or
/// where what is fitted now is as good.
std::vector<ChosenShells> choose(const Observed& observed, const std::vector<Spot>& bearings, SpotKind kind) {
  const build::BearingSet* set = bearing_set(observed.build(), kind);
  if (set == nullptr || set->shells.empty()) {
    return {};
  }
  std::vector<ChosenShells> chosen;
  std::vector<double> standard;
  mechanism::FitBand band;
  double least = 1e9;
  double greatest = -1e9;
  for (const Spot& spot : bearings) {
    const auto clearance = spot.kind == kind ? oil_clearance(bearing_state(observed, spot)) : std::nullopt;
    const auto limit =
        limit_for(observed.build(), std::string(bearing_id(spot, "clearance").text()), where_of(spot));
    if (!clearance || !limit) {
      continue;
    }
    const ShellSizes now = fitted_shells(observed.build(), spot);
    chosen.push_back({spot, now, now});
    standard.push_back(clearance->clearance - now.pair());
    // The band that all keep.
    band.least = std::max(band.least, limit->min.value_or(band.least));
    band.greatest = std::min(band.greatest, limit->max.value_or(band.greatest));
    least = std::min(least, clearance->clearance);
    greatest = std::max(greatest, clearance->clearance);
  }
  const bool keeps = least >= band.least && greatest <= band.greatest;
  if (chosen.empty()) {
    return {};
  }
  const auto sizes = sizes_of(*set, chosen.size());
  const auto choice = mechanism::choose_shells(sizes, standard, band, most_mixed);
  if (!choice.found || (keeps && greatest - least - (choice.greatest - choice.least) < worth_while)) {
    return {};
  }
  for (std::size_t i = 0; i < chosen.size(); ++i) {
    chosen[i].then = {sizes[choice.pairs[i].upper].change, sizes[choice.pairs[i].lower].change};
  }
  return chosen;
}

std::string size_text(double size, const LengthText& text) {
  return std::abs(size) < text.step() / 2 ? "standard" : (size > 0 ? "+" : "") + text(size);
}

std::string packing_text(const std::vector<ChosenShells>& chosen, const LengthText& text) {
  std::string list;
  for (const ChosenShells& one : chosen) {
    const std::string upper = size_text(one.then.upper, text);
    const std::string lower = size_text(one.then.lower, text);
    list += fmt::format("{}{}: {}", list.empty() ? "" : "; ", one.spot.number,
                        upper == lower ? upper : fmt::format("{} above, {} below", upper, lower));
  }
  return list;
}

/// What was read with shells in place says which, before others go in.
void keep_shells(const build::Build& build, SpotKind kind, const LengthText& text,
                 std::vector<Operation>& operations) {
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const build::Reading& reading = build.readings[i];
    const Spot spot = spot_of(reading);
    const bool with_shells = reading.kind == ReadingKind::bearing_bore ||
                             reading.kind == ReadingKind::film_strip ||
                             reading.kind == ReadingKind::shell_wall;
    if (!with_shells || spot.kind != kind || reading.shells) {
      continue;
    }
    const ShellSizes now = fitted_shells(build, spot);
    const double size = reading.half == build::ShellHalf::upper   ? now.upper
                        : reading.half == build::ShellHalf::lower ? now.lower
                                                                  : now.pair();
    operations.push_back(
        {fmt::format("/readings/{}/shells", reading.id.value_or(std::to_string(i))), text(size)});
  }
}

/// The bearings that keep what they have, and those that get others.
std::vector<build::FittedShells> fitted_then(const build::BearingSet& set,
                                             const std::vector<ChosenShells>& chosen,
                                             const LengthText& text) {
  std::vector<build::FittedShells> fitted = set.fitted;
  const auto length = [&](double size) { return build::Length::typed(size, text(size)); };
  for (const ChosenShells& one : chosen) {
    std::erase_if(fitted, [&](const auto& shells) { return shells.number == one.spot.number; });
    fitted.push_back({one.spot.number, length(one.then.upper), length(one.then.lower)});
  }
  std::sort(fitted.begin(), fitted.end(), [](const auto& a, const auto& b) { return a.number < b.number; });
  return fitted;
}

ordered_json fitted_json(const std::vector<build::FittedShells>& fitted) {
  ordered_json list = ordered_json::array();
  for (const build::FittedShells& shells : fitted) {
    ordered_json one{{"number", shells.number}};
    if (shells.upper) {
      one["upper"] = shells.upper->typed();
    }
    if (shells.lower) {
      one["lower"] = shells.lower->typed();
    }
    list.push_back(std::move(one));
  }
  return list;
}

}  // namespace

std::vector<Change> bottom_end_changes(const Sources& sources, const Report& /*report*/) {
  std::vector<Change> changes;
  const Observed observed(sources, sources.estimates());
  const build::Build& build = sources.build();
  const auto bearings = all_bearings(sources);
  for (const SpotKind kind : {SpotKind::main, SpotKind::cylinder}) {
    const auto chosen = choose(observed, bearings, kind);
    if (chosen.empty()) {
      continue;
    }
    const build::BearingSet& set = *bearing_set(build, kind);
    const LengthText text = LengthText::like(set.shells.front().change.typed());
    const bool mains = kind == SpotKind::main;
    Change change;
    change.id = mains ? "bottom_end.main_shells" : "bottom_end.rod_shells";
    change.says = fmt::format("Shells for the {}: {}", mains ? "mains, from the front" : "rods, by cylinder",
                              packing_text(chosen, text));
    keep_shells(build, kind, text, change.operations);
    const auto fitted = fitted_then(set, chosen, text);
    change.operations.push_back(
        {mains ? "/bearings/main/fitted" : "/bearings/rod/fitted", fitted_json(fitted)});
    auto parts = std::make_shared<build::Build>(build);
    (mains ? parts->bearings->main : parts->bearings->rod)->fitted = fitted;
    change.what_if.parts = std::move(parts);
    changes.push_back(std::move(change));
  }
  return changes;
}

}  // namespace fettle::stations
